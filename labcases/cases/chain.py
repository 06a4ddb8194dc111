"""The log of a case as a chain: each entry carries a digest over itself, its predecessor and the rows it stands for.

A chain without a secret shows what was altered by someone who does not compute all that follows anew; who does that
is found out by any record or backup handed out before, for these carry the chain's end.

What identifies a patient goes in as a digest with a salt of its entry. So value and salt can be erased, the digest
stays in their place, and the chain still holds.
"""

import datetime
import hashlib
import json
import secrets
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

# What `before` and `after` of an entry say of the patient, and the digest of a paper that names the patient's code.
PERSONAL = frozenset(
    {"patient_code", "patient_age", "patient_sex", "notes", "tooth_wishes", "outcome", "sha256"}
)
# Columns of a row that go in salted, and the one that is empty once they hold their digests instead.
PERSONAL_COLUMNS = {"tickets.workticket": (("sha256", "facts_digest"), "pdf")}
ERASED = "erased"


@dataclass(frozen=True)
class Head:
    """Where a case's log ends: the number of its last entry and that entry's digest."""

    length: int = 0
    digest: str = ""


START = Head()


def new_salt() -> str:
    return secrets.token_hex(16)


def seal(
    entries: Iterable[tuple[Any, Sequence[Any]]],
    *,
    number: str,
    head: Head = START,
    salts: Callable[[], str] = new_salt,
) -> Head:
    """Make unsaved events of one case its log's next entries, and return where the log ends then.

    `entries` are events in their order, each with the saved rows that it stands for; `number` is the case's and
    `head` the end of its log so far. Sets position, salt, covers and digest; the caller saves the events and keeps the
    returned head as the case's log_length and log_digest. Figures must be no finer than their columns.
    """
    for event, rows in entries:
        event.before, event.after = _as_stored(event.before), _as_stored(event.after)
        event.position = head.length + 1
        event.salt = salts() if needs_salt(event, map(_label, rows)) else ""
        event.covers = covers(rows, salt=event.salt)
        event.digest = entry_digest(event, number=number, previous=head.digest)
        head = Head(event.position, event.digest)
    return head


def entry_digest(event: Any, *, number: str, previous: str) -> str:
    return _sha256(
        {
            "case": number,
            "position": event.position,
            "previous": previous,
            "act": str(event.act),
            "stage": event.stage_id,
            "by": event.by_id,
            "at": _plain(event.at),
            "before": masked(event.before, salt=event.salt, where="before"),
            "after": masked(event.after, salt=event.salt, where="after"),
            "reason": event.reason,
            "covers": event.covers,
        }
    )


def masked(values: dict[str, Any], *, salt: str, where: str) -> dict[str, Any]:
    """`before` or `after` with a digest in the place of each value that says something of the patient."""
    return {
        key: {ERASED: _salted(salt, f"{where}.{key}", value)}
        if key in PERSONAL and not is_erased(value)
        else value
        for key, value in values.items()
    }


def is_erased(value: Any) -> bool:
    return isinstance(value, dict) and set(value) == {ERASED}


def is_personal(event: Any) -> bool:
    """Whether the entry still says something of the patient."""
    return any(
        key in PERSONAL and not is_erased(value)
        for values in (event.before, event.after)
        for key, value in values.items()
    )


def needs_salt(event: Any, kinds: Iterable[str]) -> bool:
    """Whether an entry that stands for rows of these kinds goes in with anything that is salted."""
    return is_personal(event) or not PERSONAL_COLUMNS.keys().isdisjoint(kinds)


def has_erased(event: Any) -> bool:
    return any(is_erased(value) for values in (event.before, event.after) for value in values.values())


def covers(rows: Iterable[Any], *, salt: str) -> dict[str, dict[str, Any]]:
    """By kind of row, the keys of these rows and one digest over all of them."""
    kinds: dict[str, list[Any]] = {}
    for row in rows:
        kinds.setdefault(_label(row), []).append(row)
    return {label: covered(found, salt=salt) for label, found in sorted(kinds.items())}


def covered(rows: Sequence[Any], *, salt: str) -> dict[str, Any]:
    return {
        "ids": [row.pk for row in rows],
        "digest": _sha256([row_digest(row, salt=salt) for row in rows]),
    }


def row_digest(row: Any, *, salt: str) -> str:
    """A digest over every column that is not as it is by default, so that a later version may add columns."""
    label, said = _label(row), {}
    personal, emptied = PERSONAL_COLUMNS.get(label, ((), ""))
    for field in row._meta.concrete_fields:
        if field.attname in (emptied, row._meta.pk.attname):
            continue
        value, default = _plain(_rounded(field, getattr(row, field.attname))), _plain(field.get_default())
        if (type(value), value) != (type(default), default):
            said[field.attname] = value
    for name in personal:
        said[name] = masked_column(row, name, salt=salt)
    return _sha256({"row": label, "id": row.pk, "fields": said})


def masked_column(row: Any, name: str, *, salt: str) -> str:
    _, emptied = PERSONAL_COLUMNS[_label(row)]
    value = getattr(row, name)
    return _salted(salt, name, value) if getattr(row, emptied) else value


def _label(row: Any) -> str:
    return row._meta.label_lower


def _rounded(field: Any, value: Any) -> Any:
    if isinstance(value, Decimal):
        return value.quantize(Decimal(1).scaleb(-field.decimal_places))
    return value


def _plain(value: Any) -> Any:
    """A column's value as JSON can carry it, alike for both databases."""
    if isinstance(value, bool | int | None):
        return value
    if isinstance(value, Decimal):
        return f"{value.normalize() + 0:f}"
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC).isoformat()
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, bytes | memoryview):
        return hashlib.sha256(value).hexdigest()
    if isinstance(value, str):
        return str(value)
    return _as_stored(value)


def _as_stored(value: Any) -> Any:
    """A JSON value as either database gives it back: whole numbers are whole, whichever way they were written."""
    return _whole_numbers(json.loads(json.dumps(value)))


def _whole_numbers(value: Any) -> Any:
    if isinstance(value, float) and value.is_integer():
        return int(value)
    if isinstance(value, dict):
        return {key: _whole_numbers(each) for key, each in value.items()}
    return [_whole_numbers(each) for each in value] if isinstance(value, list) else value


def _salted(salt: str, where: str, value: Any) -> str:
    return _sha256([salt, where, _plain(value)])


def _sha256(value: Any) -> str:
    text = json.dumps(_whole_numbers(value), sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
