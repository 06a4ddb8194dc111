"""A file of prescriptions: choosing it, saying what its columns mean, and accepting its rows."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from labcases.cases.choices import DayOrder
from labcases.pages.importing.columns import PRACTICE, Target
from labcases.pages.importing.reading import LARGEST, MOST_ROWS, Table, read_table
from labcases.people.queries import active_practices
from labcases.prosthodontics.errors import LabCasesError

COLUMN = "column_"


class FileForm(forms.Form):
    file = forms.FileField(
        label="File",
        help_text=(
            f"CSV in UTF-8 or XLSX, {LARGEST // 1_000_000} MB and {MOST_ROWS:,} rows at most. "
            "The first row names the columns."
        ),
        widget=forms.ClearableFileInput(
            attrs={
                "accept": ".csv,.xlsx,text/csv,"
                "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
            }
        ),
        error_messages={"required": "Choose the file.", "empty": "This file is empty."},
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST:
            raise forms.ValidationError(f"This file is larger than {LARGEST // 1_000_000} MB.")
        self.content: bytes = file.read()
        try:
            self.table: Table = read_table(self.content)
        except LabCasesError as refusal:
            raise forms.ValidationError(refusal.message) from refusal
        return file


class ColumnsMeanForm(forms.Form):
    """For each column the box of the prescription that it fills, or none; no box twice."""

    practice = forms.ModelChoiceField(
        active_practices(),
        required=False,
        label="Practice of rows that name none",
        empty_label="Every row names its own",
    )
    days_as = forms.ChoiceField(
        label="Days with strokes are written", choices=DayOrder.choices, widget=forms.RadioSelect
    )

    def __init__(
        self,
        data: Any = None,
        *,
        headings: Sequence[str],
        meanings: Sequence[str],
        known: Mapping[str, Target],
        initial: Mapping[str, Any],
    ) -> None:
        super().__init__(data, initial=dict(initial))
        self.headings = headings
        choices = [("", "Leave it out"), *((target.name, target.label) for target in known.values())]
        for at, (heading, meaning) in enumerate(zip(headings, meanings, strict=True)):
            self.fields[f"{COLUMN}{at}"] = forms.ChoiceField(
                label=heading,
                choices=choices,
                required=False,
                initial=meaning,
                widget=forms.Select(attrs={"class": "box"}),
            )

    @property
    def columns(self) -> list[Any]:
        return [self[f"{COLUMN}{at}"] for at in range(len(self.headings))]

    @property
    def mapping(self) -> list[str]:
        return [self.cleaned_data[f"{COLUMN}{at}"] for at in range(len(self.headings))]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first: dict[str, str] = {}
        for at, heading in enumerate(self.headings):
            name = cleaned.get(f"{COLUMN}{at}", "")
            if name and name in first:
                self.add_error(f"{COLUMN}{at}", f"The column “{first[name]}” fills this box already.")
            elif name:
                first[name] = heading
        if PRACTICE not in first and not cleaned.get("practice"):
            self.add_error("practice", "Choose the practice, or say which column names it.")
        return cleaned


class AcceptForm(forms.Form):
    """How the checked rows are taken in. `counts` are rows by state; `again` says that the same file was here."""

    with_unusual = forms.BooleanField(required=False)
    signed = forms.BooleanField(
        required=False, label="The laboratory holds the signed prescriptions of these rows"
    )
    again = forms.BooleanField(
        label="Take these rows in although the same file was taken in before",
        error_messages={"required": "Tick that these rows shall be taken in a second time."},
    )

    def __init__(self, data: Any = None, *, counts: Mapping[str, int], again: bool) -> None:
        super().__init__(data)
        unusual = counts.get("unusual", 0)
        rows = (
            "one row that has an unusual figure" if unusual == 1 else f"{unusual} rows with unusual figures"
        )
        self.fields["with_unusual"].label = f"I have looked once more: take in {rows} too"
        if not unusual:
            del self.fields["with_unusual"]
        if not again:
            del self.fields["again"]
