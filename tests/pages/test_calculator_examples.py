import html
import re

import pytest
from django.urls import reverse

from labcases.prosthodontics.calculators import worked_examples
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    client.force_login(TechnicianFactory())
    response = client.get(reverse("calculator_examples"))
    assert response.status_code == 200
    return response.content.decode()


def test_every_checked_figure_stands_beside_its_source(page):
    said = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())
    for each in worked_examples():
        for line in each.checked:
            assert f"{line.computed}".replace("-", "−") in said.replace("-", "−")
            assert line.known in said
            assert line.check.source.words.lower() in said.lower()


def test_all_of_them_agree(page):
    assert page.count(">yes<") + page.count("yes</td>") >= sum(
        len(each.checked) for each in worked_examples()
    )
    assert "no</td>" not in page


def test_each_example_can_be_opened(page, client):
    addresses = re.findall(r'<p><a href="([^"]+)">Open the calculator', page)
    assert len(addresses) == len(worked_examples())
    assert all(client.get(html.unescape(address)).status_code == 200 for address in addresses[:3])
