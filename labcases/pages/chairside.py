"""The figures that a prescription may bring, in the groups in which its form asks for them."""

from collections.abc import Iterable
from dataclasses import dataclass

from django import forms
from django.utils.translation import gettext_lazy as _

from labcases.measurements.models import Reading
from labcases.pages.fields import FigureField
from labcases.prosthodontics.quantities import quantity
from labcases.prosthodontics.uncertainty import instruments_for

NOT_STATED = "not_stated"
FIGURE = "figure_"
ARCH_WORDS = {"maxillary": _("maxillary"), "mandibular": _("mandibular")}
RIM_TITLES = {"maxillary": _("Maxillary rim"), "mandibular": _("Mandibular rim")}


@dataclass(frozen=True)
class FigureGroup:
    """Figures taken in one go, with one instrument named for all of them."""

    key: str
    title: str
    hint: str
    names: tuple[str, ...]
    folded: bool = True


GROUPS = (
    FigureGroup(
        "lip",
        _("Lip line and display"),
        _(
            "From the first two and the cast follows this patient’s rim height; without them it is an average."
        ),
        ("papilla_to_resting_lip", "incisal_display", "papilla_to_smiling_lip", "upper_lip_length"),
        folded=False,
    ),
    FigureGroup(
        "worn",
        _("The denture worn now"),
        _("What the patient is used to, shown beside the computed figures."),
        ("existing_papilla_to_edge", "existing_papilla_to_face"),
    ),
    FigureGroup(
        "face",
        _("Widths of the face, for the size of the teeth"),
        _("Any that you have; none is needed for tray, base or rims."),
        (
            "interalar_width",
            "mouth_width",
            "inner_canthal_distance",
            "bizygomatic_width",
            "face_length",
            "head_circumference",
        ),
    ),
    FigureGroup(
        "cast",
        _("Taken on a cast, where you have one"),
        _("Otherwise the laboratory takes these on the master cast."),
        (
            "sulcus_to_papilla",
            "intersulcus_distance",
            "retromolar_pad_height_right",
            "retromolar_pad_height_left",
        ),
    ),
)
NAMES = tuple(name for group in GROUPS for name in group.names)


def arch_of(name: str) -> str:
    """The arch that a quantity of one arch belongs to; empty for a figure of the patient."""
    return "".join(quantity(name).arches[:1])


def figure_fields(group: FigureGroup) -> dict[str, forms.Field]:
    choices = [(name, each.label) for name, each in instruments_for("mm").items()]
    first = sorted(choices, key=lambda choice: choice[0] != NOT_STATED)
    instrument = forms.ChoiceField(label=_("Read with"), choices=first, required=False, initial=NOT_STATED)
    figures = {FIGURE + name: FigureField(name, help_text=_what_and_how(name)) for name in group.names}
    return figures | {f"read_with_{group.key}": instrument}


def _what_and_how(name: str) -> str:
    return f"{quantity(name).landmarks} {quantity(name).how}"


def newest_of(readings: Iterable[Reading]) -> dict[str, Reading]:
    """The newest standing reading of each quantity that the form asks for; `readings` run oldest first."""
    return {
        reading.quantity: reading
        for reading in readings
        if reading.quantity in NAMES and reading.arch == arch_of(reading.quantity)
    }
