"""The site with the pages of the plan under their addresses."""

from django.urls import include, path

from labcases.config.urls import handler400, handler403, handler404, handler500
from labcases.config.urls import urlpatterns as site
from labcases.office import urls as office
from labcases.office.views import (
    collections,
    feeds,
    plan,
    promises,
    proposals,
    standard_times,
    working_days,
)

PLAN = [
    path("plan", plan.plan, name="plan"),
    path("plan/give", plan.plan_give, name="plan_give"),
    path("plan/stages/<int:pk>/pin", plan.plan_pin, name="plan_pin"),
    path("plan/propose", proposals.propose, name="propose"),
    path("plan/proposals/<int:pk>", proposals.proposal, name="proposal"),
    path("plan/proposals/<int:pk>/accept", proposals.proposal_accept, name="proposal_accept"),
    path("plan/proposals/<int:pk>/decline", proposals.proposal_decline, name="proposal_decline"),
    path("plan/proposals/<int:pk>/stop", proposals.proposal_stop, name="proposal_stop"),
    path("plan/proposals/<int:pk>/again", proposals.proposal_again, name="proposal_again"),
    path("plan/cases/<str:number>/weight", proposals.case_weight, name="case_weight"),
    path("collections", collections.collections, name="collections"),
    path("collections/sheet", collections.collections_sheet, name="collections_sheet"),
    path("laboratory/days", working_days.working_days, name="working_days"),
    path("laboratory/days/week", working_days.week, name="week"),
    path("laboratory/days/close", working_days.close_days, name="close_days"),
    path("laboratory/days/holidays", working_days.adopt_holidays, name="adopt_holidays"),
    path("laboratory/days/lay", working_days.lay_days, name="lay_days"),
    path("laboratory/days/<int:pk>/open", working_days.open_day, name="open_day"),
    path("laboratory/absences", working_days.add_absence, name="add_absence"),
    path("laboratory/absences/<int:pk>/remove", working_days.remove_absence, name="remove_absence"),
    path("laboratory/people/<int:pk>/hours", working_days.hours, name="hours"),
    path("laboratory/practices/<int:pk>/collections", working_days.transport, name="transport"),
    path("laboratory/times", standard_times.times, name="times"),
    path("laboratory/times/<str:kind>", standard_times.time, name="time"),
    path("laboratory/times/<str:kind>/adopt", standard_times.adopt_time, name="adopt_time"),
    path("laboratory/skills", standard_times.skills, name="skills"),
]

EVERYBODY = [
    path("promise", promises.promise, name="promise"),
    path("cases/<str:number>/promise", promises.case_promise, name="case_promise"),
    path("calendar", feeds.my_calendar, name="my_calendar"),
    path("calendar/<str:token>.ics", feeds.calendar_feed, name="calendar_feed"),
]

urlpatterns = [
    *EVERYBODY,
    path("office/", include(([*office.urlpatterns, *PLAN], "office"))),
    *site,
]

__all__ = ["handler400", "handler403", "handler404", "handler500", "urlpatterns"]
