import datetime
from decimal import Decimal

import pytest
from django.utils import timezone

from labcases.cases.choices import CaseState, Location, StageKind, StageState
from labcases.cases.models import Case, Stage
from labcases.cases.queries import stages_to_return_to
from labcases.measurements.queries import current_specification, standing_readings
from tests.clinic.chair import as_clinician, case_of, closed_to_others, get, post, text, visit_of
from tests.factories.measurements import ReadingFactory
from tests.factories.people import ClinicianFactory

pytestmark = pytest.mark.django_db

REST, OCCLUSION = "figure_vertical_dimension_rest", "figure_vertical_dimension_occlusion"


def typed(stage, **changes):
    """The form as its page shows it: days as they are, nothing measured, sent on."""
    stage.refresh_from_db()
    later = stage.case.stages.filter(place="clinic", position__gt=stage.position, due_on__isnull=False)
    return (
        {"stage": stage.pk, "version": stage.version, "decision": "onward"}
        | {f"wanted_{each.kind}": each.due_on for each in later}
        | changes
    )


def send(client, stage, key=None, **changes):
    return post(client, "clinic:record", stage.case.number, key=key, **typed(stage, **changes))


def values(case):
    return {reading.quantity: f"{reading.value:.1f}" for reading in standing_readings(case)}


def test_it_is_closed_to_everybody_but_the_practice(client):
    case, _ = visit_of(ClinicianFactory())
    assert closed_to_others(client, "clinic:record", case.number)


def test_while_the_laboratory_has_the_work_there_is_nothing_to_record(client):
    case = case_of(as_clinician(client))
    assert "Nothing to record now" in text(get(client, "clinic:record", case.number))


def test_what_is_still_at_the_laboratory_is_not_recorded(client):
    case, _ = visit_of(as_clinician(client), StageKind.JAW_RELATION, Location.LABORATORY)
    assert "Nothing to record now" in text(get(client, "clinic:record", case.number))


def test_a_jaw_relation_with_its_figures_goes_to_the_laboratory(client):
    person = as_clinician(client)
    case, stage = visit_of(person)
    response = send(
        client,
        stage,
        **{
            REST: "68,0",
            f"{REST}_2": "68.5",
            OCCLUSION: "65",
            "read_with_vertical": "facial_gauge",
            "figure_midline_deviation": "-1",
            "outcome": "Twice the same.",
            "wanted_try_in": "2030-05-07",
            "wanted_insertion": "",
        },
    )
    case.refresh_from_db()
    stage.refresh_from_db()
    assert response.url.endswith(f"/clinic/cases/{case.number}")
    assert (stage.state, stage.outcome) == (StageState.DONE, "Twice the same.")
    assert (case.current_stage.kind, case.location) == ("tooth_arrangement", Location.TO_LABORATORY)
    assert values(case) == {
        "vertical_dimension_rest": "68.2",
        "vertical_dimension_occlusion": "65.0",
        "midline_deviation": "-1.0",
    }
    rest = case.readings.get(quantity="vertical_dimension_rest")
    assert (rest.repeats, rest.instrument, rest.by) == (["68.0", "68.5"], "facial_gauge", person)
    assert case.stages.get(kind="try_in").due_on == datetime.date(2030, 5, 7)
    assert "on its way to the laboratory" in text(client.get(response.url))


def test_a_try_in_accepted_goes_to_processing(client):
    case, stage = visit_of(as_clinician(client), StageKind.TRY_IN)
    assert "Accepted: processing and finishing is next" in text(get(client, "clinic:record", case.number))
    send(client, stage)
    case.refresh_from_db()
    assert case.current_stage.kind == StageKind.PROCESSING


def test_an_insertion_recorded_completes_the_case(client):
    case, stage = visit_of(as_clinician(client), StageKind.INSERTION, starts_at=StageKind.PROCESSING)
    send(client, stage)
    case.refresh_from_db()
    assert case.state == CaseState.COMPLETE


def test_a_try_in_sent_back_says_where_to_why_and_when(client):
    case, stage = visit_of(as_clinician(client), StageKind.TRY_IN)
    to = stages_to_return_to(case)[0]
    send(
        client,
        stage,
        decision="again",
        to=to.pk,
        cause="midline",
        note="2 mm to the right",
        wanted_back="2030-05-07",
        wanted_insertion="2030-05-21",
        figure_midline_deviation="-2",
    )
    case.refresh_from_db()
    back = case.returns.get()
    assert (back.cause, back.note, back.to_stage.kind) == ("midline", "2 mm to the right", to.kind)
    assert (case.current_stage.kind, case.current_stage.visit) == (to.kind, 2)
    assert case.stages.get(kind="try_in", visit=2).due_on == datetime.date(2030, 5, 7)
    assert case.stages.get(kind="insertion").due_on == datetime.date(2030, 5, 21)
    assert values(case)["midline_deviation"] == "-2.0"


def test_work_sent_back_past_another_appointment_is_dated_for_that_one(client):
    case, stage = visit_of(as_clinician(client), StageKind.TRY_IN)
    rims = next(each for each in stages_to_return_to(case) if each.kind == "occlusion_rims")
    data = {"to": rims.pk, "cause": "rim_height", "wanted_back": "2030-05-07", "wanted_insertion": ""}
    send(client, stage, decision="again", **data)
    assert case.stages.get(kind="jaw_relation", visit=2).due_on == datetime.date(2030, 5, 7)


def test_a_rim_dimension_wanted_otherwise_is_what_the_rims_are_made_to_again(client):
    case, stage = visit_of(as_clinician(client))
    rims = next(each for each in stages_to_return_to(case) if each.kind == "occlusion_rims")
    data = {"to": rims.pk, "cause": "rim_height", "wanted_back": "", "wanted_try_in": ""}
    data |= {"wanted_insertion": "", "prescribed_maxillary_anterior_height": "20,5"}
    assert send(client, stage, decision="again", **data).status_code == 302
    line = current_specification(case, "occlusion_rims").lines.get(arch="maxillary", name="anterior_height")
    assert (str(line.target), line.basis) == ("20.500", "prescribed")


def test_what_is_not_finished_is_kept_and_shown_again(client):
    case, stage = visit_of(as_clinician(client))
    send(client, stage, decision="stays", outcome="Come again", **{REST: "68"})
    case.refresh_from_db()
    assert (case.current_stage, case.location) == (stage, Location.CLINIC)
    body = text(get(client, "clinic:record", case.number))
    assert 'value="68"' in body
    assert "Come again" in body
    stage.refresh_from_db()
    assert send(client, stage, **{REST: "68", "outcome": "Done"}).status_code == 302
    assert case.readings.count() == 1


def test_a_kept_figure_is_corrected_only_with_a_reason(client):
    case, stage = visit_of(as_clinician(client))
    send(client, stage, decision="stays", **{REST: "68"})
    refused = send(client, stage, **{REST: "69"})
    assert refused.status_code == 422
    assert "Say why the recorded figure changes." in text(refused)
    send(client, stage, **{REST: "69", "reason": "Wrong mark"})
    assert values(case) == {"vertical_dimension_rest": "69.0"}
    assert case.readings.count() == 2


def test_an_emptied_box_does_not_take_a_recorded_figure_away(client):
    case, stage = visit_of(as_clinician(client))
    send(client, stage, decision="stays", **{REST: "68"})
    response = send(client, stage)
    assert response.status_code == 422
    assert "is recorded and stays on record" in text(response)
    assert values(case) == {"vertical_dimension_rest": "68.0"}


@pytest.mark.parametrize("bad", ["1e2", "1_0", "1.250", "sixty", "12,5,0"])
def test_a_figure_that_cannot_be_read_keeps_everything_typed(client, bad):
    case, stage = visit_of(as_clinician(client))
    response = send(client, stage, outcome="My words", **{REST: bad, OCCLUSION: "65"})
    body = text(response)
    assert response.status_code == 422
    assert f'value="{bad}"' in body
    assert 'value="65"' in body
    assert "My words" in body
    assert not case.readings.exists()


def test_an_unusual_figure_is_kept_after_one_more_look(client):
    case, stage = visit_of(as_clinician(client))
    first = send(client, stage, figure_midline_deviation="-4")
    assert first.status_code == 422
    seen = "Midline deviation −4.0 mm (usually −2.0 to 2.0)"
    assert seen in text(first)
    again = {"figure_midline_deviation": "-4", "keep_unusual": "on", "unusual_seen": seen}
    assert send(client, stage, **again).status_code == 302
    assert values(case) == {"midline_deviation": "-4.0"}


def test_a_look_at_one_figure_does_not_keep_another(client):
    case, stage = visit_of(as_clinician(client))
    seen = "Midline deviation −4.0 mm (usually −2.0 to 2.0)"
    other = {"figure_midline_deviation": "-5", "keep_unusual": "on", "unusual_seen": seen}
    assert send(client, stage, **other).status_code == 422
    assert not case.readings.exists()


def test_swapped_vertical_dimensions_are_looked_at_once_more(client):
    case, stage = visit_of(as_clinician(client))
    response = send(client, stage, **{REST: "65", OCCLUSION: "68"})
    assert "Freeway space from these −3.0 mm" in text(response)
    assert not case.readings.exists()


def test_a_freeway_space_that_cannot_be_is_refused(client):
    _, stage = visit_of(as_clinician(client))
    response = send(client, stage, **{REST: "80", OCCLUSION: "50"})
    assert "which cannot be" in text(response)


def test_without_a_decision_nothing_is_recorded(client):
    _, stage = visit_of(as_clinician(client))
    response = send(client, stage, decision="", **{REST: "68"})
    assert response.status_code == 422
    assert "Choose what becomes of the work." in text(response)


def test_sending_back_asks_where_to_and_why(client):
    case, stage = visit_of(as_clinician(client))
    body = text(send(client, stage, decision="again"))
    assert "Choose the stage that the work goes back to." in body
    assert "Choose the cause from the list." in body
    assert not case.returns.exists()


def test_days_out_of_order_are_refused(client):
    _, stage = visit_of(as_clinician(client))
    body = text(send(client, stage, wanted_try_in="2030-05-07", wanted_insertion="2030-05-01"))
    assert "This is before the try-in." in body


def test_a_day_that_has_passed_is_refused(client):
    _, stage = visit_of(as_clinician(client))
    yesterday = timezone.localdate() - datetime.timedelta(days=1)
    assert "This day has passed." in text(send(client, stage, wanted_try_in=yesterday))


def test_sent_twice_by_one_tap_it_is_recorded_once(client):
    case, stage = visit_of(as_clinician(client))
    data = typed(stage, **{REST: "68"})
    answers = [post(client, "clinic:record", case.number, key="tap", **data) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [302, 302]
    assert case.readings.count() == 1


def test_a_stage_that_a_colleague_recorded_meanwhile_is_a_conflict_that_loses_nothing(client):
    case, stage = visit_of(as_clinician(client))
    mine = typed(stage, outcome="My long finding", **{REST: "68"})
    send(client, stage)
    response = post(client, "clinic:record", case.number, **mine)
    assert response.status_code == 409
    assert "My long finding" in text(response)
    assert not case.readings.exists()


def test_a_form_of_another_cases_stage_is_refused(client):
    person = as_clinician(client)
    case, _ = visit_of(person)
    _, other = visit_of(person)
    response = post(client, "clinic:record", case.number, **typed(other, **{REST: "68"}))
    assert response.status_code == 422
    assert not case.readings.exists()


def test_an_incomplete_prescription_lets_figures_be_kept_but_not_sent_on(client):
    person = as_clinician(client)
    case = case_of(person, starts_at=StageKind.PRELIMINARY_IMPRESSIONS, base_material="")
    stage = Stage.objects.with_case().get(pk=case.current_stage_id)
    body = text(get(client, "clinic:record", case.number))
    assert "It can’t be sent on yet" in body
    assert 'value="onward"' not in body
    lip = {"figure_papilla_to_resting_lip": "7.5"}
    assert send(client, stage, **lip).status_code == 422
    assert send(client, stage, decision="stays", **lip).status_code == 302
    assert values(case) == {"papilla_to_resting_lip": "7.5"}


def test_one_arch_is_asked_only_for_its_own_figures(client):
    case, _ = visit_of(as_clinician(client), arches="mandibular")
    body = text(get(client, "clinic:record", case.number))
    assert "figure_midline_deviation" not in body
    assert "prescribed_mandibular_anterior_height" in body
    assert "prescribed_maxillary_anterior_height" not in body


def test_the_page_comes_back_from_work_still_on_its_way_without_a_receipt(client):
    case, stage = visit_of(as_clinician(client), StageKind.JAW_RELATION, Location.TO_CLINIC)
    assert send(client, stage).status_code == 302
    case.refresh_from_db()
    assert case.location == Location.TO_LABORATORY


def test_without_scripts_the_freeway_space_is_worked_out_by_sending_the_form(client):
    case, stage = visit_of(as_clinician(client))
    data = typed(stage, look="figures", decision="", **{REST: "68,0", OCCLUSION: "66.5"})
    response = post(client, "clinic:record", case.number, **data)
    body = text(response)
    assert response.status_code == 200
    assert "below the configured range of 2.0 to 4.0 mm" in body
    assert 'value="68,0"' in body
    assert "error-summary" not in body
    assert not case.readings.exists()


def test_with_scripts_only_the_panel_is_answered_and_nothing_recorded(client):
    case, _ = visit_of(as_clinician(client))
    url = f"/clinic/cases/{case.number}/record?{REST}=68&{OCCLUSION}=65"
    fragment = client.get(url, headers={"HX-Request": "true"})
    body = text(fragment)
    assert fragment.status_code == 200
    assert body.startswith('<div id="worked-out">')
    assert "inside the configured range" in body
    restored = client.get(url, headers={"HX-Request": "true", "HX-History-Restore-Request": "true"})
    assert "<html" in text(restored)
    assert not case.readings.exists()


def test_the_number_of_queries_does_not_grow_with_the_figures(client, django_assert_max_num_queries):
    case, stage = visit_of(as_clinician(client))
    send(client, stage, decision="stays", **{REST: "68"})
    get(client, "clinic:record", case.number)
    with django_assert_max_num_queries(12) as one:
        get(client, "clinic:record", case.number)
    more = {REST: "68", OCCLUSION: "65", "figure_midline_deviation": "1"}
    send(client, stage, decision="stays", **more)
    get(client, "clinic:record", case.number)
    with django_assert_max_num_queries(12) as three:
        get(client, "clinic:record", case.number)
    assert len(one) == len(three)


def test_a_cancelled_case_is_not_recorded(client):
    case, stage = visit_of(as_clinician(client))
    data = typed(stage, **{REST: "68"})
    Case.objects.filter(pk=case.pk).update(state=CaseState.CANCELLED)
    assert "Nothing to record now" in text(get(client, "clinic:record", case.number))
    assert post(client, "clinic:record", case.number, **data).status_code == 409
    assert not case.readings.exists()


def rims_as_made(case):
    """The heights at which both rims left the laboratory."""
    stage = case.stages.get(kind="occlusion_rims")
    for arch, name, value in (
        ("maxillary", "anterior_height", "22"),
        ("mandibular", "anterior_height", "18"),
        ("mandibular", "posterior_height_left", "6"),
    ):
        ReadingFactory(case=case, stage=stage, arch=arch, quantity=name, value=Decimal(value))


def prescribed(case):
    lines = current_specification(case, "occlusion_rims").lines.filter(basis="prescribed")
    return {(line.arch, line.name): f"{line.target:.1f}" for line in lines}


TOO_LONG = {"figure_rim_display_at_rest": "3", "figure_incisal_display": "1"}
TOO_CLOSE = {REST: "68", OCCLUSION: "67"}


def back_to_the_rims(case, **changes):
    rims = next(each for each in stages_to_return_to(case) if each.kind == "occlusion_rims")
    no_days = {"wanted_back": "", "wanted_try_in": "", "wanted_insertion": ""}
    return {"decision": "again", "to": rims.pk, "cause": "rim_height", **no_days, **changes}


def test_a_display_that_was_found_too_long_becomes_the_height_that_the_rim_is_made_to(client):
    case, stage = visit_of(as_clinician(client))
    rims_as_made(case)
    answer = send(client, stage, **back_to_the_rims(case, take_over="display", **TOO_LONG))
    assert answer.status_code == 302
    assert prescribed(case) == {("maxillary", "anterior_height"): "20.0"}


def test_a_freeway_space_too_small_becomes_lower_rim_heights_along_the_arch(client):
    case, stage = visit_of(as_clinician(client))
    rims_as_made(case)
    answer = send(client, stage, **back_to_the_rims(case, take_over="lower", **TOO_CLOSE))
    assert answer.status_code == 302
    # 2 mm less at the incisors, 88 mm from the hinge axis, is 1.1 mm less at the molars, 50 mm from it.
    assert prescribed(case) == {
        ("mandibular", "anterior_height"): "16.0",
        ("mandibular", "posterior_height_left"): "4.9",
    }


def test_what_is_found_changes_no_rim_unless_that_is_chosen(client):
    case, stage = visit_of(as_clinician(client))
    rims_as_made(case)
    assert send(client, stage, **back_to_the_rims(case, **TOO_LONG)).status_code == 302
    assert prescribed(case) == {}


def test_a_dimension_written_by_hand_goes_before_the_one_that_follows(client):
    case, stage = visit_of(as_clinician(client))
    rims_as_made(case)
    own = {"take_over": "display", "prescribed_maxillary_anterior_height": "19"}
    send(client, stage, **back_to_the_rims(case, **own, **TOO_LONG))
    assert prescribed(case) == {("maxillary", "anterior_height"): "19.0"}


def test_a_change_is_offered_only_where_it_follows_from_what_is_known(client):
    case, _ = visit_of(as_clinician(client))
    url = f"/clinic/cases/{case.number}/record?figure_rim_display_at_rest=3&figure_incisal_display=1"
    ask = {"HX-Request": "true"}
    assert "take_over" not in text(client.get(url, headers=ask))
    rims_as_made(case)
    assert "in front 22.0 − 2.0 = 20.0 mm" in text(client.get(url, headers=ask))
    as_wanted = url.replace("rest=3", "rest=1")
    assert "take_over" not in text(client.get(as_wanted, headers=ask))


def test_a_change_that_was_not_offered_is_not_taken(client):
    case, stage = visit_of(as_clinician(client))
    assert send(client, stage, **back_to_the_rims(case, take_over="display", **TOO_LONG)).status_code == 422
    assert prescribed(case) == {}
