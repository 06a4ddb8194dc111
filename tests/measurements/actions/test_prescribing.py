"""A prescription with everything that it brings, all of it or nothing."""

from decimal import Decimal

import pytest

from labcases.cases.actions.intake import cancel_case
from labcases.cases.choices import Act, Arches, CaseKind, CaseState, StageKind
from labcases.cases.models import Case, NumberSeries
from labcases.measurements.actions.prescribing import (
    prescribe_dimensions,
    take_in_case,
)
from labcases.measurements.actions.readings import Unusual
from labcases.measurements.models import PrescribedDimension, Reading
from labcases.measurements.queries import prescribed_for, standing_readings
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.cases.walking import walk_to
from tests.factories.cases import FULL_PRESCRIPTION, NOW, add_figures, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory, LaboratoryFactory, ManagerFactory, TechnicianFactory
from tests.measurements.bench import DISPLAY, HEIGHT, LATER, LIP, RIMS, lip_figures

pytestmark = pytest.mark.django_db

KEY = (RIMS, "maxillary", HEIGHT)


@pytest.fixture
def clinician():
    LaboratoryFactory()
    return ClinicianFactory()


def taken(by, **changes):
    given = {
        "practice": by.practice,
        "kind": CaseKind.COMPLETE,
        "arches": Arches.BOTH,
        "prescription": {**FULL_PRESCRIPTION, "prescriber": by},
        "dates": {StageKind.TRY_IN: NOW.date()},
        "starts_at": StageKind.CUSTOM_TRAY,
        "figures": lip_figures(),
        "prescribed": {KEY: Decimal(23)},
        "by": by,
        "now": NOW,
        "sign": True,
    }
    return take_in_case(**(given | changes))


def nothing_was_kept():
    return not any(model.objects.exists() for model in (Case, Reading, PrescribedDimension, NumberSeries))


def test_a_case_comes_in_signed_with_its_figures_and_dimensions(clinician):
    case = taken(clinician)
    assert (case.state, case.signed_by, case.signed_at) == (CaseState.OPEN, clinician, NOW)
    assert {reading.quantity: reading.value for reading in standing_readings(case)} == {
        LIP: Decimal("7.5"),
        DISPLAY: Decimal(1),
    }
    assert prescribed_for(case, RIMS) == {"maxillary": {HEIGHT: Decimal(23)}}
    acts = list(case.events.order_by("pk").values_list("act", flat=True))
    assert acts == [
        Act.OPENED,
        Act.READING,
        Act.READING,
        Act.PRESCRIBED,
        Act.SPECIFIED,
        Act.SPECIFIED,
        Act.SPECIFIED,
        Act.SIGNED,
    ]


def test_figures_brought_by_the_prescription_belong_to_the_visit_at_which_they_were_taken(clinician):
    assert {reading.stage.kind for reading in standing_readings(taken(clinician))} == {
        StageKind.PRELIMINARY_IMPRESSIONS
    }
    late = taken(clinician, starts_at=StageKind.OCCLUSION_RIMS)
    assert {reading.stage.kind for reading in standing_readings(late)} == {StageKind.DEFINITIVE_IMPRESSIONS}


def test_one_impossible_figure_keeps_the_whole_case_out(clinician):
    with pytest.raises(Refused):
        taken(
            clinician,
            figures=[*lip_figures(), entry("upper_lip_length", "99", arch="", instrument="steel_rule")],
        )
    assert nothing_was_kept()


def test_one_unusual_figure_that_nobody_confirmed_keeps_the_whole_case_out(clinician):
    unusual = entry(LIP, "11.5", instrument="papillameter")
    with pytest.raises(Unusual):
        taken(clinician, figures=[unusual])
    assert nothing_was_kept()
    sure = entry(LIP, "11.5", instrument="papillameter", confirmed=True)
    assert standing_readings(taken(clinician, figures=[sure]))[0].value == Decimal("11.5")


def test_one_impossible_dimension_keeps_the_whole_case_out(clinician):
    with pytest.raises(Refused):
        taken(clinician, prescribed={KEY: Decimal(99)})
    assert nothing_was_kept()


def test_only_the_practice_or_a_manager_adds_figures_and_dimensions(clinician):
    case = taken(clinician, figures=(), prescribed={})
    figures = lip_figures()
    for someone in (TechnicianFactory(), ClinicianFactory()):
        with pytest.raises(NotAllowed):
            add_figures(case, figures, by=someone, now=LATER)
        with pytest.raises(NotAllowed):
            prescribe_dimensions(case=case, prescribed={KEY: Decimal(23)}, by=someone, now=LATER)
    assert not standing_readings(case)
    assert not case.prescribed.exists()
    add_figures(case, figures, by=ManagerFactory(), now=LATER)
    prescribe_dimensions(case=case, prescribed={KEY: Decimal(23)}, by=clinician, now=LATER)
    assert len(standing_readings(case)) == 2


def test_a_figure_that_stands_is_not_added_a_second_time(clinician):
    case = taken(clinician)
    with pytest.raises(Conflict, match="Correct that figure"):
        add_figures(case, lip_figures(), by=clinician, now=LATER)
    assert len(standing_readings(case)) == 2


def test_a_figure_taken_at_a_later_visit_stands_beside_the_earlier_one(clinician):
    case = taken(clinician)
    walk_to(case, StageKind.MASTER_CAST, ManagerFactory())
    later = entry(LIP, "8.0", instrument="papillameter")
    add_figures(case, [later], by=clinician, now=LATER)
    values = [reading.value for reading in standing_readings(case) if reading.quantity == LIP]
    assert values == [Decimal("7.5"), Decimal("8.0")]


def test_no_figure_is_added_to_a_cancelled_case():
    case = taken_in_case()
    manager = ManagerFactory()
    cancel_case(case=case, by=manager, reason="Moved", expected_version=case.version, now=NOW)
    with pytest.raises(Conflict):
        add_figures(case, lip_figures(), by=manager, now=LATER)
    assert not standing_readings(case)


def test_a_prescribed_dimension_is_logged_and_so_is_its_withdrawal(clinician):
    case = taken(clinician, prescribed={})
    for value in (Decimal(23), None):
        prescribe_dimensions(case=case, prescribed={KEY: value}, by=clinician, now=LATER)
    logged = [event.after["value"] for event in case.events.filter(act=Act.PRESCRIBED).order_by("pk")]
    assert logged == ["23", "None"]
