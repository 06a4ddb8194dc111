"""Settings of the articulator for a case: from its records where there are any, else the laboratory's averages."""

from labcases.measurements.derivations.figures import CaseFigures
from labcases.measurements.derivations.lines import Block, Derived, as_given, derived, number
from labcases.prosthodontics.articulator import (
    CHRISTENSEN,
    HANAU,
    USUAL_SETTINGS,
    bonwill_height,
    christensen_angle,
    gap_at,
    incisal_guide_angle,
)
from labcases.prosthodontics.provenance import COMMON_PRACTICE, Provenance, Source
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.wording import Words

READ = Source(Words("read on the articulator"), Provenance.DERIVED, "H")
ANGLE_SOURCE = Source(Words("angle of overbite to overjet"), Provenance.DERIVED, "H")
# Where the gap between the rims is looked at, mm behind the incisal point.
GAP_DISTANCE = 45.0
BESIDE = {each.name: each.beside for each in USUAL_SETTINGS}


def articulator_block(case: CaseFigures) -> Block:
    """Condylar and lateral settings of both sides, the gap to expect in protrusion, the incisal guide."""
    lines: list[Derived] = []
    for side in ("right", "left"):
        path = case.value(f"condylar_inclination_{side}")
        lines.append(_condylar(case, side, path))
        lines.append(_lateral(case, side, case.schools.horizontal_condylar if path is None else path))
    lines.append(_gap(case))
    guide = _incisal(case)
    lines += [guide] if guide else []
    schools = case.schools.sentences(
        "condylar_average", "lateral_setting", "condylar_triangle", "balkwill_angle", "protrusive_record"
    )
    return Block(
        title=Words("Articulator"),
        lines=tuple(lines),
        remarks=schools,
        calculator="christensen_gap",
        given=as_given({"path": _path(case), "protrusion": _protrusion(case)}),
    )


def _condylar(case: CaseFigures, side: str, path: float | None) -> Derived:
    label = QUANTITIES[f"condylar_inclination_{side}"].label
    if path is not None:
        u = case.u(f"condylar_inclination_{side}") or None
        return derived(label, path, "deg", u=u, why=Words("Read with the record seated."), source=READ)
    average = case.schools.horizontal_condylar
    why = Words("No record of this side: the laboratory’s average. Beside it: {others}.").of(
        others=BESIDE["condylar"]
    )
    return derived(label, average, "deg", why=why, source=COMMON_PRACTICE)


def _lateral(case: CaseFigures, side: str, horizontal: float) -> Derived:
    label = QUANTITIES[f"lateral_condylar_{side}"].label
    read = case.value(f"lateral_condylar_{side}")
    if read is not None:
        return derived(label, read, "deg", why=Words("Read on the articulator."), source=READ)
    value = case.schools.lateral_condylar(horizontal)
    if case.schools.lateral_setting == "formula":
        why = f"{number(horizontal)} / 8 + 12 = {number(value, 2)}."
        return derived(label, value, "deg", places=2, why=why, source=HANAU)
    why = Words("The laboratory’s average. Beside it: {others}.").of(others=BESIDE["lateral"])
    return derived(label, value, "deg", why=why, source=COMMON_PRACTICE)


def _gap(case: CaseFigures) -> Derived:
    """What opens behind in protrusion if the rims stay flat: to be met by cusps, curve or plane."""
    path, protrusion = _path(case), _protrusion(case)
    height = bonwill_height(*case.schools.triangle)
    angle = christensen_angle(path, protrusion=protrusion, height=height, balkwill=case.schools.balkwill)
    return derived(
        Words("Gap between flat rims in protrusion, {distance} mm behind the edge").of(
            distance=f"{GAP_DISTANCE:g}"
        ),
        gap_at(angle, distance=GAP_DISTANCE),
        "mm",
        why=Words(
            "Path {path}°, {protrusion} mm forwards, triangle {height} mm high at {balkwill}°: the rims part by "
            "{angle}°. No incisal guidance assumed."
        ).of(
            path=number(path),
            protrusion=number(protrusion),
            height=number(height),
            balkwill=number(case.schools.balkwill),
            angle=number(angle, 2),
        ),
        source=CHRISTENSEN,
    )


def _path(case: CaseFigures) -> float:
    """The flatter of the two sides that were read, or the average: it opens the smaller gap."""
    read = [case.value(f"condylar_inclination_{side}") for side in ("right", "left")]
    known = [each for each in read if each is not None]
    return min(known) if known else case.schools.horizontal_condylar


def _protrusion(case: CaseFigures) -> float:
    return case.value("protrusive_record") or case.schools.protrusion


def _incisal(case: CaseFigures) -> Derived | None:
    overbite, overjet = case.value("overbite"), case.value("overjet")
    if overbite is None or overjet is None or overbite < 0 or overjet < 0:
        return None
    angle = incisal_guide_angle(overbite, overjet)
    return derived(
        Words("Incisal guide angle"),
        angle,
        "deg",
        why=Words("Overbite {overbite} mm, overjet {overjet} mm. Beside it: {others}.").of(
            overbite=number(overbite), overjet=number(overjet), others=BESIDE["incisal"]
        ),
        source=ANGLE_SOURCE,
    )
