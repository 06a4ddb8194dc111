"""Cases as the intake action leaves them, and rows for tests that need only a row."""

import datetime

import factory

from labcases.cases import models
from labcases.cases.actions.guards import log
from labcases.cases.choices import Act, Arches, CaseKind, Place, ReturnCause, StageKind
from labcases.measurements.actions.prescribing import amend_case, take_in_case
from tests.factories.people import ClinicianFactory, LaboratoryFactory, ManagerFactory, PracticeFactory

NOW = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)

FULL_PRESCRIPTION = {
    "patient_code": "P-100",
    "patient_age": 71,
    "work_description": "Complete upper and lower dentures, new.",
    "impression_material": "zinc_oxide_eugenol",
    "base_material": "Heat-cured acrylic, pink",
    "shade": "Warm light",
    "subcontractor": "none",
}


def taken_in_case(
    *,
    practice=None,
    prescriber=None,
    by=None,
    kind=CaseKind.COMPLETE,
    arches=Arches.BOTH,
    starts_at=StageKind.CUSTOM_TRAY,
    sign=True,
    figures=(),
    prescribed=None,
    now=NOW,
    wanted_in_days=7,
    **changes,
):
    """A case as it stands after its prescription was entered: complete and signed unless told otherwise."""
    LaboratoryFactory()
    prescriber = prescriber or ClinicianFactory(practice=practice or PracticeFactory())
    by = by or ManagerFactory()
    day = now.date()
    clinic_stages = (
        StageKind.DEFINITIVE_IMPRESSIONS,
        StageKind.JAW_RELATION,
        StageKind.TRY_IN,
        StageKind.INSERTION,
    )
    dates = {
        kind: day + datetime.timedelta(days=wanted_in_days * n) for n, kind in enumerate(clinic_stages, 1)
    }
    return take_in_case(
        practice=prescriber.practice,
        kind=kind,
        arches=arches,
        prescription={**FULL_PRESCRIPTION, "prescriber": prescriber, **changes},
        dates=dates,
        starts_at=starts_at,
        figures=figures,
        prescribed=prescribed or {},
        by=by,
        now=now,
        sign=sign,
    )


def add_figures(case, figures, *, by, now):
    """Figures of the chair that come after the prescription, which stays as it is."""
    version = models.Case.objects.values_list("version", flat=True).get(pk=case.pk)
    amend_case(
        case=case,
        changes={},
        dates={},
        figures=figures,
        corrections=(),
        reason="",
        prescribed={},
        by=by,
        expected_version=version,
        now=now,
    )


class NumberSeriesFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.NumberSeries

    year = factory.Sequence(lambda n: 2000 + n)


class CaseFactory(factory.django.DjangoModelFactory):
    """A bare row without a path; most tests want `taken_in_case`."""

    class Meta:
        model = models.Case

    number = factory.Sequence(lambda n: f"99-{n:05d}-X")
    practice = factory.SubFactory(PracticeFactory)
    opened_at = NOW
    opened_by = factory.SubFactory(ManagerFactory)


class StageFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Stage

    case = factory.SubFactory(CaseFactory)
    kind = StageKind.OCCLUSION_RIMS
    place = Place.LABORATORY
    position = factory.Sequence(lambda n: n + 1)


class StepFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Step

    stage = factory.SubFactory(StageFactory)
    position = factory.Sequence(lambda n: n + 1)
    text = "Seal the wax to the base all round"


class DisinfectionFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Disinfection

    stage = factory.SubFactory(StageFactory)
    case = factory.SelfAttribute("stage.case")
    agent = "Surface disinfectant, label A"
    minutes = 10
    minutes_required = 10
    by = factory.SubFactory(ManagerFactory)
    at = NOW


class EventFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Event

    case = factory.SubFactory(CaseFactory)
    act = Act.NOTE
    by = factory.SubFactory(ManagerFactory)
    at = NOW

    @classmethod
    def _create(cls, model_class, *, case, act, by, at, **said):
        return log(case, act, by=by, now=at, **said)


class UntoldFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Untold

    event = factory.SubFactory(EventFactory)


class ReturnFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Return

    case = factory.SubFactory(CaseFactory)
    from_stage = factory.SubFactory(StageFactory, case=factory.SelfAttribute("..case"), kind=StageKind.TRY_IN)
    to_stage = factory.SubFactory(StageFactory, case=factory.SelfAttribute("..case"))
    visit = 2
    cause = ReturnCause.MIDLINE
    by = factory.SubFactory(ManagerFactory)
    at = NOW


class PathStepFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.PathStep

    case_kind = CaseKind.COMPLETE
    position = factory.Sequence(lambda n: n + 1)
    stage_kind = StageKind.OCCLUSION_RIMS


class ChecklistStepFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.ChecklistStep

    stage_kind = StageKind.OCCLUSION_RIMS
    position = factory.Sequence(lambda n: n + 1)
    text = "Measure again after the wax is sealed"


class CaseImportFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.CaseImport

    file_name = factory.Sequence(lambda n: f"orders-{n}.csv")
    sha256 = factory.Sequence(lambda n: f"{n:064x}")
    headings = ["Practice", "Patient’s code"]
    mapping = ["practice", "patient_code"]
    made_by = factory.SubFactory(ManagerFactory)
    made_at = NOW


class ImportLineFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.ImportLine

    case_import = factory.SubFactory(CaseImportFactory)
    position = factory.Sequence(lambda n: n + 2)
    cells = ["PR1", "P-100"]


class ImportHeadingFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.ImportHeading

    heading = factory.Sequence(lambda n: f"heading {n}")
    field = "patient_code"
