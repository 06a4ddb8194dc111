"""What is measured at one size: pages beside bare ones, searches beside the bare query, a ticket beside a bare one."""

import gzip
import re
import statistics
import time
from collections.abc import Callable
from typing import Any

import psycopg
from django.conf import settings
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import CaseState, StageState
from labcases.cases.models import Case, Stage
from labcases.cases.queries import find_cases
from labcases.people.models import Practice, User
from labcases.tickets.actions import issue_ticket
from labcases.tickets.codes import groups, new_code, scan_mark
from labcases.tickets.facts import Imprint
from labcases.tickets.gathering import gather_facts
from labcases.tickets.page import ticket_sheet
from labcases.tickets.pdf import Sheet, render_pdf
from tests.benchmarks.site.names import EMPTY, SAME_ROWS
from tests.benchmarks.site.visiting import Visitor

Times = list[float]
# A mark before every case: the page beyond it is the last.
OLDEST = "19000101T000000.000000~1"


def in_turns(acts: dict[str, Callable[[], float]], *, rounds: int) -> dict[str, Times]:
    """Seconds of each, one after the other again and again, so that a busy moment meets all alike."""
    for act in acts.values():
        act()
    taken: dict[str, Times] = {name: [] for name in acts}
    for _ in range(rounds):
        for name, act in acts.items():
            taken[name].append(act())
    return taken


def figures(times: Times) -> dict[str, float]:
    ordered = sorted(times)
    return {
        "median": statistics.median(ordered),
        "p95": ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))],
    }


def _timed(act: Callable[[], object]) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


# ---- pages ----


def addresses() -> dict[str, tuple[str, str]]:
    """Each page that is measured: who opens it, and where it is."""
    working = Stage.objects.at_bench().filter(state=StageState.IN_PROGRESS, kind="occlusion_rims").first()
    working = working or Stage.objects.at_bench().filter(state=StageState.IN_PROGRESS).first()
    case = Case.objects.filter(state=CaseState.OPEN).with_current_stage().by_due().first()
    clinician = User.objects.get(username="sample")
    own = Case.objects.visible_to(clinician).filter(state=CaseState.OPEN).newest_first().first()
    closed = Case.objects.filter(state=CaseState.COMPLETE).order_by("opened_at").first()
    pages = {
        EMPTY: ("ledger", reverse("floor")),
        SAME_ROWS: ("ledger", reverse("same_rows")),
        "cases, open": ("ledger", reverse("office:cases")),
        "cases, all": ("ledger", f"{reverse('office:cases')}?state=all"),
        "cases, all, the oldest page": (
            "ledger",
            f"{reverse('office:cases')}?state=all&newer={OLDEST}",
        ),
        "today": ("ledger", reverse("office:today")),
        "plan": ("ledger", reverse("office:plan")),
        "case, open": ("ledger", reverse("office:case", args=[case.number])),
        "case, closed long ago": ("ledger", reverse("office:case", args=[closed.number])),
        "my work": ("gypsum", reverse("bench:work")),
        "bench sheet": ("gypsum", reverse("bench:sheet", args=[working.pk])),
        "clinic, my cases": ("sample", reverse("clinic:cases")),
        "clinic, case": ("sample", reverse("clinic:case", args=[own.number])),
    }
    ticket = issue_ticket(stage=working, by=User.objects.get(username="ledger"), now=timezone.now())
    return {**pages, "an issued ticket's PDF": ("gypsum", reverse("ticket_pdf", args=[ticket.code]))}


def measure_pages(
    port: int, pages: dict[str, tuple[str, str]], *, rounds: int
) -> dict[str, dict[str, float]]:
    visitors = {name: Visitor(port, User.objects.get(username=name)) for name, _ in pages.values()}

    def visit(who: str, address: str) -> Callable[[], float]:
        def act() -> float:
            status, took = visitors[who].get(address)
            if status != 200:
                raise RuntimeError(f"{address} answered {status}")
            return took

        return act

    taken = in_turns({name: visit(*page) for name, page in pages.items()}, rounds=rounds)
    return {name: {**figures(times), **_weight(*pages[name])} for name, times in taken.items()}


def _weight(who: str, address: str) -> dict[str, float]:
    """Queries, and compressed bytes of the page alone and with every file that its first screen asks for."""
    client, asked = Client(), []
    client.force_login(User.objects.get(username=who))

    def count(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        asked.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(count):
        response = client.get(address, headers={"Host": "127.0.0.1"})
    page = b"".join(response) if response.streaming else response.content
    is_html = response["Content-Type"].startswith("text/html")
    files = set(re.findall(rb'(?:href|src)="/static/([^"?#]+)', page)) if is_html else set()
    size = len(gzip.compress(page, 6)) if is_html else len(page)
    rest = sum(_compressed(name.decode()) for name in files)
    return {"queries": len(asked), "bytes": size, "first_screen": size + rest}


def _compressed(name: str) -> int:
    """As a browser of today gets it: in brotli, which every one of them takes over https."""
    path = settings.STATIC_ROOT / name
    packed = path.with_name(f"{path.name}.br")
    return (packed if packed.exists() else path).stat().st_size


# ---- searches ----


def texts() -> dict[str, str]:
    old = Case.objects.filter(state=CaseState.COMPLETE).order_by("opened_at")[5]
    code = old.patient_code
    practice = Practice.objects.order_by("-pk").first()
    return {
        "number": old.number,
        "patient's code": code,
        "patient's code with a slip": f"{code[:-2]}{code[-1]}{code[-2]}",
        "a practice that sends little": practice.name if practice else "",
        "a practice that sends much": "Elm Hill",
        "prescriber": "Specimen",
        "common: part of nearly every practice's name": "practice",
        "two letters": "EL",
        "nothing": "qqzzqq",
    }


def measure_searches(*, rounds: int) -> dict[str, dict[str, float]]:
    """Through `find_cases`, in turns with the same queries asked of psycopg directly."""
    manager, today = User.objects.get(username="ledger"), timezone.localdate()
    found: dict[str, dict[str, float]] = {}
    with psycopg.connect(**_parameters(), autocommit=True) as bare:
        for name, text in texts().items():
            queries: list[tuple[str, Any]] = []

            def search(text: str = text) -> object:
                return list(find_cases(manager, today=today, state="all", text=text)[:26])

            def keep(execute: Any, sql: str, params: Any, many: bool, context: Any, to: Any = queries) -> Any:
                to.append((sql, params))
                return execute(sql, params, many, context)

            with connection.execute_wrapper(keep):
                rows = len(search())

            def ask(queries: Any = queries) -> None:
                for sql, params in queries:
                    bare.execute(sql, params, prepare=False).fetchall()

            acts = {"orm": lambda act=search: _timed(act), "bare": lambda act=ask: _timed(act)}
            taken = in_turns(acts, rounds=rounds)
            found[name] = {
                "rows": rows,
                "queries": len(queries),
                "database": figures(taken["bare"])["median"],
                "database_p95": figures(taken["bare"])["p95"],
                **figures(taken["orm"]),
            }
    return found


def _parameters() -> dict[str, Any]:
    given = connection.get_connection_params()
    return {name: given[name] for name in ("dbname", "user", "password", "host", "port") if name in given}


# ---- papers ----


def _sheet() -> Sheet:
    now, code = timezone.now(), new_code()
    stage = Stage.objects.at_bench().with_case()[0]
    imprint = Imprint(
        code=code,
        groups=groups(code),
        mark=scan_mark(code, public_url="http://127.0.0.1"),
        at=now.isoformat(timespec="seconds"),
        printed="now",
        printed_by="the benchmark",
    )
    return ticket_sheet(gather_facts(stage, now=now), imprint)


def measure_paper(*, rounds: int) -> dict[str, dict[str, float]]:
    """One ticket as the site prints it beside bare WeasyPrint on the same HTML."""
    from weasyprint import CSS, HTML

    sheet = _sheet()

    def bare() -> object:
        styles = [CSS(string=text) for text in sheet.stylesheets]
        return HTML(string=sheet.html).write_pdf(stylesheets=styles, pdf_variant="pdf/ua-1")

    acts = {"bare": bare, "site": lambda: render_pdf(sheet)}
    found = in_turns({name: lambda act=act: _timed(act) for name, act in acts.items()}, rounds=rounds)
    return {name: figures(times) for name, times in found.items()}
