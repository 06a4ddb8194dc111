"""Somebody at the door: signs in over HTTP as a browser would, and says whether they are in."""

import itertools

from django.test import Client
from django.urls import reverse

from labcases.people.models import User
from tests.factories.people import PASSWORD

KEYS = itertools.count()


def sign_in(user: User, password: str = PASSWORD, *, client: Client | None = None, **headers: str) -> Client:
    client = client or Client()
    client.post(reverse("sign_in"), {"username": user.username, "password": password}, **headers)
    return client


def is_in(client: Client) -> bool:
    """Whether the laboratory's pages open to whoever has this browser."""
    return client.get(reverse("calculators")).status_code == 200


def post(client: Client, route: str, *args, **form):
    """Send a form with a key of its own."""
    return client.post(reverse(route, args=args), {"one_time_key": f"key{next(KEYS)}", **form})


def key_of(client: Client) -> str:
    return client.cookies["sessionid"].value
