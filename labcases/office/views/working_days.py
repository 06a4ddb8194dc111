"""The laboratory's time: its week, closed days and public holidays, absences, and practices' collections."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from labcases.office.forms.planning import AbsenceForm, ClosureForm, HolidaysForm, TransportForm, WeekForm
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.gates import for_managers, version_seen
from labcases.people.queries import person_at_bench, practice_by_id
from labcases.planning.actions import working_days as actions
from labcases.planning.actions.due_days import lay_all_due_days
from labcases.planning.queries import calendars
from labcases.planning.working_time.openings import clock


@require_safe
@for_managers
def working_days(request: HttpRequest) -> HttpResponse:
    return _shown(request)


def _shown(request: HttpRequest, **bound: Any) -> HttpResponse:
    """The page with its five forms; the one that was sent keeps what was typed."""
    today, settings = timezone.localdate(), calendars.calendar_settings()
    context = {
        "week": WeekForm(week=calendars.laboratory_week()),
        "closure": ClosureForm(),
        "holidays": HolidaysForm(initial={"country": settings.country, "region": settings.region}),
        "absence": AbsenceForm(),
        "closed_days": list(calendars.closed_days(today)),
        "absences": list(calendars.absences(today)),
        "version": request.POST.get("version") or settings.version,
        "settings": settings,
        "years": [today.year, today.year + 1],
    } | bound
    forms = [context[name] for name in ("week", "closure", "holidays", "absence")]
    context["forms"] = forms
    status = max(status_of(form) for form in forms)
    return page(request, "office/plan/working_days.html", context, status=status)


def _here() -> str:
    return reverse("office:working_days")


@require_POST
@for_managers
def week(request: HttpRequest) -> HttpResponse:
    form = WeekForm(request.POST, week=calendars.laboratory_week())

    def act() -> str:
        actions.set_laboratory_week(
            week=form.cleaned_data["week"], by=request.user, expected_version=version_seen(request)
        )
        messages.success(request, _("The week is kept. Days laid before stay until they are laid anew."))
        return _here()

    return answer_form(request, form, act) or _shown(request, week=form)


@require_POST
@for_managers
def close_days(request: HttpRequest) -> HttpResponse:
    form = ClosureForm(request.POST)

    def act() -> str:
        count = actions.close_days(
            **form.cleaned_data, by=request.user, expected_version=version_seen(request)
        )
        words = ngettext("{count} day is closed.", "{count} days are closed.", count)
        messages.success(request, words.format(count=count))
        return _here()

    return answer_form(request, form, act) or _shown(request, closure=form)


@require_POST
@for_managers
def open_day(request: HttpRequest, pk: int) -> HttpResponse:
    """Work on a closed day after all, or close a public holiday again."""
    closed = next((row for row in calendars.closed_days(timezone.localdate()) if row.pk == pk), None)
    if closed is None:
        raise Http404

    def act() -> str:
        change = actions.close_day_again if closed.worked else actions.open_day
        change(closed=closed, by=request.user, expected_version=version_seen(request))
        words = _("{day}: closed.") if closed.worked else _("{day}: open.")
        messages.success(request, words.format(day=closed.reason))
        return _here()

    return once(request, act)


@require_POST
@for_managers
def adopt_holidays(request: HttpRequest) -> HttpResponse:
    form, today = HolidaysForm(request.POST), timezone.localdate()

    def act() -> str:
        count = actions.adopt_public_holidays(
            **form.cleaned_data,
            years=[today.year, today.year + 1],
            by=request.user,
            now=timezone.now(),
            expected_version=version_seen(request),
        )
        words = ngettext("{count} public holiday is added.", "{count} public holidays are added.", count)
        messages.success(request, words.format(count=count))
        return _here()

    return answer_form(request, form, act) or _shown(request, holidays=form)


@require_POST
@for_managers
def add_absence(request: HttpRequest) -> HttpResponse:
    form = AbsenceForm(request.POST)

    def act() -> str:
        absence = actions.add_absence(**form.cleaned_data, by=request.user)
        messages.success(request, _("{person} is away.").format(person=absence.person))
        return _here()

    return answer_form(request, form, act) or _shown(request, absence=form)


@require_POST
@for_managers
def remove_absence(request: HttpRequest, pk: int) -> HttpResponse:
    absence = next((row for row in calendars.absences(timezone.localdate()) if row.pk == pk), None)
    if absence is None:
        raise Http404

    def act() -> str:
        actions.remove_absence(absence=absence, by=request.user)
        messages.success(request, _("{person} is here after all.").format(person=absence.person))
        return _here()

    return once(request, act)


@require_POST
@for_managers
def lay_days(request: HttpRequest) -> HttpResponse:
    """Lay the due days of all open cases anew, after the week or closed days were changed."""

    def act() -> str:
        count = lay_all_due_days(by=request.user, now=timezone.now())
        words = ngettext(
            "The days of {count} case have moved.", "The days of {count} cases have moved.", count
        )
        messages.success(request, words.format(count=count))
        return _here()

    return once(request, act)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def hours(request: HttpRequest, pk: int) -> HttpResponse:
    """A person's own hours, where they are not the laboratory's."""
    person = person_at_bench(str(pk))
    if person is None:
        raise Http404
    own = calendars.own_week(person)
    form = WeekForm(request.POST or None, week=own or calendars.laboratory_week())

    def act() -> str:
        same = request.POST.get("own") == "no"
        actions.set_person_hours(
            person=person,
            week=None if same else form.cleaned_data["week"],
            by=request.user,
            expected_version=version_seen(request),
        )
        messages.success(request, _("The hours of {person} are kept.").format(person=person))
        return _here()

    settings = calendars.calendar_settings()
    context = {
        "form": form,
        "person": person,
        "own": own is not None,
        "version": request.POST.get("version") or settings.version,
    }
    answer = answer_form(request, form, act)
    return answer or page(request, "office/plan/hours.html", context, status=status_of(form))


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def transport(request: HttpRequest, pk: int) -> HttpResponse:
    """On which days a practice's work is collected, until when it must be ready, how long it travels."""
    practice = practice_by_id(pk)
    if practice is None:
        raise Http404
    stored, plain = calendars.transport_settings(practice), calendars.transport_of(practice)
    cut_offs = {weekday: clock(minute) for weekday, minute in plain.cut_offs.items()}
    form = TransportForm(request.POST or None, cut_offs=cut_offs, transit_days=plain.transit_days)

    def act() -> str:
        actions.set_transport(
            practice=practice,
            cut_offs=form.cut_offs,
            transit_days=form.cleaned_data["transit_days"],
            by=request.user,
            expected_version=version_seen(request),
        )
        messages.success(request, _("The collections of {practice} are kept.").format(practice=practice))
        return reverse("office:practice", args=[practice.pk])

    context = {"form": form, "practice": practice, "version": request.POST.get("version") or stored.version}
    answer = answer_form(request, form, act)
    return answer or page(request, "office/plan/transport.html", context, status=status_of(form))
