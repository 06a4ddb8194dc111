"""What a laboratory's choices between schools make of the calculators' defaults."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from labcases.prosthodontics.articulator import bonwill_height
from labcases.prosthodontics.standard import Schools

_ARCH = ("arch_form", "rim_outline", "tooth_strip")
_RIM = ("rim_outline", "tooth_strip")
_CONDYLE = ("christensen_gap", "condylar_path")


def defaults_by(schools: Schools) -> Mapping[str, Mapping[str, object]]:
    """Defaults by calculator and input name, for every calculator that one of the choices has a say in.

    They stand in where nothing is given, as a calculator's own defaults do; what is given goes before them.
    """
    found: dict[str, dict[str, object]] = {}
    for names, defaults in _groups(schools):
        for name in names:
            found.setdefault(name, {}).update(defaults)
    return found


def _groups(schools: Schools) -> Iterable[tuple[tuple[str, ...], Mapping[str, object]]]:
    low, high = (float(limit) for limit in schools.freeway_range)
    arm, base = schools.triangle
    condyle: Mapping[str, object] = {
        "protrusion": schools.protrusion,
        "height": round(bonwill_height(arm, base), 2),
        "balkwill": schools.balkwill,
    }
    stone: Mapping[str, object] = {} if schools.gypsum_ratio == "middle" else {"ratio": schools.stone_ratio}
    yield _ARCH, {"corrected": schools.corrects_arch}
    yield _RIM, {"papilla_reference": schools.papilla_reference}
    yield ("papilla_offset",), {"to_point": schools.papilla_reference}
    yield ("conformity",), {"rule": schools.rule.value}
    yield ("reading_uncertainty",), {"repeatability": float(schools.single_reading_repeatability)}
    yield ("freeway_space",), {"low": low, "high": high, "wanted": (low + high) / 2}
    yield ("bonwill_height",), {"arm": arm, "base": base}
    yield ("lateral_setting", "usual_settings"), {"horizontal": schools.horizontal_condylar}
    yield _CONDYLE, condyle
    yield ("tooth_number",), {"system": "ISO 3950" if schools.tooth_numbering == "iso_3950" else "Universal"}
    yield ("gypsum",), stone
    yield ("polymer",), {"ratio": float(schools.polymer_ratio)}
    yield ("curing",), {"cycle": schools.curing_cycle}
