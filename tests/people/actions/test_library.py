"""What the library of second factors asks of this site."""

import pytest
from allauth.mfa.adapter import get_adapter
from allauth.mfa.webauthn.internal.auth import extract_user_from_response
from fido2.utils import websafe_encode

from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("pk", [1, 9, 10, 36, 1_234, 99_999])
def test_a_passkey_leads_to_the_person_whom_it_was_made_for(pk):
    person = TechnicianFactory(pk=pk)
    handle = get_adapter().get_public_key_credential_user_entity(person)["id"]
    answer = {"response": {"userHandle": websafe_encode(handle)}}
    assert extract_user_from_response(answer) == person
