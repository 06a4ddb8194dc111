"""What is typed into a long form and not sent is there again: in the boxes, or beside them where others were faster."""

import pytest
from django.urls import reverse

from labcases.cases.models import Case
from labcases.people.models import OneTimeKey
from tests.clinic.chair import as_clinician, case_of, post, text, visit_of

pytestmark = pytest.mark.django_db

AGAIN = "What you typed before and did not send is in the boxes again"
OVERTAKEN = "the case has changed since"


def new_form(client):
    return text(client.get(reverse("clinic:new_case")))


def test_a_form_sent_to_be_kept_is_kept_and_nothing_else_happens(client):
    as_clinician(client)
    answer = post(client, "clinic:new_case", draft="keep", patient_code="KM-7", shade="twelve")
    assert (answer.status_code, answer.content) == (204, b"")
    assert not Case.objects.exists()
    assert not OneTimeKey.objects.exists()
    page = new_form(client)
    assert AGAIN in page
    assert 'value="KM-7"' in page


def test_a_figure_that_cannot_be_read_yet_is_kept_as_it_was_typed(client):
    as_clinician(client)
    post(client, "clinic:new_case", draft="keep", figure_upper_lip_length="2x")
    assert 'value="2x"' in new_form(client)


def test_a_signature_is_never_kept(client):
    as_clinician(client)
    post(client, "clinic:new_case", draft="keep", patient_code="KM-7", sign="on")
    assert "checked" not in new_form(client).partition('name="sign"')[2].partition(">")[0]


def test_a_choice_is_kept(client):
    as_clinician(client)
    post(client, "clinic:new_case", draft="keep", kind="copy", arches="maxillary")
    page = new_form(client)
    assert 'value="copy"' in page.partition("checked")[0].rpartition("<input")[2]


def test_it_can_be_left_out_and_is_still_there_afterwards(client):
    as_clinician(client)
    post(client, "clinic:new_case", draft="keep", patient_code="KM-7")
    afresh = text(client.get(reverse("clinic:new_case") + "?afresh=1"))
    assert "KM-7" not in afresh
    assert "KM-7" in new_form(client)


def test_my_cases_says_that_one_is_begun_until_it_is_sent(client):
    as_clinician(client)
    post(client, "clinic:new_case", draft="keep", patient_code="KM-7")
    words = "A prescription is begun and not sent"
    assert words in text(client.get(reverse("clinic:cases")))
    sent = post(client, "clinic:new_case", patient_code="KM-7", kind="complete", arches="both")
    assert sent.status_code == 302
    assert words not in text(client.get(reverse("clinic:cases")))
    assert "KM-7" not in new_form(client)


def test_a_refused_form_is_kept_too(client):
    as_clinician(client)
    refused = post(client, "clinic:new_case", patient_code="KM-7", kind="complete", arches="none at all")
    assert refused.status_code == 422
    assert "KM-7" in new_form(client)


def test_a_change_of_a_prescription_keeps_only_what_differs(client):
    person = as_clinician(client)
    case = case_of(person)
    post(
        client,
        "clinic:prescription",
        case.number,
        draft="keep",
        version=case.version,
        patient_code=case.patient_code,
        shade="twelve",
    )
    (kept,) = client.session["drafts"].values()
    assert kept == {"shade": "twelve", "version": str(case.version)}
    assert 'value="twelve"' in text(client.get(reverse("clinic:prescription", args=[case.number])))


def test_where_the_case_changed_meanwhile_the_boxes_show_what_holds_and_the_page_what_was_typed(client):
    person = as_clinician(client)
    case = case_of(person)
    address = reverse("clinic:prescription", args=[case.number])
    post(client, "clinic:prescription", case.number, draft="keep", version=case.version, shade="twelve")
    Case.objects.filter(pk=case.pk).update(version=case.version + 1, shade="nine")
    page = text(client.get(address))
    assert OVERTAKEN in page
    assert "twelve" in page
    assert 'value="nine"' in page
    assert 'value="twelve"' not in page


def test_the_record_of_a_clinic_stage_is_kept_while_it_is_written(client):
    person = as_clinician(client)
    case, stage = visit_of(person)
    form = {"stage": stage.pk, "version": stage.version, "figure_canine_line_right": "20,5"}
    answer = post(client, "clinic:record", case.number, draft="keep", outcome="Speaks well", **form)
    assert answer.status_code == 204
    page = text(client.get(reverse("clinic:record", args=[case.number])))
    assert 'value="20,5"' in page
    assert "Speaks well" in page
    stage.refresh_from_db()
    assert stage.outcome == ""


def test_another_person_of_the_practice_has_drafts_of_their_own(client):
    person = as_clinician(client)
    post(client, "clinic:new_case", draft="keep", patient_code="KM-7")
    as_clinician(client, practice=person.practice)
    assert "KM-7" not in new_form(client)
