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
# Acts whose reason is about the patient rather than about the work.
PERSONAL_REASONS = frozenset({"sent_back", "cancelled"})
# Columns of a row that go in salted, and those that do not go in because another column is their digest.
PERSONAL_COLUMNS = {"tickets.workticket": ("sha256", "facts_digest"), "cases.return": ("note",)}
LEFT_OUT = {"tickets.workticket": ("pdf",)}
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
    return _sha256(entry_said(event, number=number, previous=previous))


def entry_said(event: Any, *, number: str, previous: str) -> dict[str, Any]:
    """What an entry's digest is over."""
    return {
        "case": number,
        "position": event.position,
        "previous": previous,
        "act": str(event.act),
        "stage": event.stage_id,
        "by": event.by_id,
        "at": _plain(event.at),
        "before": masked(event.before, salt=event.salt, where="before"),
        "after": masked(event.after, salt=event.salt, where="after"),
        "reason": masked_reason(event),
        "covers": event.covers,
    }


def masked(values: dict[str, Any], *, salt: str, where: str) -> dict[str, Any]:
    """`before` or `after` with a digest in the place of each value that says something of the patient.

    Without a salt that has happened: it was erased together with the values.
    """
    return {
        key: {ERASED: _salted(salt, f"{where}.{key}", value)} if salt and key in PERSONAL else value
        for key, value in values.items()
    }


def masked_reason(event: Any) -> str:
    return (
        masked_text(event.reason, salt=event.salt, where="reason")
        if _has_personal_reason(event)
        else event.reason
    )


def masked_text(text: str, *, salt: str, where: str) -> str:
    """A text's digest in a form that shows in its place as what it is; nothing stays nothing."""
    return f"{ERASED} {_salted(salt, where, text)}" if salt and text else text


def _has_personal_reason(event: Any) -> bool:
    return event.act in PERSONAL_REASONS


def is_erased(value: Any) -> bool:
    return isinstance(value, dict) and set(value) == {ERASED}


def needs_salt(event: Any, kinds: Iterable[str]) -> bool:
    """Whether an entry that stands for rows of these kinds says, or once said, something of the patient."""
    values = {**event.before, **event.after}
    return (
        not PERSONAL.isdisjoint(values)
        or not PERSONAL_COLUMNS.keys().isdisjoint(kinds)
        or bool(_has_personal_reason(event) and event.reason)
    )


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
    return _sha256(row_said(row, salt=salt))


def row_said(row: Any, *, salt: str) -> dict[str, Any]:
    """What a row's digest is over: every column that is not as it is by default, so that later ones may be added."""
    label, said = _label(row), {}
    for field in row._meta.concrete_fields:
        name = field.attname
        if name in LEFT_OUT.get(label, ()) or name == row._meta.pk.attname:
            continue
        value, default = _plain(_rounded(field, getattr(row, name))), _plain(field.get_default())
        if name in PERSONAL_COLUMNS.get(label, ()):
            value = masked_column(row, name, salt=salt)
        if (type(value), value) != (type(default), default):
            said[name] = value
    return {"row": label, "id": row.pk, "fields": said}


def masked_column(row: Any, name: str, *, salt: str) -> str:
    """A column's digest in a form that fits the column."""
    value = getattr(row, name)
    if name == "note":
        return masked_text(value, salt=salt, where=name)
    return _salted(salt, name, value) if salt else value


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


def written(value: Any) -> str:
    """The one way in which a value is written before it is digested."""
    return json.dumps(_whole_numbers(value), sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def digest_of(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _sha256(value: Any) -> str:
    return digest_of(written(value))
