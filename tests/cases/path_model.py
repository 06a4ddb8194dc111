"""The path of a case in plain Python, written from the rules and not from the program, to hold the program against."""

from dataclasses import dataclass, field

COMPLETE_PATH = (
    ("preliminary_impressions", "clinic"),
    ("custom_tray", "laboratory"),
    ("definitive_impressions", "clinic"),
    ("master_cast", "laboratory"),
    ("record_base", "laboratory"),
    ("occlusion_rims", "laboratory"),
    ("jaw_relation", "clinic"),
    ("tooth_arrangement", "laboratory"),
    ("try_in", "clinic"),
    ("processing", "laboratory"),
    ("insertion", "clinic"),
)


@dataclass
class PlainStage:
    kind: str
    place: str
    visit: int = 1
    state: str = "waiting"
    version: int = 1


@dataclass
class PlainCase:
    """What a case is by the rules. Every move answers "ok", "refused" or "conflict" and changes only when "ok"."""

    stages: list[PlainStage]
    location: str
    state: str = "open"
    events: int = 0
    log: list[str] = field(default_factory=list)

    @classmethod
    def starting_at(cls, kind: str) -> "PlainCase":
        stages = [PlainStage(name, place) for name, place in COMPLETE_PATH]
        first = [stage.kind for stage in stages].index(kind)
        for stage in stages[:first]:
            stage.state = "skipped"
        return cls(stages, "clinic" if stages[first].place == "clinic" else "to_laboratory")

    def current(self) -> PlainStage | None:
        for stage in self.stages:
            if stage.state in ("waiting", "in_progress", "on_hold"):
                return stage
        return None

    def _answer(self, stage: PlainStage, seen: int, allowed: bool, states: tuple[str, ...]) -> str:
        if seen != stage.version:
            return "conflict"
        if not allowed:
            return "refused"
        return "ok" if stage.state in states else "conflict"

    def _in_turn(self, stage: PlainStage) -> bool:
        if self.state != "open" or stage is not self.current():
            return False
        if stage.place == "laboratory":
            return self.location == "laboratory"
        return self.location != "laboratory"

    def start(self, stage: PlainStage, seen: int) -> str:
        answer = self._answer(stage, seen, self._in_turn(stage), ("waiting",))
        if answer == "ok":
            self._change(stage, "in_progress")
        return answer

    def finish(self, stage: PlainStage, seen: int) -> str:
        clinic = stage.place == "clinic"
        states = ("waiting", "in_progress") if clinic else ("in_progress",)
        answer = self._answer(stage, seen, self._in_turn(stage) or not clinic, states)
        if answer == "ok":
            self._change(stage, "done")
            self._arrive_at_next(stage)
        return answer

    def hold(self, stage: PlainStage, seen: int) -> str:
        answer = self._answer(stage, seen, True, ("in_progress",))
        if answer == "ok":
            self._change(stage, "on_hold")
        return answer

    def resume(self, stage: PlainStage, seen: int) -> str:
        answer = self._answer(stage, seen, True, ("on_hold",))
        if answer == "ok":
            self._change(stage, "in_progress")
        return answer

    def skip(self, stage: PlainStage, seen: int) -> str:
        answer = self._answer(stage, seen, True, ("waiting",))
        if answer == "ok":
            was_current = stage is self.current()
            self._change(stage, "skipped")
            if was_current:
                self._arrive_at_next(stage)
        return answer

    def send_back(self, stage: PlainStage, to: PlainStage, seen: int) -> str:
        here = self.current() if self.state == "open" else self._last_done()
        if stage is not here:
            return "conflict"
        if to not in self.places_to_return_to():
            return "refused"
        if seen != stage.version:
            return "conflict"
        visit = max(each.visit for each in self.stages) + 1
        begin, end = self.stages.index(to), self.stages.index(stage)
        again: list[PlainStage] = []
        for each in self.stages[begin : end + 1]:
            if each.kind not in [new.kind for new in again]:
                again.append(PlainStage(each.kind, each.place, visit))
        kinds = [new.kind for new in again]
        again = again[: kinds.index(stage.kind) + 1]
        self._change(stage, "returned")
        self.stages[end + 1 : end + 1] = again
        if self.location != "laboratory":
            self.location = "to_laboratory"
        self.state = "open"
        return "ok"

    def places_to_return_to(self) -> list[PlainStage]:
        here = self.current() if self.state == "open" else self._last_done()
        if here is None:
            return []
        latest: dict[str, PlainStage] = {}
        for stage in self.stages[: self.stages.index(here)]:
            if (
                stage.place == "laboratory"
                and stage.state in ("done", "returned")
                and stage.kind != here.kind
            ):
                latest[stage.kind] = stage
        return list(latest.values())

    def receive(self) -> str:
        if self.state != "open":
            return "refused"
        return self._move(("to_laboratory",), "laboratory")

    def hand_over(self) -> str:
        current = self.current()
        if self.state != "open" or current is None or current.place != "clinic":
            return "refused"
        return self._move(("laboratory",), "to_clinic")

    def accept(self) -> str:
        return self._move(("to_clinic",), "clinic")

    def _move(self, origins: tuple[str, ...], to: str) -> str:
        if self.location not in origins:
            return "conflict"
        self.location = to
        self.events += 1
        return "ok"

    def _last_done(self) -> PlainStage | None:
        done = [stage for stage in self.stages if stage.state == "done"]
        return done[-1] if self.state == "complete" and done else None

    def _change(self, stage: PlainStage, state: str) -> None:
        stage.state = state
        stage.version += 1
        self.events += 1

    def _arrive_at_next(self, done: PlainStage) -> None:
        following = self.current()
        if following is None:
            self.state = "complete"
        elif done.place == "clinic" and following.place == "laboratory" and self.location != "laboratory":
            self.location = "to_laboratory"
