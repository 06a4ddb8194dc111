"""What one row of a file comes to: the prescription's own form, filled in from its cells."""

import datetime
from collections.abc import Iterable, Mapping
from typing import Any

from django.forms.utils import ErrorDict
from django.utils.translation import gettext as _

from labcases.cases.actions.importing import Judged
from labcases.cases.choices import Arches, CaseKind, LineState
from labcases.cases.models import Case, CaseImport, ImportLine
from labcases.cases.queries import orders_here
from labcases.pages.importing.columns import ORDER, PRACTICE, PRESCRIBER, NotTaken, Target, as_typed, targets
from labcases.pages.prescription import PrescriptionForm
from labcases.people.models import User
from labcases.people.queries import active_practices, prescribers

DEFAULTS = {"kind": CaseKind.COMPLETE.value, "arches": Arches.BOTH.value}
NAMED = 12


class Judge:
    """Judges rows of one file; what all of them need is read once."""

    def __init__(self, case_import: CaseImport, *, by: User, today: datetime.date) -> None:
        self.file, self.by, self.today = case_import, by, today
        self.targets: dict[str, Target] = targets(by, today)
        self.practices = {
            text.casefold(): each for each in active_practices() for text in (each.name, each.code)
        }
        self.prescribers = list(prescribers())
        self.seen: dict[tuple[int, str], int] = {}
        self.here: dict[tuple[int, str], Case] = {}

    def judge(self, lines: Iterable[ImportLine]) -> list[Judged]:
        lines = list(lines)
        self.here = orders_here(self._cells(line).get(ORDER, "") for line in lines)
        return [self._judge(line) for line in lines]

    def _judge(self, line: ImportLine) -> Judged:
        data, faults = self._data(line)
        known = self._known(data)
        if known:
            return Judged(line, LineState.KNOWN, case=known)
        faults += self._twice(line, data)
        form = self._form(data)
        if not form.is_valid() and set(form.errors) != {"keep_unusual"}:
            told = {fault["heading"] for fault in faults}
            faults += [each for each in self._faults(line, form.errors) if each["heading"] not in told]
        if faults:
            return Judged(line, LineState.FAULTY, faults)
        if form.unusual:
            return Judged(line, LineState.UNUSUAL, [_fault("", "", words) for words in form.unusual])
        return Judged(line, LineState.READY)

    def form_of(self, line: ImportLine) -> PrescriptionForm:
        """The row's form, ready to be taken in; unusual figures in it are taken as looked at once more."""
        data, _faults = self._data(line)
        if self.file.signed:
            data["sign"] = "on"
        form = self._form(data)
        if not form.is_valid() and form.unusual:
            form = self._form({**data, "keep_unusual": "on", "unusual_seen": form.data["unusual_seen"]})
        return form

    def words_of(self, line: ImportLine, form: PrescriptionForm) -> str:
        return "; ".join(fault["words"] for fault in self._faults(line, form.errors))

    # ---- from cells to what would have been typed ----

    def _form(self, data: Mapping[str, str]) -> PrescriptionForm:
        return PrescriptionForm(dict(data), user=self.by, today=self.today)

    def _cells(self, line: ImportLine) -> dict[str, str]:
        pairs = zip(self.file.mapping, line.cells, strict=True)
        return {name: text for name, text in pairs if name in self.targets}

    def _data(self, line: ImportLine) -> tuple[dict[str, str], list[dict[str, str]]]:
        cells, data, faults = self._cells(line), dict(DEFAULTS), []
        for name, text in cells.items():
            try:
                typed = as_typed(self.targets[name], text, days_as=self.file.days_as)
            except NotTaken as error:
                faults.append(_fault(self._heading(name), text, str(error)))
            else:
                data |= {name: typed} if typed else {}
        faults += self._name_people(cells, data)
        return data, faults

    def _name_people(self, cells: Mapping[str, str], data: dict[str, str]) -> list[dict[str, str]]:
        """Put a practice's and a prescriber's id in the place of their names; what names none is a fault."""
        faults = []
        text = cells.get(PRACTICE, "")
        practice = self.practices.get(text.casefold()) if text else self.file.practice
        data.pop(PRACTICE, None)
        if practice:
            data[PRACTICE] = str(practice.pk)
        elif text:
            codes = sorted({each.code for each in self.practices.values()})
            faults.append(
                _fault(
                    self._heading(PRACTICE),
                    text,
                    _("Allowed: {codes}, or their names.").format(codes=_few(codes)),
                )
            )
        text = data.pop(PRESCRIBER, "")
        if text and practice:
            mine = [each for each in self.prescribers if each.practice_id == practice.pk]
            found = next((each for each in mine if text.casefold() in _names(each)), None)
            if found:
                data[PRESCRIBER] = str(found.pk)
            else:
                allowed = _few([each.display_name for each in mine]) or _("nobody yet")
                words = _("Nobody of that name prescribes for {practice}; allowed: {allowed}.").format(
                    practice=practice, allowed=allowed
                )
                faults.append(_fault(self._heading(PRESCRIBER), text, words))
        return faults

    # ---- what is wrong with it ----

    def _known(self, data: Mapping[str, str]) -> Case | None:
        return self.here.get((int(data.get(PRACTICE, 0)), data.get(ORDER, "")))

    def _twice(self, line: ImportLine, data: Mapping[str, str]) -> list[dict[str, str]]:
        order = data.get(ORDER, "")
        if not order:
            return []
        first = self.seen.setdefault((int(data.get(PRACTICE, 0)), order), line.position)
        if first == line.position:
            return []
        return [
            _fault(
                self._heading(ORDER),
                order,
                _("Row {row} of this file has the same order number.").format(row=first),
            )
        ]

    def _faults(self, line: ImportLine, errors: ErrorDict) -> list[dict[str, str]]:
        cells = self._cells(line)
        return [
            _fault(self._heading(name), cells.get(name, ""), _sentence(name, words, self.targets))
            for name, found in errors.items()
            for words in found
        ]

    def _heading(self, name: str) -> str:
        """The column's heading, or nothing where no column fills that box."""
        mapping: list[Any] = self.file.mapping
        return self.file.headings[mapping.index(name)] if name in mapping else ""


def _sentence(name: str, words: str, known: Mapping[str, Target]) -> str:
    return f"{known[name].label}: {words}" if name in known else words


def _fault(heading: str, value: str, words: str) -> dict[str, str]:
    return {"heading": heading, "value": value[:120], "words": words[:600]}


def _names(person: User) -> tuple[str, ...]:
    return (person.display_name.casefold(), person.username.casefold())


def _few(names: list[str]) -> str:
    return ", ".join(names[:NAMED]) + (" …" if len(names) > NAMED else "")
