"""The laboratory's own dated standard: the one that is worked to, the next one, and those before."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from labcases.measurements.actions.standard import set_lab_standard
from labcases.measurements.queries import lab_standards
from labcases.measurements.standards import plain_standard
from labcases.office.forms.standard import StandardForm, norm_label
from labcases.pages.answers import answer_form, page, status_of
from labcases.pages.gates import for_managers
from labcases.prosthodontics.quantities import ARCHES
from labcases.prosthodontics.specification.lines import with_unit
from labcases.prosthodontics.standard import HOUSE_STANDARD, SCHOOL_CHOICES, LabStandard, Norm


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def standard(request: HttpRequest) -> HttpResponse:
    today, stored = timezone.localdate(), lab_standards()
    newest = max(stored, key=lambda row: row.pk, default=None)
    form = StandardForm(request.POST or None, standard=plain_standard(newest), today=today)
    seen = request.POST.get("seen", str(newest.pk) if newest else "")

    def act() -> str:
        made = set_lab_standard(
            norms=form.own_norms(),
            schools=form.chosen_schools,
            valid_from=form.cleaned_data["valid_from"],
            note=form.cleaned_data["note"],
            by=request.user,
            now=timezone.now(),
            expected=next((row for row in stored if str(row.pk) == seen), None),
        )
        words = _("The lab standard of {day} is kept.")
        messages.success(request, words.format(day=date_format(made.valid_from, "d M Y")))
        return reverse("office:standard")

    answer = answer_form(request, form, act)
    context = {"form": form, "seen": seen, "history": history(stored), "today": today, "arches": ARCHES}
    return answer or page(request, "office/standard.html", context, status=status_of(form))


def history(stored: list[Any]) -> list[dict[str, Any]]:
    """The standards in the order in which they were written, newest first, each with what it changed."""
    written = sorted(stored, key=lambda row: row.pk)
    plain = [HOUSE_STANDARD, *(plain_standard(row) for row in written)]
    rows = [
        {"row": row, "changes": changes_in_words(before, after)}
        for row, before, after in zip(written, plain, plain[1:], strict=False)
    ]
    return rows[::-1]


def changes_in_words(before: LabStandard, after: LabStandard) -> list[str]:
    old = {norm.key: norm for norm in before.norms}
    figures = [
        _("{dimension}, {arch}: {before} becomes {after}").format(
            dimension=norm_label(norm.dimension),
            arch=_(norm.arch),
            before=_figure(old.get(norm.key)),
            after=_figure(norm),
        )
        for norm in after.norms
        if _figure(old.get(norm.key)) != _figure(norm)
    ]
    schools = [
        _("{choice}: {before} becomes {after}").format(
            choice=choice.label,
            before=before.schools.words(choice.name),
            after=after.schools.words(choice.name),
        )
        for choice in SCHOOL_CHOICES
        if getattr(before.schools, choice.name) != getattr(after.schools, choice.name)
    ]
    return figures + schools


def _figure(norm: Norm | None) -> str:
    """A norm as it reads in the list of changes."""
    if norm is None:
        return _("nothing")
    if norm.target is None:
        return _("“{note}”").format(note=norm.note)
    minus, plus = (with_unit(value.normalize(), norm.unit) for value in (norm.minus, norm.plus))
    return f"{with_unit(norm.target.normalize(), norm.unit)} (−{minus}, +{plus})"
