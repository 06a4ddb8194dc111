"""A figure is checked, judged and kept; a correction adds and never overwrites."""

import datetime
from decimal import Decimal

import pytest
from django.utils import translation

from labcases.cases.actions.intake import cancel_case
from labcases.cases.choices import Act, StageKind
from labcases.cases.models import Case
from labcases.measurements.actions.readings import Unusual, correct_reading
from labcases.measurements.models import Reading
from labcases.measurements.queries import figures_of, standing_readings
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.prosthodontics.errors import InputError
from tests.cases.walking import current, finish, start
from tests.factories.cases import NOW
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.measurements.bench import DEPTH, HEIGHT, LATER, at_work, take

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician():
    return TechnicianFactory()


@pytest.fixture
def rims(technician):
    """The upper rim's front is specified at 22 mm, 21 to 23 (lab standard)."""
    return at_work(by=technician)


def taken(rims, technician, *values, quantity=HEIGHT, **changes):
    (reading,) = take(rims, entry(quantity, *values, **changes), by=technician)
    return Reading.objects.get(pk=reading.pk)


def correct(reading, *values, by, reason="Read from the wrong jaw", now=LATER, **changes):
    return correct_reading(
        reading=reading, entry=entry(reading.quantity, *values, **changes), reason=reason, by=by, now=now
    )


# ---- what is kept ----


def test_three_readings_are_kept_with_their_mean_and_its_uncertainty(rims, technician):
    """Example of JCGM 100:2008's rules, derived: 21.8, 22.1, 22.0 scatter by 0.15275; u is 0.0890."""
    reading = taken(rims, technician, "21.8", "22.1", "22.0")
    assert reading.repeats == ["21.8", "22.1", "22.0"]
    assert (reading.value, reading.uncertainty) == (Decimal("21.967"), Decimal("0.0890"))
    assert (reading.unit, reading.instrument, reading.by) == ("mm", "digital_caliper", technician)
    assert (reading.stage, reading.case, reading.measured_at, reading.entered_at) == (
        rims,
        rims.case,
        LATER,
        LATER,
    )


def test_one_reading_has_the_usual_scatter_of_a_single_one(rims, technician):
    """0.20 mm of scatter (from memory), 0.02/√3 and 0.01/√12 of the caliper: together 0.2004."""
    reading = taken(rims, technician, "22.0")
    assert (reading.value, reading.uncertainty) == (Decimal("22.000"), Decimal("0.2004"))


def test_what_the_check_said_is_kept_in_the_laboratorys_language(rims, technician):
    with translation.override("de"):
        reading = taken(rims, technician, "22.0", "22.1", "22.0")
    assert reading.verdict_words == "Within the configured limits, 0.97 from the nearer one."


def test_figures_as_they_were_written_are_kept_letter_by_letter(rims, technician):
    assert taken(rims, technician, "22.10", "22").repeats == ["22.10", "22"]


def test_what_is_counted_is_known_exactly(technician):
    tray = at_work(StageKind.CUSTOM_TRAY, by=technician)
    reading = taken(tray, technician, "4", quantity="stop_count", instrument="not_stated")
    assert (reading.value, reading.uncertainty, reading.unit) == (4, 0, "count")


def test_a_figure_is_judged_against_the_line_that_holds(rims, technician):
    reading = taken(rims, technician, "22.0", "22.1", "22.1")
    assert (reading.line.name, reading.line.arch, reading.line.specification.revision) == (
        HEIGHT,
        "maxillary",
        1,
    )
    assert reading.verdict == "within"
    assert "Within the configured limits" in reading.verdict_words


VERDICTS = [
    (("22.0",), "within"),
    (("21.4",), "within"),
    (("21.2",), "measure again"),
    (("21.0",), "measure again"),
    (("20.8",), "measure again"),
    (("20.6",), "outside"),
    (("23.1",), "measure again"),
    (("21.2", "21.2", "21.2"), "within"),
    (("21.0", "21.0", "21.0"), "within"),
    (("20.9", "20.9", "20.9"), "outside"),
]


@pytest.mark.parametrize(("values", "verdict"), VERDICTS)
def test_fewer_than_three_readings_near_a_limit_are_taken_again_and_three_decide(
    rims, technician, values, verdict
):
    """Simple acceptance; a single reading is known to ± 1.645 × 0.2004 = 0.33 mm."""
    assert taken(rims, technician, *values).verdict == verdict


def test_a_figure_that_no_line_asks_for_is_kept_without_a_verdict(rims, technician):
    reading = taken(rims, technician, "12.5", quantity=DEPTH)
    assert (reading.line, reading.verdict, reading.verdict_words) == (None, "", "")


def test_each_figure_is_logged_with_its_verdict(rims, technician):
    before = rims.case.events.count()
    taken(rims, technician, "22.10")
    event = list(rims.case.events.order_by("pk"))[before]
    assert (event.act, event.by, event.at, event.stage) == (Act.READING, technician, LATER, rims)
    assert event.after == {
        "quantity": HEIGHT,
        "arch": "maxillary",
        "value": "22.1",
        "unit": "mm",
        "verdict": "within",
    }


def test_several_figures_are_kept_all_or_none(rims, technician):
    good, bad = entry(HEIGHT, "22.0"), entry(HEIGHT, "99", arch="mandibular")
    with pytest.raises(Refused):
        take(rims, good, bad, by=technician)
    assert not Reading.objects.exists()
    take(rims, good, entry(HEIGHT, "18.0", arch="mandibular"), by=technician)
    assert Reading.objects.count() == 2


# ---- what is refused ----

IMPOSSIBLE = [
    (entry(HEIGHT, "4.99"), "5 to 45"),
    (entry(HEIGHT, "45.01"), "5 to 45"),
    (entry(HEIGHT, "NaN"), "not possible"),
    (entry(HEIGHT, "Infinity"), "not possible"),
    (entry(HEIGHT, "22", "22", "222"), "not possible"),
    (entry(HEIGHT, "-22"), "not possible"),
]


@pytest.mark.parametrize(("figure", "words"), IMPOSSIBLE)
def test_an_impossible_figure_is_refused_with_what_is_possible_also_when_confirmed(
    rims, technician, figure, words
):
    for confirmed in (False, True):
        with pytest.raises(Refused, match=words):
            take(rims, entry(HEIGHT, *figure.values, confirmed=confirmed), by=technician)
    assert not Reading.objects.exists()


def test_an_unusual_figure_is_kept_only_once_it_was_confirmed(rims, technician):
    with pytest.raises(Unusual) as asked:
        take(rims, entry(HEIGHT, "13.9"), entry(HEIGHT, "18", arch="mandibular"), by=technician)
    assert [each.arch for each in asked.value.entries] == ["maxillary"]
    assert "Anterior height 13.9 mm (usually 14 to 29)" in asked.value.message
    assert not Reading.objects.exists()
    assert taken(rims, technician, "13.9", confirmed=True).value == Decimal("13.9")


@pytest.mark.parametrize("value", ["14", "29"])
def test_the_ends_of_the_usual_range_are_usual(rims, technician, value):
    assert taken(rims, technician, value).value == Decimal(value)


@pytest.mark.parametrize("value", ["5", "45"])
def test_the_ends_of_the_possible_range_are_possible(rims, technician, value):
    assert taken(rims, technician, value, confirmed=True).value == Decimal(value)


@pytest.mark.parametrize("count", [0, 4])
def test_one_to_three_readings_make_a_figure(rims, technician, count):
    with pytest.raises(Refused, match="one to three"):
        take(rims, entry(HEIGHT, *["22"] * count), by=technician)


@pytest.mark.parametrize("instrument", ["", "protractor", "tape", "not_stated_degrees"])
def test_the_instrument_is_one_that_reads_the_unit(rims, technician, instrument):
    with pytest.raises(Refused, match="instrument"):
        take(rims, entry(HEIGHT, "22", instrument=instrument), by=technician)


def test_a_quantity_that_there_is_not_is_an_error_that_lists_them(rims, technician):
    with pytest.raises(InputError, match="anterior_height"):
        take(rims, entry("rim_colour", "22"), by=technician)


@pytest.mark.parametrize(
    ("quantity", "arch"), [(DEPTH, "mandibular"), (HEIGHT, ""), ("upper_lip_length", "maxillary")]
)
def test_a_figure_belongs_to_an_arch_that_has_it(rims, technician, quantity, arch):
    with pytest.raises(Refused, match="is not taken for"):
        take(rims, entry(quantity, "22", arch=arch), by=technician)


def test_the_same_figure_twice_in_one_form_is_refused(rims, technician):
    with pytest.raises(Refused, match="entered twice"):
        take(rims, entry(HEIGHT, "22"), entry(HEIGHT, "22"), by=technician)


def test_a_figure_cannot_have_been_measured_later_than_now(rims, technician):
    future = LATER + datetime.timedelta(seconds=1)
    with pytest.raises(Refused, match="later than now"):
        take(rims, entry(HEIGHT, "22"), by=technician, measured_at=future)
    (reading,) = take(rims, entry(HEIGHT, "22"), by=technician, measured_at=NOW)
    assert (reading.measured_at, reading.entered_at) == (NOW, LATER)


# ---- who, and where ----


def test_only_the_laboratory_measures_its_work(rims):
    with pytest.raises(NotAllowed):
        take(rims, entry(HEIGHT, "22"), by=ClinicianFactory())


def test_nothing_is_measured_at_a_stage_that_is_done(rims, technician):
    finish(rims, technician)
    with pytest.raises(Conflict):
        take(rims, entry(HEIGHT, "22"), by=technician)


def test_nothing_is_measured_on_a_cancelled_case(rims, technician):
    case = Case.objects.get(pk=rims.case_id)
    manager = ManagerFactory()
    cancel_case(case=case, by=manager, reason="Moved", expected_version=case.version, now=NOW)
    with pytest.raises(Conflict, match="cancelled"):
        take(rims, entry(HEIGHT, "22"), by=technician)
    assert not Reading.objects.exists()


def test_a_second_persons_figure_of_the_same_quantity_is_a_conflict(rims, technician):
    taken(rims, technician, "22.0")
    with pytest.raises(Conflict, match=r"already recorded here: 22 mm") as conflict:
        take(rims, entry(HEIGHT, "22.4"), by=TechnicianFactory())
    assert (conflict.value.who, conflict.value.when) == (str(technician), LATER)
    (kept,) = standing_readings(rims.case)
    assert kept.value == 22


def test_the_same_quantity_of_the_other_arch_is_another_figure(rims, technician):
    taken(rims, technician, "22.0")
    taken(rims, technician, "18.0", arch="mandibular")
    assert len(standing_readings(rims.case)) == 2


# ---- corrections ----


def test_a_correction_stands_in_place_of_the_old_one_which_stays(rims, technician):
    old = taken(rims, technician, "22.9")
    before = Reading.objects.filter(pk=old.pk).values().get()
    colleague = TechnicianFactory()
    events = rims.case.events.count()
    new = correct(old, "21.9", by=colleague, reason="  Read from the wrong jaw ")
    assert standing_readings(rims.case) == [new]
    assert (new.supersedes, new.reason, new.by) == (old, "Read from the wrong jaw", colleague)
    assert Reading.objects.filter(pk=old.pk).values().get() == before
    event = list(rims.case.events.order_by("pk"))[events]
    assert (event.act, event.by, event.reason) == (Act.CORRECTION, colleague, "Read from the wrong jaw")
    assert (event.before, event.after["value"]) == ({"value": "22.9"}, "21.9")


@pytest.mark.parametrize("reason", ["", "  "])
def test_a_correction_says_why(rims, technician, reason):
    old = taken(rims, technician, "22.0")
    with pytest.raises(Refused, match="Say why"):
        correct(old, "21.9", by=technician, reason=reason)
    assert standing_readings(rims.case) == [old]


def test_a_figure_is_corrected_once_and_then_its_correction(rims, technician):
    old = taken(rims, technician, "22.0")
    new = correct(old, "21.9", by=technician)
    with pytest.raises(Conflict, match=r"already corrected to 21\.9 mm") as conflict:
        correct(old, "21.8", by=TechnicianFactory())
    assert conflict.value.who == str(technician)
    last = correct(new, "21.8", by=technician)
    assert standing_readings(rims.case) == [last]
    assert Reading.objects.count() == 3


def test_a_correction_is_checked_like_any_figure(rims, technician):
    old = taken(rims, technician, "22.0")
    with pytest.raises(Refused, match="not possible"):
        correct(old, "222", by=technician)
    with pytest.raises(Unusual):
        correct(old, "13.9", by=technician)
    assert correct(old, "13.9", by=technician, confirmed=True).value == Decimal("13.9")


def test_a_correction_is_of_the_same_figure(rims, technician):
    old = taken(rims, technician, "22.0")
    for other in (entry("anterior_width", "8"), entry(HEIGHT, "18", arch="mandibular")):
        with pytest.raises(Refused, match="same figure"):
            correct_reading(reading=old, entry=other, reason="x", by=technician, now=LATER)


def test_a_figure_of_finished_work_can_be_corrected_while_the_case_is_open(rims, technician):
    old = taken(rims, technician, "22.0")
    finish(rims, technician)
    assert correct(old, "21.9", by=technician).supersedes == old


def test_a_figure_of_a_closed_case_stays(rims, technician):
    old = taken(rims, technician, "22.0")
    case = Case.objects.get(pk=rims.case_id)
    cancel_case(case=case, by=ManagerFactory(), reason="x", expected_version=case.version, now=NOW)
    with pytest.raises(Refused, match="stay as they are"):
        correct(old, "21.9", by=technician)


def test_only_who_may_measure_may_correct(rims, technician):
    old = taken(rims, technician, "22.0")
    with pytest.raises(NotAllowed):
        correct(old, "21.9", by=rims.case.prescriber)


def test_correcting_an_earlier_stages_figure_does_not_make_it_the_newest(technician):
    """What was measured at a later stage goes before, whenever the earlier slip was noticed."""
    cast = at_work(StageKind.MASTER_CAST, by=technician)
    (early,) = take(cast, entry(DEPTH, "12.0"), by=technician)
    finish(cast, technician)
    base = start(current(cast.case), technician)
    take(base, entry(DEPTH, "12.8"), by=technician, now=LATER)
    correct(early, "11.0", by=technician, now=LATER + datetime.timedelta(hours=1))
    assert figures_of(standing_readings(cast.case), "maxillary")[DEPTH].value == Decimal("12.8")
