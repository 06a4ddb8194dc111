"""The form by which a file is added to a case, and the one by which it is removed."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from labcases.attachments.choices import Kind, View
from labcases.attachments.files import LARGEST, Content, UnfitFile, megabytes, read_content
from labcases.cases.models import Stage

TAKEN = "image/jpeg,image/png,image/webp,application/pdf,.stl,model/stl"
PRESCRIPTION = ("", _("The prescription"))
PHOTOGRAPH, PAPER, CAST = (megabytes(LARGEST[kind]) for kind in (Kind.PHOTOGRAPH, Kind.PAPER, Kind.CAST))
NO_FILE = format_lazy(_("Choose a file. One of more than {size} does not arrive."), size=CAST)


class AttachForm(forms.Form):
    """One file, chosen or photographed at once; what it is called on its sender's disk is never kept.

    `stages` are those of the case. After validation `content` is what is kept of the file and `stage` what it
    belongs to, None for the prescription.
    """

    photograph = forms.FileField(
        label=_("Take a photograph"),
        required=False,
        help_text=_("Opens the camera of a telephone or tablet."),
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    file = forms.FileField(
        label=_("Or choose a file"),
        required=False,
        help_text=format_lazy(
            _("A photograph (JPEG, PNG, WebP, {photograph}), a PDF ({paper}) or the STL of a cast ({cast})."),
            photograph=PHOTOGRAPH,
            paper=PAPER,
            cast=CAST,
        ),
        widget=forms.FileInput(attrs={"accept": TAKEN}),
    )
    view = forms.ChoiceField(
        label=_("What the photograph shows"),
        required=False,
        choices=[("", _("Choose")), *View.choices],
        help_text=_("The same view of an earlier visit is laid beside it."),
    )
    belongs_to = forms.ChoiceField(label=_("Belongs to"), required=False)
    caption = forms.CharField(label=_("In words"), max_length=200, required=False, help_text=_("No names."))

    def __init__(self, *args: Any, stages: Sequence[Stage], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stages = {str(stage.pk): stage for stage in stages}
        named = [(pk, stage.label) for pk, stage in self.stages.items()]
        self.fields["belongs_to"].choices = [PRESCRIPTION, *named]
        self.content: Content | None = None

    @property
    def stage(self) -> Stage | None:
        return self.stages.get(self.cleaned_data.get("belongs_to", ""))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        name = "photograph" if cleaned.get("photograph") else "file"
        chosen = cleaned.get(name)
        if chosen is None:
            if not self.has_error("file") and not self.has_error("photograph"):
                self.add_error("file", NO_FILE)
            return cleaned
        self._read(name, chosen)
        if self.content and self.content.kind == Kind.PHOTOGRAPH and not cleaned.get("view"):
            self.add_error("view", _("Choose what the photograph shows."))
        return cleaned

    def _read(self, name: str, chosen: UploadedFile) -> None:
        try:
            self.content = read_content(chosen, size=chosen.size or 0)
        except UnfitFile as unfit:
            self.add_error(name, unfit.message)


class RemoveForm(forms.Form):
    reason = forms.CharField(
        label=_("Why it is removed"),
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say why the file is removed.")},
    )
