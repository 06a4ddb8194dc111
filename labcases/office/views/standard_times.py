"""Standard times beside what finished stages took, and who can do what."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from labcases.cases.choices import StageKind
from labcases.office.forms.planning import SkillsForm, StandardTimeForm
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.gates import for_managers, version_seen
from labcases.people.queries import bench_people
from labcases.people.refusals import Refused
from labcases.planning.actions.times import adopt_own_time, set_skills, set_standard_time, use_delivered_time
from labcases.planning.queries.calendars import laboratory_calendar
from labcases.planning.queries.times import (
    OwnTime,
    laboratory_kinds,
    own_times,
    standard_times,
    stored_times,
)
from labcases.planning.scheduling.times import SKILLS
from labcases.prosthodontics.wording import in_a_sentence


@require_safe
@for_managers
def times(request: HttpRequest) -> HttpResponse:
    held, stored, own = standard_times(), stored_times(), _own()
    rows = [
        {
            "kind": kind,
            "time": held[kind],
            "skill": SKILLS[held[kind].skill],
            "stored": stored.get(kind),
            "own": own.get(kind),
        }
        for kind in laboratory_kinds()
    ]
    return page(request, "office/plan/times.html", {"rows": rows})


def _own() -> dict[str, OwnTime]:
    return own_times(laboratory_calendar(), now=timezone.now())


def _kind_or_404(kind: str) -> StageKind:
    found = next((each for each in laboratory_kinds() if each == kind), None)
    if found is None:
        raise Http404
    return found


def _kept(kind: StageKind) -> str:
    return _("The time for {stage} is kept.").format(stage=in_a_sentence(kind.label))


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def time(request: HttpRequest, kind: str) -> HttpResponse:
    stage_kind = _kind_or_404(kind)
    held, stored = standard_times()[stage_kind], stored_times().get(stage_kind)
    form = StandardTimeForm(request.POST or None, kind=stage_kind, time=held)

    def act() -> str:
        set_standard_time(
            time=form.time, by=request.user, now=timezone.now(), expected_version=version_seen(request)
        )
        messages.success(request, _kept(stage_kind))
        return reverse("office:times")

    context = {
        "form": form,
        "kind": stage_kind,
        "time": held,
        "stored": stored,
        "own": _own().get(stage_kind),
        "version": request.POST.get("version") or (stored.version if stored else 0),
    }
    answer = answer_form(request, form, act)
    return answer or page(request, "office/plan/time.html", context, status=status_of(form))


@require_POST
@for_managers
def adopt_time(request: HttpRequest, kind: str) -> HttpResponse:
    """Take the median of finished stages, or go back to the delivered value."""
    stage_kind = _kind_or_404(kind)

    def act() -> str:
        version = version_seen(request)
        if request.POST.get("which") == "delivered":
            use_delivered_time(stage_kind=stage_kind, by=request.user, expected_version=version)
        else:
            own = _own().get(stage_kind)
            if own is None:
                raise Refused(_("No stage of this kind was finished here yet."))
            adopt_own_time(own=own, by=request.user, now=timezone.now(), expected_version=version)
        messages.success(request, _kept(stage_kind))
        return reverse("office:times")

    return once(request, act)


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def skills(request: HttpRequest) -> HttpResponse:
    people = list(bench_people().prefetch_related("skills"))
    known = {person.pk: {row.skill for row in person.skills.all()} for person in people}
    form = SkillsForm(request.POST or None, people=people, known=known)

    def act() -> str:
        for person in people:
            seen = {skill for skill in request.POST.get(f"seen_{person.pk}", "").split(",") if skill}
            if form.chosen(person) != seen:
                set_skills(person=person, skills=form.chosen(person), expected=seen, by=request.user)
        messages.success(request, _("The skills are kept."))
        return reverse("office:skills")

    answer = answer_form(request, form, act)
    # What the page showed goes with the form, so that a tick which somebody else set meanwhile is not undone.
    now = [(f"seen_{pk}", ",".join(sorted(skills))) for pk, skills in known.items()]
    seen = [(name, request.POST.get(name, skills)) for name, skills in now]
    context = {"form": form, "people": people, "skills": SKILLS.values(), "seen": seen}
    return answer or page(request, "office/plan/skills.html", context, status=status_of(form))
