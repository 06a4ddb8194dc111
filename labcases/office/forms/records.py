"""Erasing a patient's data."""

from django import forms


class ErasureForm(forms.Form):
    reason = forms.CharField(
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Stands in the case’s log. Write no name and no code here.",
    )
    sure = forms.BooleanField(label="Erase them for good", required=True)
