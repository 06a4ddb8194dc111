"""The chain of a copied log: what each entry's digest is over, as text with gaps, so that a copy's chain holds."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from labcases.cases.chain import ERASED, digest_of, entry_said, masked, row_said, written
from labcases.demo.archive.gaps import PATIENT_CODE, Gaps, number_gap, opened, text_gap

CODE_SAID = "code_said"


@dataclass(frozen=True)
class Link:
    """One entry: the gap for its digest, the text that it is over, and for each kind of row that it stands for the
    gap for their digest and the texts of the rows."""

    gap: str
    text: str
    covered: tuple[tuple[str, tuple[str, ...]], ...]


def chain(links: Iterable[Link], values: dict[str, Any], *, salt: str) -> str:
    """Fill the digests of a copy's log into its values; returns where the log ends.

    `salt` is that of the entry that says the patient's code.
    """
    code = {PATIENT_CODE: values[PATIENT_CODE]}
    values[CODE_SAID] = masked(code, salt=salt, where="after")[PATIENT_CODE][ERASED]
    end = ""
    for link in links:
        for gap, rows in link.covered:
            values[gap] = digest_of(written([digest_of(row % values) for row in rows]))
        values["previous"] = end
        end = values[link.gap] = digest_of(link.text % values)
    return end


class Linking:
    """Makes the links of a told case; `gap_of` names the gap for the key of a row that is copied, or nothing."""

    def __init__(
        self, gaps: Gaps, gap_of: Callable[[type, int], str | None], related: Callable[[Any, int], Any]
    ):
        self.gaps, self.gap_of, self.related = gaps, gap_of, related

    def link(self, event: Any, place: int, rows: dict[str, Sequence[Any]]) -> Link:
        """`event.covers` gets gaps for its keys and digests, so that its column has them too."""
        covered, covers = [], {}
        for number, (label, of_kind) in enumerate(rows.items()):
            gap = f"c{place}_{number}"
            covered.append((gap, tuple(self._row(row, event.salt) for row in of_kind)))
            keys = [number_gap(self.gap_of(type(row), row.pk) or "") for row in of_kind]
            covers[label] = {"ids": keys, "digest": text_gap(gap)}
        event.covers = covers
        said = entry_said(event, number=text_gap("number"), previous=text_gap("previous"))
        said["stage"] = self._key(event, "stage", said["stage"])
        said["by"] = number_gap(self.gaps.person(event.by_id))
        for name in ("at", "before", "after"):
            said[name] = self.gaps.in_json(said[name])
        if PATIENT_CODE in event.after:
            said["after"][PATIENT_CODE] = {ERASED: text_gap(CODE_SAID)}
        return Link(f"e{place}", opened(written(said)), tuple(covered))

    def _row(self, row: Any, salt: str) -> str:
        said = row_said(row, salt=salt)
        said["id"] = number_gap(self.gap_of(type(row), row.pk) or "")
        fields = said["fields"]
        for field in row._meta.concrete_fields:
            if field.attname not in fields:
                continue
            if field.is_relation:
                fields[field.attname] = self._key(row, field.name, fields[field.attname])
            else:
                fields[field.attname] = self.gaps.in_json(fields[field.attname])
        return opened(written(said))

    def _key(self, row: Any, name: str, value: int | None) -> Any:
        return None if value is None else self.related(row._meta.get_field(name).related_model, value)
