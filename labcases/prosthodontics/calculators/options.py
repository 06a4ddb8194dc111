"""Options that a document names by a word which people read otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from labcases.prosthodontics.wording import Words

OPTION_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "maxillary": Words("maxillary"),
        "mandibular": Words("mandibular"),
        "starts": Words("starts"),
        "ready by": Words("ready by"),
        "type 1: impression plaster": Words("type 1: impression plaster"),
        "type 2: model plaster": Words("type 2: model plaster"),
        "type 3: dental stone": Words("type 3: dental stone"),
        "type 4: die stone, low expansion": Words("type 4: die stone, low expansion"),
        "type 5: die stone, high expansion": Words("type 5: die stone, high expansion"),
    }
)
