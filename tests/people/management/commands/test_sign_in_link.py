import re

import pytest
from allauth.mfa.models import Authenticator
from django.core.management import CommandError, call_command
from django.urls import reverse

from labcases.people.models import User
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.pages.test_second_step import with_app

pytestmark = pytest.mark.django_db
WORDS = "wax rim and facebow"


def test_the_printed_link_lets_the_only_manager_back_in(client, capsys):
    manager = ManagerFactory(username="ledger")
    with_app(manager)
    call_command("sign_in_link", "Ledger", "--without-second-step")
    key = re.search(r"/password/(\S+)", capsys.readouterr().out).group(1)
    client.post(reverse("set_password", args=[key]), {"new_password": WORDS, "repeated": WORDS})
    assert User.objects.get(pk=manager.pk).check_password(WORDS)
    assert not Authenticator.objects.exists()


def test_the_second_step_stays_unless_it_is_named(capsys):
    with_app(ManagerFactory(username="ledger"))
    call_command("sign_in_link", "ledger")
    assert Authenticator.objects.exists()


@pytest.mark.parametrize("name", ["nobody", "leftus"])
def test_nobody_and_who_has_left_get_none(name):
    TechnicianFactory(username="leftus", is_active=False)
    with pytest.raises(CommandError):
        call_command("sign_in_link", name)
