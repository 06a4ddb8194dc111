"""What belongs to the whole laboratory is changed by one manager at a time, and numbers are given out once."""

import pytest

from labcases.cases.actions.assigning import assign
from labcases.cases.actions.checklists import set_checklist, set_path
from labcases.cases.actions.intake import change_prescription
from labcases.cases.choices import Arches, CaseKind, StageKind
from labcases.cases.models import Case, NumberSeries, Stage
from labcases.cases.queries import checklist_for, path_for
from labcases.measurements.actions.prescribing import take_in_case
from labcases.measurements.actions.readings import correct_reading, record_readings
from labcases.measurements.models import LabStandard, Reading
from labcases.people.actions.staff import change_person, describe_laboratory
from labcases.people.choices import Role
from labcases.people.models import Laboratory, User
from labcases.people.refusals import Conflict, Refused
from tests.cases.walking import current
from tests.factories.cases import FULL_PRESCRIPTION, NOW, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory, LaboratoryFactory, ManagerFactory, TechnicianFactory
from tests.measurements.bench import HEIGHT, LATER, at_work, norm, standardise, take
from tests.reliability.together import at_once

pytestmark = pytest.mark.django_db(transaction=True)

RIMS = StageKind.OCCLUSION_RIMS
ROUNDS = range(5)


@pytest.fixture
def managers():
    LaboratoryFactory()
    return ManagerFactory(), ManagerFactory()


def one_won(answers):
    """Exactly one was not refused, and every refusal is a conflict; which one it was."""
    lost = [answer for answer in answers if isinstance(answer, Exception)]
    assert len(lost) == len(answers) - 1, answers
    assert all(isinstance(answer, Conflict) for answer in lost), lost
    return next(n for n, answer in enumerate(answers) if not isinstance(answer, Exception))


@pytest.mark.parametrize("round", ROUNDS)
def test_of_two_checklists_written_at_once_one_is_kept(managers, round):
    if round % 2:
        set_checklist(stage_kind=RIMS, steps=["Old"], by=managers[0])
    seen = checklist_for(RIMS)
    lists = [["Warm the wax", "Seal it"], ["Cool the wax"]]
    answers = at_once(
        *[
            lambda by=by, steps=steps: set_checklist(stage_kind=RIMS, steps=steps, by=by, expected=seen)
            for by, steps in zip(managers, lists, strict=True)
        ]
    )
    assert checklist_for(RIMS) == tuple(lists[one_won(answers)])


@pytest.mark.parametrize("round", ROUNDS)
def test_of_two_paths_written_at_once_one_is_kept(managers, round):
    seen = path_for(CaseKind.RELINE)
    paths = [(StageKind.RELINE,), (StageKind.RELINE, StageKind.INSERTION)]
    answers = at_once(
        *[
            lambda by=by, path=path: set_path(
                case_kind=CaseKind.RELINE, stage_kinds=path, by=by, expected=seen
            )
            for by, path in zip(managers, paths, strict=True)
        ]
    )
    assert path_for(CaseKind.RELINE) == paths[one_won(answers)]


@pytest.mark.parametrize("round", ROUNDS)
def test_of_two_standards_written_at_once_one_is_kept(managers, round):
    newest = standardise(norm(HEIGHT, 21), by=managers[0]) if round % 2 else None
    before = LabStandard.objects.count()
    answers = at_once(
        *[
            lambda by=by, height=height: standardise(norm(HEIGHT, height), by=by, expected=newest)
            for by, height in zip(managers, (23, 24), strict=True)
        ]
    )
    winner = answers[one_won(answers)]
    assert LabStandard.objects.count() == before + 1
    assert LabStandard.objects.order_by("-pk").first() == winner


def test_of_two_descriptions_of_the_laboratory_one_is_kept(managers):
    names = ["Quarry", "Pit"]
    answers = at_once(
        *[
            lambda by=by, name=name: describe_laboratory(name=name, address="x", by=by, expected_version=1)
            for by, name in zip(managers, names, strict=True)
        ]
    )
    assert Laboratory.objects.get().name == names[one_won(answers)]


@pytest.mark.parametrize("round", ROUNDS)
def test_two_managers_who_switch_each_other_off_leave_one(managers, round):
    one, other = managers
    answers = at_once(
        lambda: change_person(other, by=one, expected_version=1, is_active=False),
        lambda: change_person(one, by=other, expected_version=1, is_active=False),
    )
    assert sum(answer is None for answer in answers) == 1
    assert all(answer is None or isinstance(answer, Refused) for answer in answers), answers
    assert User.objects.filter(role=Role.MANAGER, is_active=True).count() == 1


def take_in(prescriber, by, **more):
    return take_in_case(
        practice=prescriber.practice,
        kind=CaseKind.RELINE,
        arches=Arches.BOTH,
        prescription={**FULL_PRESCRIPTION, "prescriber": prescriber, **more},
        dates={},
        starts_at=StageKind.RELINE,
        figures=(),
        prescribed={},
        by=by,
        now=NOW,
    )


def test_cases_that_come_in_at_once_have_numbers_of_their_own(managers):
    prescriber = ClinicianFactory()
    people = 6

    def several():
        return [take_in(prescriber, managers[0]).number for _ in range(5)]

    answers = at_once(*[several] * people)
    numbers = [number for answer in answers for number in answer]
    assert len(set(numbers)) == len(numbers) == people * 5
    assert sorted(numbers) == sorted(Case.objects.values_list("number", flat=True))
    assert NumberSeries.objects.count() == 1


def test_two_managers_batches_in_opposite_order_do_not_wait_for_each_other(managers):
    technician = TechnicianFactory()
    stages = [current(taken_in_case()) for _ in range(6)]

    def give(by, batch):
        return assign(stages=[(stage, 1) for stage in batch], to=technician, by=by, now=NOW)

    answers = at_once(lambda: give(managers[0], stages), lambda: give(managers[1], stages[::-1]))
    assert answers[one_won(answers)] == 6
    assert set(Stage.objects.filter(assignee=technician)) == set(stages)


@pytest.mark.parametrize("round", ROUNDS)
def test_of_two_people_who_take_the_same_figure_one_is_kept(round):
    people = TechnicianFactory(), TechnicianFactory()
    rims = at_work(by=people[0])
    answers = at_once(
        *[
            lambda by=by, value=value: record_readings(
                stage=rims, entries=[entry(HEIGHT, value)], by=by, now=LATER
            )
            for by, value in zip(people, ("22.0", "22.2"), strict=True)
        ]
    )
    (kept,) = answers[one_won(answers)]
    assert list(Reading.objects.all()) == [kept]


@pytest.mark.parametrize("round", ROUNDS)
def test_of_two_people_who_correct_the_same_figure_one_is_kept(round):
    people = TechnicianFactory(), TechnicianFactory()
    rims = at_work(by=people[0])
    (wrong,) = take(rims, entry(HEIGHT, "22.9"), by=people[0])
    answers = at_once(
        *[
            lambda by=by, value=value: correct_reading(
                reading=wrong, entry=entry(HEIGHT, value), reason="Slip", by=by, now=LATER
            )
            for by, value in zip(people, ("22.0", "22.2"), strict=True)
        ]
    )
    kept = answers[one_won(answers)]
    assert Reading.objects.standing().get() == kept


def test_figures_typed_by_two_people_at_once_make_revisions_that_follow_each_other():
    people = TechnicianFactory(), TechnicianFactory()
    cast = at_work(StageKind.MASTER_CAST, by=people[0])
    figures = [entry("sulcus_to_papilla", "12.5"), entry("intersulcus_distance", "40", arch="")]
    answers = at_once(
        *[
            lambda by=by, figure=figure: record_readings(stage=cast, entries=[figure], by=by, now=LATER)
            for by, figure in zip(people, figures, strict=True)
        ]
    )
    assert not [answer for answer in answers if isinstance(answer, Exception)]
    revisions = cast.case.specifications.filter(stage_kind=RIMS).order_by("revision")
    assert list(revisions.values_list("revision", flat=True)) in ([1, 2], [1, 2, 3])
    assert len(revisions.last().inputs) == 2


@pytest.mark.parametrize("round", ROUNDS)
def test_one_order_of_a_practice_is_filed_once(managers, round):
    """One case is opened with the number at the moment at which another of the practice is given it."""
    prescriber = ClinicianFactory()
    old = take_in(prescriber, managers[0])
    answers = at_once(
        lambda: take_in(prescriber, managers[0], order_number="A-1"),
        lambda: change_prescription(
            case=old, changes={"order_number": "A-1"}, by=managers[1], expected_version=old.version, now=NOW
        ),
    )
    (lost,) = [answer for answer in answers if isinstance(answer, Exception)]
    assert isinstance(lost, Refused), lost
    assert Case.objects.filter(order_number="A-1").count() == 1
