from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse

from labcases.people.choices import Role
from labcases.people.models import User
from labcases.people.sessions import BENCH


@dataclass(frozen=True)
class Item:
    label: str
    url: str
    here: bool


CALCULATORS = ("Calculators", "calculators")
# Which pages each audience goes between; the lab manager also works at the bench.
PAGES = {
    Role.MANAGER: (
        ("Today", "office:today"),
        ("Cases", "office:cases"),
        ("Plan", "office:plan"),
        ("New case", "office:new_case"),
        ("My work", "bench:work"),
        ("Laboratory", "office:laboratory"),
        CALCULATORS,
    ),
    Role.TECHNICIAN: (("My work", "bench:work"), CALCULATORS),
    Role.CLINICIAN: (("My cases", "clinic:cases"), ("New prescription", "clinic:new_case"), CALCULATORS),
}


def navigation(request: HttpRequest) -> dict[str, object]:
    user = getattr(request, "user", None)
    if not isinstance(user, User):
        return {"navigation": ()}
    urls = [(label, reverse(name)) for label, name in PAGES[Role(user.role)]]
    # The longest address that the page lies under is where the person is: "New case" lies under "Cases".
    under = [url for _, url in urls if request.path.startswith(url)]
    here = max(under, key=len, default="")
    return {
        "navigation": [Item(label, url, here=url == here) for label, url in urls],
        "at_bench_device": BENCH in request.session,
    }
