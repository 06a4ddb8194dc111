from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from labcases.people.choices import Role
from labcases.people.models import User
from labcases.people.sessions import BENCH


@dataclass(frozen=True)
class Item:
    label: str
    url: str
    here: bool


CALCULATORS = (_("Calculators"), "calculators")
# Which pages each audience goes between; the lab manager also works at the bench.
PAGES = {
    Role.MANAGER: (
        (_("Today"), "office:today"),
        (_("Cases"), "office:cases"),
        (_("Plan"), "office:plan"),
        (_("New case"), "office:new_case"),
        (_("My work"), "bench:work"),
        (_("Laboratory"), "office:laboratory"),
        CALCULATORS,
    ),
    Role.TECHNICIAN: ((_("My work"), "bench:work"), CALCULATORS),
    Role.CLINICIAN: (
        (_("My cases"), "clinic:cases"),
        (_("New prescription"), "clinic:new_case"),
        CALCULATORS,
    ),
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
