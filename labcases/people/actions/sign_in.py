"""How often a password may be tried, by the name that it is tried for and by the address that it comes from.

A try is counted before its password is looked at, so that many at the same moment are no way round it. Names of
nobody count like any other: the answer does not tell who has an account here.
"""

import datetime
import hashlib
import ipaddress
import unicodedata

from django.db import transaction
from django.db.models import F

from labcases.people.models import SignInCount

MOST_FAILURES = 10
WINDOW = datetime.timedelta(minutes=15)
# Long after a count has stopped to matter: nobody is at work on a row that is pruned.
KEPT_FOR = datetime.timedelta(days=1)


def begin_sign_in(*, name: str, address: str, now: datetime.datetime) -> datetime.datetime | None:
    """Count a try, or return the moment from which on the next one is looked at.

    The address goes first: one that has had its tries must not use up those of other people's names.
    """
    SignInCount.objects.filter(since__lt=now - KEPT_FOR).delete()
    return _count(_address_key(address), now) or _count(_name_key(name), now)


@transaction.atomic
def sign_in_succeeded(*, name: str, address: str) -> None:
    """The name starts from none again; the address only has this one try back, for others use it too."""
    SignInCount.objects.filter(key=_name_key(name)).update(failures=0)
    SignInCount.objects.filter(key=_address_key(address), failures__gt=0).update(failures=F("failures") - 1)


def _count(key: str, now: datetime.datetime) -> datetime.datetime | None:
    """One row is locked at a time, so that two tries never wait for each other."""
    rows = SignInCount.objects.filter(key=key)
    with transaction.atomic():
        row, is_first = SignInCount.objects.get_or_create(key=key, defaults={"since": now})
        if is_first:
            return None
        if rows.filter(since__lte=now - WINDOW).update(failures=1, since=now):
            return None
        if rows.filter(since__gt=now - WINDOW, failures__lt=MOST_FAILURES).update(failures=F("failures") + 1):
            return None
        row.refresh_from_db(fields=["since"])
    return row.since + WINDOW


def _name_key(name: str) -> str:
    return _key("name", unicodedata.normalize("NFKC", name).strip().casefold())


def _address_key(address: str) -> str:
    """Of an IPv6 address its network: one subscriber has all of the addresses in it."""
    try:
        known = ipaddress.ip_address(address.strip())
    except ValueError:
        return _key("address", "unknown")
    if isinstance(known, ipaddress.IPv6Address) and known.ipv4_mapped:
        known = known.ipv4_mapped
    if isinstance(known, ipaddress.IPv6Address):
        return _key("address", str(ipaddress.IPv6Network((known, 64), strict=False)))
    return _key("address", str(known))


def _key(kind: str, text: str) -> str:
    return hashlib.sha256(f"{kind}:{text}".encode(errors="replace")).hexdigest()
