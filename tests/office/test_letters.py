import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.post.choices import LetterState
from labcases.post.models import Letter
from tests.factories.post import LetterFactory
from tests.office.desk import as_manager, post

pytestmark = pytest.mark.django_db


@pytest.fixture
def letter():
    return LetterFactory(state=LetterState.GIVEN_UP, tries=3, failure="The mail server answered 451.")


def ask(client):
    return client.get(reverse("office:letters")).content.decode()


def test_a_letter_that_did_not_go_is_shown_with_its_reason(client, letter):
    as_manager(client)
    text = ask(client)
    assert letter.subject in text
    assert str(letter.person) in text
    assert "The mail server answered 451." in text
    assert "Given up after 3 tries" in text
    assert letter.address not in text


def test_it_is_tried_again_or_dropped(client, letter):
    manager = as_manager(client)
    assert post(client, "office:letter_again", letter.pk, version=1).status_code == 302
    letter.refresh_from_db()
    assert (letter.state, letter.tries) == (LetterState.WAITING, 0)
    assert letter.next_try_at <= timezone.now()
    assert "Goes out next" in ask(client)
    assert post(client, "office:letter_drop", letter.pk, version=1).status_code == 409
    assert post(client, "office:letter_drop", letter.pk, version=2).status_code == 302
    assert Letter.objects.get().state == LetterState.DROPPED
    assert f"Dropped by {manager}" in ask(client)


@pytest.mark.parametrize("name", ["office:letter_again", "office:letter_drop"])
def test_an_unknown_letter_is_not_found(client, name):
    as_manager(client)
    for pk in (999_999, 2**70):
        assert post(client, name, pk, version=1).status_code == 404


def test_a_site_without_e_mail_says_how_to_set_it_up(client, settings):
    settings.LETTERS = False
    as_manager(client)
    assert "LABCASES_EMAIL_URL" in ask(client)
