"""A file of prescriptions: choosing it, saying what its columns mean, and accepting its rows."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.utils.formats import number_format
from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from labcases.cases.choices import DayOrder
from labcases.pages.importing.columns import PRACTICE, Target
from labcases.pages.importing.reading import LARGEST, MOST_ROWS, Table, read_table
from labcases.people.queries import active_practices
from labcases.prosthodontics.errors import LabCasesError

COLUMN = "column_"


class FileForm(forms.Form):
    file = forms.FileField(
        label=_("File"),
        help_text=format_lazy(
            _(
                "CSV in UTF-8 or XLSX, {megabytes} MB and {rows} rows at most. "
                "The first row names the columns."
            ),
            megabytes=LARGEST // 1_000_000,
            rows=lazy(number_format, str)(MOST_ROWS, force_grouping=True),
        ),
        widget=forms.ClearableFileInput(
            attrs={
                "accept": ".csv,.xlsx,text/csv,"
                "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
            }
        ),
        error_messages={"required": _("Choose the file."), "empty": _("This file is empty.")},
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST:
            raise forms.ValidationError(
                _("This file is larger than {megabytes} MB.").format(megabytes=LARGEST // 1_000_000)
            )
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
        label=_("Practice of rows that name none"),
        empty_label=_("Every row names its own"),
    )
    days_as = forms.ChoiceField(
        label=_("Days with strokes are written"), choices=DayOrder.choices, widget=forms.RadioSelect
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
        choices = [("", _("Leave it out")), *((target.name, target.label) for target in known.values())]
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
                self.add_error(
                    f"{COLUMN}{at}",
                    _("The column “{heading}” fills this box already.").format(heading=first[name]),
                )
            elif name:
                first[name] = heading
        if PRACTICE not in first and not cleaned.get("practice"):
            self.add_error("practice", _("Choose the practice, or say which column names it."))
        return cleaned


class AcceptForm(forms.Form):
    """How the checked rows are taken in. `counts` are rows by state; `again` says that the same file was here."""

    with_unusual = forms.BooleanField(required=False)
    signed = forms.BooleanField(
        required=False, label=_("The laboratory holds the signed prescriptions of these rows")
    )
    again = forms.BooleanField(
        label=_("Take these rows in although the same file was taken in before"),
        error_messages={"required": _("Tick that these rows shall be taken in a second time.")},
    )

    def __init__(self, data: Any = None, *, counts: Mapping[str, int], again: bool) -> None:
        super().__init__(data)
        unusual = counts.get("unusual", 0)
        self.fields["with_unusual"].label = ngettext(
            "I have looked once more: take in one row that has an unusual figure too",
            "I have looked once more: take in {count} rows with unusual figures too",
            unusual,
        ).format(count=unusual)
        if not unusual:
            del self.fields["with_unusual"]
        if not again:
            del self.fields["again"]
