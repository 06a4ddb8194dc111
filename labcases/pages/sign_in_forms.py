"""Passwords, codes and PINs as people type them."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from labcases.people.models import User
from labcases.people.rules import pin_fault


def password_field(label: str, *, autocomplete: str, help_text: str = "") -> forms.CharField:
    widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
    return forms.CharField(label=label, max_length=200, strip=False, widget=widget, help_text=help_text)


class NewPasswordForm(forms.Form):
    new_password = password_field(
        _("New password"),
        autocomplete="new-password",
        help_text=_("At least ten characters, and none of the common ones. Several words make a good one."),
    )
    repeated = password_field(_("The same again"), autocomplete="new-password")

    def __init__(self, data: Any = None, *, user: User) -> None:
        super().__init__(data)
        self.user = user

    def clean_new_password(self) -> str:
        password: str = self.cleaned_data["new_password"]
        validate_password(password, self.user)
        return password

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first, again = cleaned.get("new_password"), cleaned.get("repeated")
        if first and again and first != again:
            self.add_error("repeated", _("This is not the same as above."))
        return cleaned


class ConfirmForm(forms.Form):
    password = password_field(_("Your password"), autocomplete="current-password")

    def __init__(self, data: Any = None, *, user: User) -> None:
        super().__init__(data)
        self.user = user

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        if not self.user.check_password(password):
            raise forms.ValidationError(_("This is not your password."))
        return password


def code_field(label: str, *, help_text: str = "") -> forms.CharField:
    attrs = {"autocomplete": "one-time-code", "inputmode": "numeric", "spellcheck": "false"}
    return forms.CharField(
        label=label, max_length=40, widget=forms.TextInput(attrs=attrs), help_text=help_text
    )


class AppForm(forms.Form):
    code = code_field(_("Code that the app shows now"))


class SecondStepForm(forms.Form):
    """A typed code; none is needed where a passkey's answer comes in its place."""

    code = code_field(_("Code"), help_text=_("Six digits from your app, or one of your recovery codes."))

    def __init__(self, data: Any = None, *, is_needed: bool) -> None:
        super().__init__(data)
        self.fields["code"].required = is_needed


class PasskeyForm(forms.Form):
    name = forms.CharField(
        label=_("Name of the passkey"),
        max_length=60,
        help_text=_("Such as the device that keeps it. You see it in the list of your passkeys."),
    )


def pin_field(label: str, *, help_text: str = "") -> forms.CharField:
    attrs = {"autocomplete": "off", "inputmode": "numeric"}
    widget = forms.PasswordInput(attrs=attrs)
    return forms.CharField(label=label, max_length=8, widget=widget, help_text=help_text)


class PinForm(forms.Form):
    pin = pin_field("PIN")


class OwnPinForm(forms.Form):
    pin = pin_field("PIN", help_text=_("Four to eight digits, without a pattern and no year."))
    repeated = pin_field(_("The same again"))

    def clean_pin(self) -> str:
        pin: str = self.cleaned_data["pin"]
        if fault := pin_fault(pin):
            raise forms.ValidationError(fault)
        return pin

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first, again = cleaned.get("pin"), cleaned.get("repeated")
        if first and again and first != again:
            self.add_error("repeated", _("This is not the same as above."))
        return cleaned


class BenchDeviceForm(forms.Form):
    name = forms.CharField(
        label=_("Name of the device"),
        max_length=60,
        help_text=_("Such as where it stands: Tablet at the polishing unit."),
    )
