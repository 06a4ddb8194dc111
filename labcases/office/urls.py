from django.urls import path

from labcases.office.views import (
    case,
    cases,
    checklists,
    intake,
    laboratory,
    moulds,
    moves,
    paths,
    people,
    practices,
    standard,
    tickets,
    today,
)

app_name = "office"

urlpatterns = [
    path("today", today.today, name="today"),
    path("cases", cases.cases, name="cases"),
    path("cases/assign", cases.assign, name="assign"),
    path("cases/new", intake.new_case, name="new_case"),
    path("cases/<str:number>", case.case, name="case"),
    path("cases/<str:number>/prescription", intake.prescription, name="prescription"),
    path("cases/<str:number>/sign", intake.sign, name="sign"),
    path("cases/<str:number>/dates", moves.dates, name="dates"),
    path("cases/<str:number>/receive", moves.receive, name="receive"),
    path("cases/<str:number>/hand-over", moves.hand_over, name="hand_over"),
    path("cases/<str:number>/clinic-stage", moves.record_clinic, name="record_clinic"),
    path("cases/<str:number>/send-back", moves.send_back, name="send_back"),
    path("cases/<str:number>/cancel", moves.cancel, name="cancel"),
    path("stages/<int:pk>/skip", moves.skip, name="skip"),
    path("tickets", tickets.tickets, name="tickets"),
    path("laboratory", laboratory.laboratory, name="laboratory"),
    path("laboratory/standard", standard.standard, name="standard"),
    path("laboratory/moulds", moulds.moulds, name="moulds"),
    path("laboratory/checklists", checklists.checklists, name="checklists"),
    path("laboratory/checklists/<str:kind>", checklists.checklist, name="checklist"),
    path("laboratory/paths/<str:kind>", paths.path, name="path"),
    path("laboratory/people", people.people, name="people"),
    path("laboratory/people/new", people.person_new, name="person_new"),
    path("laboratory/people/<int:pk>", people.person, name="person"),
    path("laboratory/practices", practices.practices, name="practices"),
    path("laboratory/practices/new", practices.practice_new, name="practice_new"),
    path("laboratory/practices/<int:pk>", practices.practice, name="practice"),
]
