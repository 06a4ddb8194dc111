"""The clinic record's form: which decisions it offers, and what it makes of what was typed."""

from decimal import Decimal

import pytest
from django.http import QueryDict
from django.utils import timezone

from labcases.cases.choices import Location, StageKind
from labcases.cases.models import Stage
from labcases.pages.clinic_record import ClinicRecordForm, stage_to_record
from tests.factories.cases import taken_in_case
from tests.factories.visits import case_at

pytestmark = pytest.mark.django_db


def form_at(stage, **typed):
    data = QueryDict(mutable=True)
    data.update(typed)
    return ClinicRecordForm(data if typed else None, stage=stage, today=timezone.localdate())


def offered(form):
    return dict(form.fields["decision"].choices)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (StageKind.DEFINITIVE_IMPRESSIONS, "Send it on: master cast is next"),
        (StageKind.JAW_RELATION, "Send it on: tooth arrangement is next"),
        (StageKind.TRY_IN, "Accepted: processing and finishing is next"),
        (StageKind.INSERTION, "Inserted: the case is complete"),
    ],
)
def test_the_decision_names_what_comes_next(kind, words):
    _, stage = case_at(kind)
    assert offered(form_at(stage))["onward"] == words


def test_without_an_earlier_laboratory_stage_nothing_can_be_sent_back():
    case = taken_in_case(starts_at=StageKind.PRELIMINARY_IMPRESSIONS)
    stage = Stage.objects.with_case().get(pk=case.current_stage_id)
    assert list(offered(form_at(stage))) == ["onward", "stays"]


def test_an_instrument_that_nobody_named_is_not_made_up():
    _, stage = case_at(StageKind.JAW_RELATION)
    form = form_at(stage, decision="onward", figure_plane_cant="1", figure_midline_deviation="1")
    assert form.is_valid(), form.errors
    named = {entry.quantity: entry.instrument for entry in form.findings.figures}
    assert named == {"plane_cant": "not_stated_degrees", "midline_deviation": "not_stated"}


def test_a_figure_of_an_earlier_sitting_stands_beside_its_box():
    case, stage = case_at(StageKind.JAW_RELATION)
    form = form_at(stage, decision="onward", figure_midline_deviation="1.5")
    assert form.is_valid(), form.errors
    form.record(by=case.prescriber, now=timezone.now(), expected_version=stage.version)
    later = Stage.objects.with_case().get(case=case, kind=StageKind.TRY_IN)
    rows = [row for part in form_at(later).parts for row in part["single"]]
    before = {row["label"]: row["before"] for row in rows}
    assert before["Midline deviation"] == "1.5 mm at jaw relation record"


def test_a_prescribed_rim_dimension_stands_in_its_box_again():
    key = ("occlusion_rims", "maxillary", "anterior_height")
    _, stage = case_at(StageKind.JAW_RELATION, prescribed={key: Decimal(25)})
    form = form_at(stage)
    assert form["prescribed_maxillary_anterior_height"].value() == "25"
    assert form.prescribes


def test_only_a_clinic_stage_of_an_open_case_is_recorded():
    waiting, stage = case_at(StageKind.JAW_RELATION, location=Location.CLINIC)
    assert stage_to_record(waiting) == stage
    assert stage_to_record(taken_in_case()) is None
