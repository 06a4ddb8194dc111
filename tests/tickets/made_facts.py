"""Tickets' facts made by hand, from specifications as the core computes them: no database needed."""

import dataclasses
import random
from decimal import Decimal

from labcases.prosthodontics.specification import lines as core
from labcases.prosthodontics.specification.base import specify_record_base
from labcases.prosthodontics.specification.rims import specify_rims
from labcases.prosthodontics.specification.tray import specify_tray
from labcases.prosthodontics.standard import HOUSE_STANDARD
from labcases.tickets.codes import groups, new_code, scan_mark
from labcases.tickets.drawing import DrawingFacts
from labcases.tickets.facts import (
    ArchFacts,
    FigureFacts,
    Imprint,
    LineFacts,
    MeasuredFacts,
    SpecificationFacts,
    StepFacts,
    TicketFacts,
)

ARCHES = ("maxillary", "mandibular")
KINDS = ("occlusion_rims", "custom_tray", "record_base")
PUBLIC_URL = "https://cases.example.test"
LIP_FIGURES = {
    "sulcus_to_papilla": Decimal("12.5"),
    "papilla_to_resting_lip": Decimal("7.5"),
    "incisal_display": Decimal("1.0"),
}
PAD_FIGURES = {
    "retromolar_pad_height_left": Decimal("9.0"),
    "retromolar_pad_height_right": Decimal("10.5"),
}


def specification(kind="occlusion_rims", arch="maxillary", *, figures=None, prescribed=None, **more):
    if figures is None:
        figures = {} if kind != "occlusion_rims" else LIP_FIGURES if arch == "maxillary" else PAD_FIGURES
    known = {"figures": figures, "prescribed": prescribed or {}, "standard": HOUSE_STANDARD}
    if kind == "custom_tray":
        return specify_tray(arch, impression_material=more.get("material", "silicone"), **known)
    return (specify_record_base if kind == "record_base" else specify_rims)(arch, **known)


def line_facts(line: core.Dimension, measured: MeasuredFacts | None = None) -> LineFacts:
    return LineFacts(
        name=line.name,
        label=line.label,
        target=line.target,
        figure=core.figure(line.target, line.unit) if line.target is not None else "",
        unit=line.unit,
        unit_sign=core.UNIT_SIGNS.get(line.unit, ""),
        limits=line.limits_in_words.strip(" ()"),
        wording=line.wording,
        basis=line.basis.value,
        why=line.why,
        source=line.source,
        formula=line.formula,
        measurable=line.measurable,
        measured=measured if line.measurable else None,
    )


def measured_facts(figure="21.15", verdict="within", **changes) -> MeasuredFacts:
    made = MeasuredFacts(
        figure=figure,
        repeats="21.1, 21.2",
        verdict=verdict,
        words="Within the configured limits, 0.85 from the nearer one.",
        instrument="digital caliper",
        taken="Tilda Wren, Mon 2 Mar 2026, 09:10",
    )
    return dataclasses.replace(made, **changes)


def arch_facts(kind="occlusion_rims", arch="maxillary", *, measured=None, **specified) -> ArchFacts:
    plain = specification(kind, arch, **specified)
    measured = measured or {}
    return ArchFacts(
        arch=arch,
        lines=tuple(line_facts(line, measured.get(line.name)) for line in plain.dimensions),
        notes=plain.notes,
        papilla_reference="anterior_border",
    )


def drawing_facts(kind="occlusion_rims", arch="maxillary", **specified) -> DrawingFacts:
    return arch_facts(kind, arch, **specified).drawn(kind)


def ticket_facts(kind="occlusion_rims", *, measured=None, **changes) -> TicketFacts:
    arches = tuple(arch_facts(kind, arch, measured=measured) for arch in ARCHES)
    made = TicketFacts(
        laboratory="Quarry Lane Denture Laboratory",
        laboratory_address="1 Quarry Lane\nPlasterton",
        case_number="26-00417-K",
        case_kind="Complete denture",
        arches="Both arches",
        practice="Bridge Street Practice",
        practice_code="BSP",
        practice_address="2 Bridge Street, Plasterton",
        prescriber="Ines Marlow",
        licence_number="LIC-0042",
        signed="Signed Mon 2 Mar 2026, 09:00",
        patient_code="P-100",
        stage_kind=kind,
        stage="Occlusion rims, visit 2",
        visit=2,
        assignee="Tilda Wren",
        planned="Wed 11 Mar 2026",
        due="Fri 13 Mar 2026",
        wanted_back="Mon 16 Mar 2026",
        wanted_for="Jaw relation record",
        work_description="Complete upper and lower dentures, new.",
        impression_material="Silicone",
        base_material="Heat-cured acrylic, pink",
        shade="Warm light",
        tooth_wishes="A little irregular; not too white.",
        notes="Ridge very flat on the lower left.",
        subcontractor="none",
        disinfected=(
            "Surface disinfectant, label A, 10 min (the label asks 10); Orla Finch, Mon 2 Mar 2026, 09:05",
        ),
        came_back="Midline off. The midline stands 2 mm to the left.",
        specification=SpecificationFacts(
            revision=3,
            issued="Mon 2 Mar 2026, 09:00",
            issued_by="Orla Finch",
            rule="Simple acceptance: the mean as read decides.",
            choices=("Point of the incisive papilla that distances are taken from: its anterior border.",),
            arches=arches,
        ),
        changes=("Maxillary, Anterior height: 22.0 mm (21.0 to 23.0) becomes 21.0 mm (20.0 to 22.0)",),
        steps=(
            StepFacts(
                text="Case number on cast and paper compared", done="Tilda Wren, Mon 2 Mar 2026, 09:10"
            ),
            StepFacts(text="Wax sealed to the base without gaps"),
        ),
        figures=(
            FigureFacts(
                label="Depth of the labial sulcus above the papilla",
                arch="maxillary",
                unit_sign="mm",
                between="Vertically from the deepest labial sulcus down to the incisive papilla.",
                measured=MeasuredFacts(
                    figure="13.85",
                    repeats="13.8, 13.9",
                    verdict="",
                    words="",
                    instrument="digital caliper",
                    taken="Tilda Wren, Mon 2 Mar 2026, 09:10",
                ),
            ),
            FigureFacts(
                label="Papilla to vibrating line",
                arch="maxillary",
                unit_sign="mm",
                between="In the midline from the papilla to the marked vibrating line.",
            ),
        ),
    )
    return dataclasses.replace(made, **changes)


def imprint(code: str = "") -> Imprint:
    code = code or new_code()
    return Imprint(
        code=code,
        groups=groups(code),
        mark=scan_mark(code, public_url=PUBLIC_URL),
        at="2026-03-02T09:14:00+00:00",
        printed="Mon 2 Mar 2026, 09:14",
        printed_by="Orla Finch",
    )


WORDS = (
    "Oberlippenbändchen",
    "tuberosity",
    "Ährenfeld",
    "mandibular",
    "e.g.",
    "(see the photograph)",
    "2×",
    "µm",
)
UNBROKEN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_/"


def long_text(rng: random.Random, most: int) -> str:
    """A value that fills its field: words, or one unbroken run, as somebody may well paste it."""
    if rng.random() < 0.4:
        return "".join(rng.choice(UNBROKEN) for _ in range(most))
    text = rng.choice(WORDS)
    while len(text) < most:
        text += " " + rng.choice(WORDS)
    return text[:most].strip()
