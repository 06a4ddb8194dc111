import pytest


@pytest.fixture(autouse=True)
def letters_go_out(settings):
    settings.LETTERS = True
    settings.DEFAULT_FROM_EMAIL = "cases@lab.example"
    settings.PUBLIC_URL = "https://lab.example"
    settings.LINK_MINUTES = 1440
