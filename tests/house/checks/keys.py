"""Foreign keys point down or into their own room; one given as a string escapes the import linter."""

import tomllib
from collections.abc import Iterable
from pathlib import Path

from django.db.models import Model


def ranks(root: Path) -> dict[str, int]:
    """Each room's height, 0 the lowest, from the layers in pyproject.toml."""
    contracts = tomllib.loads((root / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    layers = next(contract["layers"] for contract in contracts if contract["id"] == "one-way-down")
    return {
        room.strip(" ()"): height
        for height, layer in enumerate(reversed(layers))
        for room in layer.split("|")
    }


def keys_that_point_up(models: Iterable[type[Model]], *, ranks: dict[str, int]) -> list[str]:
    faults = []
    for model in models:
        room = model._meta.app_label
        for field in [*model._meta.local_fields, *model._meta.local_many_to_many]:
            target = field.remote_field.model if field.remote_field else None
            if target is None:
                continue
            other = target.split(".")[0] if isinstance(target, str) else target._meta.app_label
            below = other == room or ranks.get(other, -1) < ranks[room]
            if not below:
                faults.append(f"{model._meta.label}.{field.name} points to {other}, not below {room}")
    return faults
