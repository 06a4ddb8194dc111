"""People and practices as the office writes them down."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from labcases.people.choices import Role
from labcases.people.queries import active_practices, practice_code_taken, username_taken


class PracticeForm(forms.Form):
    code = forms.CharField(
        label=_("Short code"), max_length=8, help_text=_("As it stands on shelves and tickets, such as ELM.")
    )
    name = forms.CharField(label=_("Name of the practice"), max_length=120)
    address = forms.CharField(
        label=_("Address"),
        max_length=400,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Without it the practice’s prescriptions stay incomplete."),
    )
    is_active = forms.BooleanField(
        label=_("Sends us work"),
        required=False,
        initial=True,
        help_text=_("Untick to keep it out of new prescriptions."),
    )

    def __init__(self, data: Any = None, *, practice: Any = None) -> None:
        super().__init__(data, initial=_initial(practice, ("code", "name", "address", "is_active")))
        self.practice = practice
        if practice is None:
            del self.fields["is_active"]

    def clean_code(self) -> str:
        code = self.cleaned_data["code"].strip().upper()
        if practice_code_taken(code, besides=self.practice):
            raise forms.ValidationError(_("Another practice has this code."))
        return code


class PersonForm(forms.Form):
    """A new person, or with `person` a change of one. A role stays as it was given: it decides what a name means."""

    display_name = forms.CharField(label=_("Name as others see it"), max_length=120)
    username = forms.CharField(label=_("User name to sign in with"), max_length=60)
    role = forms.ChoiceField(
        label=_("Role"), choices=Role.choices, widget=forms.RadioSelect, initial=Role.TECHNICIAN
    )
    practice = forms.ModelChoiceField(
        active_practices(),
        label=_("Practice"),
        required=False,
        empty_label=_("None"),
        help_text=_("A clinician’s practice."),
    )
    licence_number = forms.CharField(
        label=_("Licence number"),
        max_length=40,
        required=False,
        help_text=_("A clinician’s, as the law asks it on a prescription."),
    )
    may_release_outside = forms.BooleanField(
        label=_("May finish a stage with a figure outside its limits, with a reason"), required=False
    )
    is_active = forms.BooleanField(
        label=_("Works with us"),
        required=False,
        help_text=_("Untick when somebody leaves; their entries stay."),
    )
    password = forms.CharField(
        label=_("Password"),
        required=False,
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=_(
            "Better left empty: the next page makes an invitation, and only the person knows the password."
        ),
    )

    def __init__(self, data: Any = None, *, by: Any, person: Any = None) -> None:
        names = ("display_name", "username", "practice", "licence_number", "may_release_outside", "is_active")
        super().__init__(data, initial=_initial(person, names))
        self.person = person
        if person is None or person.pk == by.pk:
            # Nobody shuts the door on themselves: another manager does it.
            del self.fields["is_active"]
        if person is None:
            return
        del self.fields["role"]
        self.fields["password"].label = _("New password")
        self.fields["password"].help_text = _(
            "Leave empty to keep the present one. A link, below, lets the person choose it themselves."
        )
        if not person.is_technician:
            # A manager always may, a clinician never finishes work of the bench.
            del self.fields["may_release_outside"]
        if not person.is_clinician:
            del self.fields["practice"], self.fields["licence_number"]

    def clean_username(self) -> str:
        name = self.cleaned_data["username"].strip()
        if username_taken(name, besides=self.person):
            raise forms.ValidationError(_("Somebody else has this user name."))
        return name

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        if password:
            validate_password(password)
        return password

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        role = self.person.role if self.person else cleaned.get("role")
        if role == Role.CLINICIAN and not cleaned.get("practice") and "practice" not in self.errors:
            self.add_error("practice", _("A clinician belongs to a practice."))
        if role in (Role.MANAGER, Role.TECHNICIAN) and cleaned.get("practice"):
            self.add_error("practice", _("Only a clinician belongs to a practice."))
        return cleaned

    @property
    def changes(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if name not in ("password", "role")}


def _initial(row: Any, names: Iterable[str]) -> dict[str, Any]:
    return {name: getattr(row, name) for name in names} if row else {}
