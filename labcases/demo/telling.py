"""Tells a story through the same actions that people use, so that every demo case has a true log."""

import datetime
import random
from decimal import Decimal

from django.db import transaction

from labcases.cases.actions.assigning import assign
from labcases.cases.actions.checklists import tick_all_steps, tick_step
from labcases.cases.actions.crossings import accept_at_clinic, hand_to_clinic, receive_at_laboratory
from labcases.cases.actions.dates import set_dates
from labcases.cases.actions.moves import finish_stage, hold_stage, start_stage
from labcases.cases.choices import Arches, Location, Place, StageKind
from labcases.cases.models import Case, Stage
from labcases.cases.queries import path_for, stages_to_return_to
from labcases.demo.scenario import Clock, Story
from labcases.measurements.actions.finishing import finish_bench_stage
from labcases.measurements.actions.prescribing import take_in_case
from labcases.measurements.actions.readings import Entry, record_readings
from labcases.measurements.actions.returning import send_back
from labcases.measurements.queries import Box, boxes_for, current_specification
from labcases.people.models import User
from labcases.prosthodontics.quantities import quantity

CHAIR = "papillameter"
BENCH = "digital_caliper"
# Plausible casts for the drawings; invented, within the catalogue's usual ranges.
CAST_RANGES = {
    ("hamular_notch_width", "maxillary"): (47, 50),
    ("tuberosity_width", "maxillary"): (44, 48),
    ("canine_eminence_width", "maxillary"): (30, 33),
    ("arch_depth", "maxillary"): (44, 48),
    ("pad_to_pad_width", "mandibular"): (51, 56),
    ("canine_eminence_width", "mandibular"): (26, 30),
    ("arch_depth", "mandibular"): (42, 46),
    ("canine_eminence_depth", "maxillary"): (11, 13),
    ("canine_eminence_depth", "mandibular"): (7, 9),
    ("papilla_behind_crest", "maxillary"): (1, 3),
    ("sulcus_to_crest", "maxillary"): (9, 12),
    ("sulcus_to_crest", "mandibular"): (6, 9),
    ("posterior_sulcus_to_crest_left", "maxillary"): (8, 11),
    ("posterior_sulcus_to_crest_right", "maxillary"): (8, 11),
}
HALVES = (Decimal("-0.5"), Decimal(0), Decimal("0.5"))
OUTCOMES = {
    StageKind.DEFINITIVE_IMPRESSIONS: "Borders moulded, impressions definitive. Tray seated without rocking.",
    StageKind.JAW_RELATION: "Jaw relation recorded twice, the same both times. Midline marked.",
    StageKind.TRY_IN: "Patient and a relative content; teeth may be finished.",
    StageKind.INSERTION: "Inserted. Pressure spots eased, occlusion refined.",
}


class Telling:
    """One case on its way from its prescription to where the story has it stand."""

    def __init__(self, story: Story, *, people: dict[str, User], now: datetime.datetime) -> None:
        self.story = story
        self.people = people
        self.manager = people["ledger"]
        self.clinician = people[story.prescriber]
        self.dice = random.Random(f"{story.practice} {story.patient} {story.at}")
        self.clock = Clock.working_days_back(now, self._days_told())

    def _days_told(self) -> int:
        """How many mornings the story takes, so that its last act lies just before now."""
        path = [kind.place for kind in path_for(self.story.kind)]
        kinds = list(path_for(self.story.kind))
        first = path.index(Place.LABORATORY)
        here = kinds.index(StageKind(self.story.at))
        days = sum(self._days_of(path, index) for index in range(first, here)) + 1
        if self.story.reached != "arriving":
            days += self._days_of(path, here) - 1
        # What waits since a day that has passed was there before that day.
        days += max(0, 1 - self.story.due_in) if self.story.due_in < 0 else 0
        if self.story.back_to:
            last = kinds.index(StageKind(self.story.then)) if self.story.then else here - 1
            days += sum(self._days_of(path, n) for n in range(kinds.index(self.story.back_to), last + 1)) + 1
        return days

    def _days_of(self, path: list[Place], index: int) -> int:
        """A morning for the stage, and one more where the case has crossed over to it."""
        crossed = path[index] == Place.CLINIC or path[index - 1] == Place.CLINIC
        return 2 if crossed else 1

    @transaction.atomic
    def tell(self) -> Case:
        self.case = self._open()
        while self._stage().kind != self.story.at:
            self._pass_stage()
        getattr(self, f"_reach_{self.story.reached}")()
        return self.case

    # ---- opening ----

    def _open(self) -> Case:
        story = self.story
        path = path_for(story.kind)
        first = next(kind for kind in path if kind.place == Place.LABORATORY)
        return take_in_case(
            practice=self.clinician.practice,
            kind=story.kind,
            arches=story.arches,
            prescription=self._prescription(),
            dates=self._dates(path),
            starts_at=first,
            figures=[self._chairside(name, value) for name, value in story.figures.items()],
            prescribed={
                (row["stage"], row["arch"], row["dimension"]): Decimal(row["value"])
                for row in story.prescribed
            },
            by=self.clinician,
            now=self.clock.minutes_on(),
            sign=not story.missing,
        )

    def _prescription(self) -> dict[str, object]:
        said: dict[str, object] = {
            "prescriber": self.clinician,
            "patient_code": self.story.patient,
            "patient_age": self.story.age,
            "patient_sex": self.story.sex,
            "work_description": "Complete dentures, new, to the figures given.",
            "impression_material": self.dice.choice(["zinc_oxide_eugenol", "silicone", "polyether"]),
            "base_material": "Heat-cured acrylic, light pink",
            "shade": self.dice.choice(["warm light", "warm medium", "neutral medium"]),
            "tooth_wishes": "Natural, a little irregular",
            "subcontractor": "none",
            "notes": self.story.note,
        }
        return {**said, **dict.fromkeys(self.story.missing, "")}

    def _dates(self, path: tuple[StageKind, ...]) -> dict[str, datetime.date]:
        """The clinic stage that the story waits for gets the story's day; the others lie weeks before and after."""
        visits = [kind for kind in path if kind.place == Place.CLINIC]
        here = path.index(StageKind(self.story.then or self.story.at))
        awaited = next(visits.index(kind) for kind in path[here:] if kind.place == Place.CLINIC)
        day = self.clock.now.date() + datetime.timedelta(days=self.story.due_in)
        return {
            kind: working_day(day + datetime.timedelta(weeks=index - awaited))
            for index, kind in enumerate(visits)
        }

    def _chairside(self, name: str, value: str) -> Entry:
        arches = quantity(name).arches
        instrument = CHAIR if arches else "flexible_rule"
        return Entry(name, arches[0] if arches else "", (Decimal(value),), instrument, confirmed=True)

    # ---- on the way ----

    def _stage(self) -> Stage:
        self.case.refresh_from_db()
        return Stage.objects.with_case().get(pk=self.case.current_stage_id)

    def _pass_stage(self) -> None:
        if self._stage().place == Place.CLINIC:
            self._go_to_clinic()
            self._treat()
        else:
            self._work()
            self._finish()
        self.clock.next_day()

    def _receive(self) -> None:
        self.case.refresh_from_db()
        if self.case.location == Location.TO_LABORATORY:
            receive_at_laboratory(
                case=self.case,
                agent="Surface and immersion disinfectant, label D",
                minutes=10,
                minutes_required=10,
                by=self.manager,
                now=self.clock.next_day(),
            )

    def _technician(self) -> User:
        bench = [person for person in self.people.values() if person.is_technician]
        return self.people.get(self.story.technician) or self.dice.choice(bench)

    def _work(self) -> None:
        """Received, given to a technician, started, and measured where something is to be measured."""
        self._receive()
        stage = self._stage()
        technician = self._technician()
        assign(stages=[(stage, stage.version)], to=technician, by=self.manager, now=self.clock.minutes_on())
        stage = self._stage()
        start_stage(stage=stage, by=technician, expected_version=stage.version, now=self.clock.minutes_on())
        if stage.kind == StageKind.MASTER_CAST:
            record_readings(
                stage=stage, entries=self._cast_entries(), by=technician, now=self.clock.minutes_on()
            )

    def _cast_entries(self) -> list[Entry]:
        read = {
            (name, quantity(name).arches[0]): (Decimal(value),) for name, value in self.story.cast.items()
        }
        for key, (low, high) in CAST_RANGES.items():
            read.setdefault(key, (Decimal(self.dice.randint(low * 10, high * 10)) / 10,))
        return [
            Entry(name, arch, values, BENCH, confirmed=True)
            for (name, arch), values in read.items()
            if arch in self.case.arch_names
        ]

    def _finish(self) -> None:
        stage = self._stage()
        technician = stage.assignee
        boxes = boxes_for(stage, current_specification(self.case, stage.kind))
        entries = [self._on_target(box) for box in self._measured(boxes)]
        if entries:
            record_readings(stage=stage, entries=entries, by=technician, now=self.clock.minutes_on(60))
        tick_all_steps(stage=stage, by=technician, now=self.clock.minutes_on())
        finish_bench_stage(
            stage=stage, by=technician, expected_version=stage.version, now=self.clock.minutes_on()
        )

    def _measured(self, boxes: list[Box]) -> list[Box]:
        """Which of a stage's figures are taken before it is finished: all that its specification asks."""
        return [box for box in boxes if box.line and box.standing is None]

    def _on_target(self, box: Box) -> Entry:
        """Three readings near the target, well inside the limits: good work, carefully measured."""
        line, places = box.line, Decimal("0.1")
        target = line.target
        if box.quantity.unit == "count":
            return Entry(box.quantity.name, box.arch, (target.quantize(Decimal(1)),), "not_stated", True)
        room = min(
            (abs(limit - target) for limit in (line.lower, line.upper) if limit is not None),
            default=Decimal(0),
        )
        middle = target + room * Decimal(self.dice.randint(-4, 4)) / 10
        if room < Decimal("0.6"):
            middle, places = target, Decimal("0.01")
        scatter = (-places, Decimal(0), places) if places == Decimal("0.1") else (Decimal(0),) * 3
        values = tuple((middle + each).quantize(places) for each in scatter)
        instrument = "protractor" if box.quantity.unit == "deg" else BENCH
        return Entry(box.quantity.name, box.arch, values, instrument, confirmed=True)

    def _go_to_clinic(self) -> None:
        if self.case.location == Location.LABORATORY:
            hand_to_clinic(case=self.case, by=self.manager, now=self.clock.minutes_on())
            self.case.refresh_from_db()
        if self.case.location == Location.TO_CLINIC:
            accept_at_clinic(case=self.case, by=self.clinician, now=self.clock.next_day())
            self.case.refresh_from_db()

    def _treat(self) -> None:
        stage = self._stage()
        if stage.kind == StageKind.JAW_RELATION:
            record_readings(
                stage=stage,
                entries=self._vertical() + self._marks(),
                by=self.clinician,
                now=self.clock.minutes_on(),
            )
        finish_stage(
            stage=stage,
            by=self.clinician,
            expected_version=stage.version,
            now=self.clock.minutes_on(45),
            outcome=OUTCOMES.get(StageKind(stage.kind), "Done."),
        )

    def _vertical(self) -> list[Entry]:
        """Rest and occlusion, three readings each to the half millimetre; the space between them 2.5 to 3.5 mm."""
        rest = Decimal(self.dice.randint(128, 142)) / 2
        occlusion = rest - Decimal(self.dice.randint(5, 7)) / 2
        return [
            Entry(name, "", tuple(middle + each for each in HALVES), "facial_gauge", confirmed=True)
            for name, middle in (
                ("vertical_dimension_rest", rest),
                ("vertical_dimension_occlusion", occlusion),
            )
        ]

    def _marks(self) -> list[Entry]:
        """Lip and canine lines on the upper rim, to the half millimetre."""
        if Arches.MAXILLARY not in self.case.arch_names:
            return []
        middle = self.dice.randint(44, 49)
        read = {
            "rim_display_at_rest": self.dice.randint(0, 4),
            "smile_line_height": self.dice.randint(16, 21),
            "canine_line_right": middle,
            "canine_line_left": middle + self.dice.randint(-1, 1),
        }
        return [
            Entry(name, "maxillary", (Decimal(halves) / 2,), "flexible_rule", confirmed=True)
            for name, halves in read.items()
        ]

    # ---- where the story has the case stand ----

    def _reach_arriving(self) -> None:
        """The case is on its way; nobody at the laboratory has touched it at this stage."""

    def _reach_waiting(self) -> None:
        self._receive()
        stage = self._stage()
        if self.story.technician:
            assign(
                stages=[(stage, stage.version)],
                to=self._technician(),
                by=self.manager,
                now=self.clock.minutes_on(),
            )

    def _reach_in_progress(self) -> None:
        self._work()
        stage = self._stage()
        for step in stage.steps.all()[:3]:
            tick_step(step=step, by=stage.assignee, now=self.clock.minutes_on())
        entries = [
            Entry(row["quantity"], row["arch"], tuple(map(Decimal, row["values"])), BENCH, True)
            for row in self.story.measured
        ]
        if entries:
            record_readings(stage=stage, entries=entries, by=stage.assignee, now=self.clock.minutes_on())

    def _reach_on_hold(self) -> None:
        self._work()
        stage = self._stage()
        hold_stage(
            stage=stage,
            by=stage.assignee,
            expected_version=stage.version,
            reason=self.story.hold_reason,
            now=self.clock.minutes_on(),
        )

    def _reach_leaving(self) -> None:
        self._work()
        self._finish()

    def _reach_out(self) -> None:
        if self.dice.random() < 0.6:
            self._go_to_clinic()
        else:
            hand_to_clinic(case=self.case, by=self.manager, now=self.clock.minutes_on())

    def _reach_complete(self) -> None:
        self._go_to_clinic()
        self._treat()

    def _reach_returned(self) -> None:
        self._go_to_clinic()
        stage = self._stage()
        to = next(each for each in stages_to_return_to(self.case) if each.kind == self.story.back_to)
        send_back(
            stage=stage,
            to=to,
            cause=self.story.cause,
            note=self.story.complaint,
            outcome=self.story.complaint,
            by=self.clinician,
            expected_version=stage.version,
            now=self.clock.minutes_on(45),
        )
        self._date_next_visit()
        while self.story.then and self._stage().kind != self.story.then:
            self._pass_stage()
        self._work()

    def _date_next_visit(self) -> None:
        day = working_day(self.clock.now.date() + datetime.timedelta(days=self.story.due_in))
        if not self.story.then:
            set_dates(case=self.case, dates={StageKind.TRY_IN: day}, by=self.manager, now=self.clock.at)


def working_day(day: datetime.date) -> datetime.date:
    """The day itself, or the Monday after a weekend."""
    while day.weekday() >= 5:
        day += datetime.timedelta(days=1)
    return day
