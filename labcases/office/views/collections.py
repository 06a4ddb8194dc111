"""What goes out to which practice on a day: on the screen, and on paper for the rack."""

import datetime

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from labcases.pages.answers import page
from labcases.pages.days import read_day
from labcases.pages.gates import for_laboratory
from labcases.people.queries import laboratory
from labcases.planning.queries.collections import collection_list
from labcases.tickets.pdf import Sheet, render_pdf

DAY = datetime.timedelta(days=1)


@require_safe
@for_laboratory
def collections(request: HttpRequest) -> HttpResponse:
    day, now = day_asked(request), timezone.now()
    context = {
        "day_shown": day,
        "before": day - DAY,
        "after": day + DAY,
        "today": timezone.localdate(),
        "collections": collection_list(day, now=now),
    }
    return page(request, "office/plan/collections.html", context)


@require_safe
@for_laboratory
def collections_sheet(request: HttpRequest) -> HttpResponse:
    """The list as a PDF in the laboratory’s language, black on white, with a box to tick for each case."""
    day, now = day_asked(request), timezone.now()
    with translation.override(settings.LANGUAGE_CODE):
        context = {
            "day_shown": day,
            "now": now,
            "laboratory": laboratory(),
            "collections": collection_list(day, now=now),
        }
        html = render_to_string("office/plan/collections_sheet.html", context)
        printed = render_pdf(Sheet(html, (_sheet_style(),)))
    headers = {"Content-Disposition": f'inline; filename="collections-{day}.pdf"'}
    return HttpResponse(printed.pdf, content_type="application/pdf", headers=headers)


def day_asked(request: HttpRequest) -> datetime.date:
    """The day in the address, or today where there is none that can be meant."""
    return read_day(request.GET.get("day", "")) or timezone.localdate()


def _sheet_style() -> str:
    """Its foot counts pages in words, whose order another language may change."""
    counted = _("Page {page} of {pages}").format(page='" counter(page) "', pages='" counter(pages) "')
    return SHEET_STYLE.replace('"PAGES"', f'"{counted}"')


SHEET_STYLE = """
@page { size: A4; margin: 18mm 16mm; @bottom-right { content: "PAGES";
  font: 9pt sans-serif } @bottom-left { content: string(foot); font: 9pt sans-serif } }
body { font: 11pt/1.4 sans-serif; color: #000 }
h1 { font-size: 18pt; margin: 0 0 2mm }
h2 { font-size: 14pt; margin: 7mm 0 1mm; border-bottom: 0.4pt solid #000; break-after: avoid }
.foot { string-set: foot content(); height: 0; overflow: hidden; font-size: 0 }
table { width: 100%; border-collapse: collapse; table-layout: fixed }
tr { break-inside: avoid }
td, th { text-align: left; padding: 1.6mm 2mm 1.6mm 0; border-bottom: 0.2pt solid #666; vertical-align: top;
  overflow-wrap: anywhere }
.tick { width: 9mm } .tick span { display: block; width: 5mm; height: 5mm; border: 0.5pt solid #000 }
.number { width: 38mm; font-size: 14pt } .when { width: 34mm }
"""
