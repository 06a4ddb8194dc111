"""How somebody wants to see the list of cases: its columns, and a name under which to find it again."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from labcases.pages.case_columns import COLUMNS
from labcases.people.actions.lists import FOR_EVERYBODY, FOR_ME
from labcases.people.choices import Role

SHARED_WITH = [
    (FOR_ME, _("Only me")),
    (Role.MANAGER.value, _("Every lab manager")),
    (FOR_EVERYBODY, _("The whole laboratory")),
]


class ColumnsForm(forms.Form):
    column = forms.MultipleChoiceField(
        label=_("Columns"),
        required=False,
        choices=[(column.name, column.label) for column in COLUMNS.values()],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": _("There is no such column.")},
    )


class ViewForm(forms.Form):
    """A saved view's name, who sees it, and whether the list opens with it."""

    name = forms.CharField(
        label=_("Name of this list"), max_length=60, error_messages={"required": _("Give the list a name.")}
    )
    shared_with = forms.ChoiceField(label=_("Who sees it"), choices=SHARED_WITH)
    comes_first = forms.BooleanField(label=_("Cases opens with it"), required=False)

    def __init__(self, data: Any = None, *, user: Any, view: Any = None) -> None:
        super().__init__(data)
        if view:
            shared = FOR_ME if view.owner_id else view.role or FOR_EVERYBODY
            self.initial = {"name": view.name, "shared_with": shared, "comes_first": view.is_default}
