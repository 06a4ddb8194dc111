"""The practices that send work."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from labcases.cases.actions.completeness import settle_incomplete_cases
from labcases.office.forms.people import PracticeForm
from labcases.pages.answers import answer_form, page, status_of
from labcases.pages.gates import for_managers, version_seen
from labcases.people.actions.staff import add_practice, change_practice
from labcases.people.queries import all_practices, practice_by_id, prescribers


@require_safe
@for_managers
def practices(request: HttpRequest) -> HttpResponse:
    return page(request, "office/practices.html", {"practices": all_practices()})


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def practice_new(request: HttpRequest) -> HttpResponse:
    form = PracticeForm(request.POST or None)

    def act() -> str:
        made = add_practice(**form.cleaned_data, by=request.user)
        messages.success(request, _("{name} is added.").format(name=made.name))
        return reverse("office:practices")

    answer = answer_form(request, form, act)
    return answer or page(request, "office/practice.html", {"form": form}, status=status_of(form))


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def practice(request: HttpRequest, pk: int) -> HttpResponse:
    one = practice_by_id(pk)
    if one is None:
        raise Http404
    form = PracticeForm(request.POST or None, practice=one)

    def act() -> str:
        version = version_seen(request)
        change_practice(one, by=request.user, expected_version=version, **form.cleaned_data)
        settle_incomplete_cases()
        messages.success(request, _("{name} is changed.").format(name=form.cleaned_data["name"]))
        return reverse("office:practices")

    answer = answer_form(request, form, act)
    context = {
        "form": form,
        "practice": one,
        "version": request.POST.get("version") or one.version,
        "clinicians": prescribers(one),
    }
    return answer or page(request, "office/practice.html", context, status=status_of(form))
