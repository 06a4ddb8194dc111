"""A passkey from its making to a sign-in by it alone, with a key that Chromium makes up."""

import pytest
from django.urls import reverse

from labcases.people.queries import factors_of
from tests.factories.people import PASSWORD, TechnicianFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def put_a_key_in(page):
    """What a phone does, done by the browser: keeps passkeys and says that its owner's finger was there."""
    tools = page.context.new_cdp_session(page)
    tools.send("WebAuthn.enable")
    options = {
        "protocol": "ctap2",
        "transport": "internal",
        "hasResidentKey": True,
        "hasUserVerification": True,
        "isUserVerified": True,
        "automaticPresenceSimulation": True,
    }
    return tools, tools.send("WebAuthn.addVirtualAuthenticator", {"options": options})["authenticatorId"]


def type_in(page, user):
    page.goto(reverse("sign_in"))
    page.fill("#id_username", user.username)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")


def sign_out(page):
    page.click(".menu summary")
    page.click("text=Sign out")
    page.wait_for_url("**/sign-in")


def test_a_passkey_is_made_stands_for_the_second_step_and_signs_in_alone(page):
    # The passkey itself names its owner, and in digits of another base than the table's: 10 would be 36.
    person = TechnicianFactory(pk=1_234)
    tools, key = put_a_key_in(page)
    type_in(page, person)
    page.wait_for_url("**/bench/work")

    page.goto(reverse("own_passkey"))
    page.fill("#id_name", "My phone")
    page.click("text=Make the passkey")
    page.wait_for_url("**/recovery-codes")
    assert page.locator("#codes li").count() == 10
    assert [each.data["name"] for each in factors_of(person).passkeys] == ["My phone"]

    sign_out(page)
    type_in(page, person)
    page.wait_for_url("**/second-step")
    page.click("text=Use your passkey")
    page.wait_for_url("**/bench/work")

    sign_out(page)
    page.click("text=Sign in with a passkey")
    page.wait_for_url("**/sign-in/passkey")
    page.click("text=Use your passkey")
    page.wait_for_url("**/bench/work")

    sign_out(page)
    tools.send("WebAuthn.setUserVerified", {"authenticatorId": key, "isUserVerified": False})
    page.goto(reverse("sign_in_by_passkey"))
    page.click("text=Use your passkey")
    page.wait_for_selector("text=That did not work")
    page.goto(reverse("bench:work"))
    assert "/sign-in?next=" in page.url
