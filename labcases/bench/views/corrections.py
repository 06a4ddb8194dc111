import datetime
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from labcases.bench.forms import CorrectionForm
from labcases.bench.views.answers import once_or_error
from labcases.bench.views.rows import aim, figure
from labcases.bench.views.sheet import sheet_address
from labcases.cases.actions.moves import require_place
from labcases.measurements.actions.readings import correct_reading
from labcases.measurements.queries import current_specification
from labcases.pages.answers import page
from labcases.pages.gates import for_laboratory, reading_or_404
from labcases.pages.templatetags.trade import mm
from labcases.prosthodontics.quantities import quantity
from labcases.prosthodontics.wording import Words


@for_laboratory
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a further figure in the place of one that stands; the old one stays visible, struck through."""
    reading = reading_or_404(request, pk)
    require_place(reading.stage, request.user)
    form = CorrectionForm(
        request.POST if request.method == "POST" else None,
        initial={"instrument": reading.instrument},
        quantity=quantity(reading.quantity),
        arch=reading.arch,
    )
    if form.is_valid():
        answer = once_or_error(request, form, lambda: _correct(request, reading, form, timezone.now()))
        if answer:
            return answer
    return page(request, "bench/correct.html", _context(reading, form), status=422 if form.is_bound else 200)


def _correct(request: HttpRequest, reading: Any, form: CorrectionForm, now: datetime.datetime) -> str:
    correct_reading(reading=reading, entry=form.entry, reason=form.reason_in_words, by=request.user, now=now)
    return sheet_address(reading.stage, at=f"dimension-{reading.arch}-{reading.quantity}")


def _context(reading: Any, form: CorrectionForm) -> dict[str, Any]:
    specification = current_specification(reading.stage.case, reading.stage.kind)
    lines = specification.lines.all() if specification else []
    line = next((each for each in lines if (each.arch, each.name) == (reading.arch, reading.quantity)), None)
    return {
        "reading": reading,
        "stage": reading.stage,
        "case": reading.stage.case,
        "form": form,
        "kind": quantity(reading.quantity),
        "target": aim(line) if line else "",
        "label": str(Words(line.label if line else quantity(reading.quantity).label)),
        "was": figure(reading.value, reading.unit),
        "repeats": ", ".join(mm(Decimal(text)) for text in reading.repeats),
        "is_corrected": hasattr(reading, "superseded_by"),
    }
