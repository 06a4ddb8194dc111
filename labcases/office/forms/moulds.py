"""The laboratory's mould list as a file or as text."""

import codecs
from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from labcases.prosthodontics.errors import InputError, shown
from labcases.prosthodontics.teeth import FaultyMoulds, Mould, read_moulds, write_moulds

LONGEST = 200_000
MOST_FAULTS = 20


class MouldsForm(forms.Form):
    """A file goes before the text; a faulty one is put into the text, so that it can be put right there."""

    file = forms.FileField(
        label=_("File"),
        required=False,
        help_text=_("CSV, comma or semicolon between the columns. The first line names the columns."),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,text/csv,text/plain"}),
    )
    text = forms.CharField(
        label=_("Or the list as text"),
        required=False,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false"}),
    )
    note = forms.CharField(label=_("Where it comes from"), required=False, max_length=400)

    def __init__(self, data: Any = None, files: Any = None, *, current: Iterable[Mould]) -> None:
        super().__init__(data.copy() if data else None, files, initial={"text": write_moulds(current)})

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("file"):
            self._take_file(cleaned["file"])
        if not self.errors:
            self._check_lines(self.cleaned_data["text"])
        return self.cleaned_data

    def _take_file(self, file: UploadedFile) -> None:
        if file.size and file.size > LONGEST:
            self.add_error(
                "file",
                _("This file is larger than {kilobytes} kB; a mould list is not.").format(
                    kilobytes=LONGEST // 1000
                ),
            )
            return
        try:
            text = _decoded(file.read())
        except UnicodeDecodeError:
            self.add_error(
                "file", _("This is no text in UTF-8. Save the list as “CSV UTF-8” and choose it again.")
            )
            return
        self.cleaned_data["text"] = self.data["text"] = text

    def _check_lines(self, text: str) -> None:
        try:
            read_moulds(text)
        except FaultyMoulds as refused:
            for fault in refused.faults[:MOST_FAULTS]:
                self.add_error("text", _in_words(fault))
            further = len(refused.faults) - MOST_FAULTS
            if further > 0:
                self.add_error(
                    "text",
                    ngettext("{count} further fault.", "{count} further faults.", further).format(
                        count=further
                    ),
                )
        except InputError as refused:
            self.add_error("text", _in_words(refused))


def _decoded(content: bytes) -> str:
    wide = content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    return content.decode("utf-16" if wide else "utf-8-sig")


def _in_words(fault: InputError) -> str:
    place = str(fault.field).replace("_", " ")
    return _("{place}: {value} is not taken; allowed: {allowed}.").format(
        place=f"{place[:1].upper()}{place[1:]}", value=shown(fault.value), allowed=fault.allowed
    )
