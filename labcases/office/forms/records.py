"""Erasing a patient's data."""

from django import forms
from django.utils.translation import gettext_lazy as _


class ErasureForm(forms.Form):
    reason = forms.CharField(
        label=_("Reason"),
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Stands in the case’s log. Write no name and no code here."),
    )
    sure = forms.BooleanField(label=_("Erase them for good"), required=True)
