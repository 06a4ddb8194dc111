"""The log in words: each shape in which an action writes an event reads as a sentence, and none breaks a page."""

import pytest

from labcases.cases.choices import Act
from labcases.pages.happenings import SAID, happenings
from tests.factories.cases import EventFactory
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


def words(act, *, after=None, before=None, people=()):
    event = EventFactory.build(act=act, after=after or {}, before=before or {})
    (happening,) = happenings([event], people)
    return happening.words


@pytest.mark.parametrize(
    ("act", "after", "before", "said"),
    [
        (
            Act.OPENED,
            {"kind": "complete", "arches": "both", "starts_at": "custom_tray"},
            {},
            "Complete denture, both arches, from custom tray on",
        ),
        (
            Act.PRESCRIPTION_CHANGED,
            {"shade": "Cool", "base_material": ""},
            {},
            "Changed: shade, base material",
        ),
        (Act.SIGNED, {"how": "on the screen"}, {}, "On the screen"),
        (
            Act.RECEIVED,
            {"agent": "Label A", "minutes": 12, "minutes_required": 10},
            {},
            "Disinfected with Label A, 12 min (its label asks 10)",
        ),
        (Act.FINISHED, {"outcome": "Sits well", "steps_not_ticked": []}, {}, "Sits well"),
        (Act.FINISHED, {"outcome": "", "steps_not_ticked": ["Sealed"]}, {}, "Not ticked: Sealed"),
        (Act.FINISHED, {"outcome": "", "steps_not_ticked": ["a", "b", "c", "d"]}, {}, "4 steps not ticked"),
        (
            Act.SENT_BACK,
            {"to": "occlusion_rims", "cause": "rim_height", "visit": 2},
            {},
            "Rim too high or too low. Back to occlusion rims, visit 2",
        ),
        (
            Act.SENT_BACK,
            {"to": "occlusion_rims", "cause": "rim_height", "visit": 2, "outcome": "Speech is thick."},
            {},
            "Speech is thick. Rim too high or too low. Back to occlusion rims, visit 2",
        ),
        (Act.ASSIGNED, {"assignee": None}, {}, "To nobody"),
        (Act.ASSIGNED, {"assignee": 999_999}, {}, "To somebody who has left"),
        (Act.ASSIGNED, {"pinned": True}, {}, "Stays where it is in every proposal"),
        (
            Act.DATED,
            {"try_in": "2024-05-21", "insertion": "None"},
            {},
            "Try-in Tue 21 May 2024; Insertion no date",
        ),
        (
            Act.DATED,
            {"Try-in, visit 2": "2024-05-21"},
            {"by": "working days"},
            "Try-in, visit 2 Tue 21 May 2024",
        ),
        (
            Act.READING,
            {"quantity": "anterior_height", "arch": "maxillary", "value": "21.25", "unit": "mm"},
            {},
            "Anterior height, maxillary: 21.25 mm",
        ),
        (
            Act.CORRECTION,
            {"quantity": "upper_lip_length", "arch": "", "value": "22", "unit": "mm"},
            {"value": "25"},
            "Upper lip length: 25.0 mm becomes 22.0 mm",
        ),
        (
            Act.PRESCRIBED,
            {"dimension": "labial_inclination", "arch": "maxillary", "value": "95"},
            {},
            "Labial inclination, maxillary: 95.0°",
        ),
        (
            Act.PRESCRIBED,
            {"dimension": "anterior_height", "arch": "mandibular", "value": "None"},
            {},
            "Anterior height, mandibular: taken back",
        ),
        (Act.SPECIFIED, {"stage": "record_base", "revision": 3}, {}, "Record base, revision 3"),
        (Act.STEP_TICKED, {"step": "Rim sealed"}, {}, "Rim sealed"),
        (Act.NOTE, {"weight": 3}, {}, "A day of lateness counts 3 times"),
        (Act.NOTE, {"outcome": "Speech clear"}, {}, "Speech clear"),
        (Act.STARTED, {"assignee": 4}, {}, ""),
    ],
)
def test_an_event_reads_as_a_sentence(act, after, before, said):
    assert words(act, after=after, before=before) == said


def test_work_given_to_somebody_names_the_person():
    technician = TechnicianFactory(display_name="Ode Finch")
    assert words(Act.ASSIGNED, after={"assignee": technician.pk}, people=[technician]) == "To Ode Finch"


@pytest.mark.parametrize(
    ("act", "mark"), [(Act.SENT_BACK, "is-return"), (Act.RECEIVED, "is-handing"), (Act.HELD, "")]
)
def test_returns_and_handings_are_marked(act, mark):
    (happening,) = happenings([EventFactory.build(act=act)])
    assert happening.mark == mark


@pytest.mark.parametrize("act", [act for act in SAID if act not in (Act.READING, Act.CORRECTION)])
def test_an_event_without_details_breaks_no_page(act):
    assert isinstance(words(act), str)
