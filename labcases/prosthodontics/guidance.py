"""What publications say about incisal display at rest: shown beside a patient's wish, never used in its
place.

The tables are separate group means of mostly dentate people. They can't be combined (no joint table
exists), and the spread between patients is as large as the differences between the groups.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

SEXES = ("female", "male")
_SEX_WORDS = {"female": Words("female"), "male": Words("male")}

VIG_BRUNDO = "Vig RG, Brundo GC. The kinetics of anterior tooth display. J Prosthet Dent 1978;39:502-504"
VIG_BRUNDO_GROUPS = Source(VIG_BRUNDO, Provenance.RECALLED, "H")
VIG_BRUNDO_LIP = Source(VIG_BRUNDO, Provenance.RECALLED, "M")
DA_MOTTA = Source(
    "da Motta AFJ et al. Display of the incisors as functions of age and gender. "
    "Aust Orthod J 2010;26(1):27-32, n = 240",
    Provenance.SEEN,
    "H",
)
PRAJAPATI = Source(
    "Prajapati P, Sethuraman R, Naveen YG. J Contemp Dent Pract 2011;12(1):24-29, n = 200",
    Provenance.SEEN,
    "H",
)
KARACHI = Source(
    "The mean visible labial length of maxillary and mandibular anterior teeth at rest (Karachi, 2012-13), "
    "abstract, n = 200",
    Provenance.SEEN,
    "H",
)
TEACHING = Source("", Provenance.COMMON, "H")

Row = tuple[
    int, int | None, str
]  # from, to (inclusive; None: and over), mean display of the upper central in mm

VIG_BRUNDO_AGE: tuple[Row, ...] = (
    (0, 29, "3.37"),
    (30, 39, "1.58"),
    (40, 49, "0.95"),
    (50, 59, "0.46"),
    (60, None, "-0.04"),
)
VIG_BRUNDO_LIP_LENGTH: tuple[Row, ...] = (
    (10, 15, "3.92"),
    (16, 20, "3.44"),
    (21, 25, "2.18"),
    (26, 30, "0.93"),
    (31, 36, "0.25"),
)
VIG_BRUNDO_SEX = {"male": "1.91", "female": "3.40"}
# Only the youngest and the oldest of the four groups could be read.
DA_MOTTA_AGE: dict[str, tuple[Row, ...]] = {
    "female": ((12, 15, "4.45"), (51, None, "1.32")),
    "male": ((12, 15, "3.35"), (51, None, "0.57")),
}
# As printed: the classes overlap at 15 and 25 mm, and there both means are shown.
PRAJAPATI_LIP_LENGTH: dict[str, tuple[Row, ...]] = {
    "female": ((10, 15, "3.7"), (15, 20, "3.4"), (21, 25, "2.3"), (25, 30, "0.9"), (31, 35, "0.25")),
    "male": ((10, 15, "3.4"), (15, 20, "3.3"), (21, 25, "2.05"), (25, 30, "0.7"), (31, 35, "0.15")),
}
KARACHI_FEMALE = ("2.93", "1.57")

KEYS = ("age", "sex", "lip_length")
DENTATE = Words("Mean of a group of dentate people; single patients lie millimetres to either side.")
YOUNG = Words("Mean of a mostly young sample; it can't be added to the mean of an age group.")
OVERLAP = Words("The printed classes overlap here; both means are shown.")


@dataclass(frozen=True, kw_only=True)
class Guidance:
    """One published figure for incisal display at rest, mm: a mean, or a range from `value` to `upto`."""

    label: str
    value: Decimal
    source: Source
    caution: str
    upto: Decimal | None = None
    spread: Decimal | None = None


def display_guidance(
    age: int | None = None,
    sex: str | None = None,
    lip_length: Decimal | None = None,
    *,
    first: str = "age",
) -> tuple[Guidance, ...]:
    """What publications give for this age in whole years, sex and length of the upper lip (mm), each by
    itself.

    Nothing is extrapolated: outside a table's classes it says nothing. Lip lengths between two classes are
    rounded to whole millimetres, halves up. `first`, one of `KEYS`, says which tables stand first; the others
    follow, since their means cannot be added. Raises `InputError` for a sex or an age that no table could mean.
    """
    _check(age, sex)
    if first not in KEYS:
        raise InputError("first", first, ", ".join(KEYS))
    lip = None if lip_length is None else int(lip_length.quantize(Decimal(1), rounding=ROUND_HALF_UP))
    tables = {"age": _by_age(age, sex), "sex": _by_sex(sex), "lip_length": _by_lip(lip, sex)}
    ordered = sorted(KEYS, key=lambda key: key != first)
    return (*_taught(), *(each for key in ordered for each in tables[key]))


def rows_for(table: Sequence[Row], key: int) -> list[Row]:
    """The classes that hold the key, both edges included."""
    return [row for row in table if row[0] <= key and (row[1] is None or key <= row[1])]


def _check(age: int | None, sex: str | None) -> None:
    if sex is not None and sex not in SEXES:
        raise InputError("sex", sex, ", ".join(SEXES))
    if age is not None and (isinstance(age, bool) or not isinstance(age, int) or not 0 <= age <= 120):
        raise InputError("age", age, Words("whole years, 0 to 120"))


def _taught() -> Iterator[Guidance]:
    yield Guidance(
        label=Words("usually taught"),
        value=Decimal(1),
        upto=Decimal(2),
        source=TEACHING,
        caution=Words("0 to 2 mm for older patients and 2 to 3 mm for young ones are taught as well."),
    )


def _by_age(age: int | None, sex: str | None) -> Iterator[Guidance]:
    if age is None:
        return
    for row in rows_for(VIG_BRUNDO_AGE, age):
        yield _mean(Words("age {years}").of(years=_class(row)), row[2], VIG_BRUNDO_GROUPS)
    for row in rows_for(DA_MOTTA_AGE.get(sex or "", ()), age):
        yield _mean(
            Words("{sex}, age {years}").of(sex=_SEX_WORDS[sex or ""], years=_class(row)), row[2], DA_MOTTA
        )


def _by_sex(sex: str | None) -> Iterator[Guidance]:
    if sex is None:
        return
    yield _mean(_SEX_WORDS[sex], VIG_BRUNDO_SEX[sex], VIG_BRUNDO_GROUPS, YOUNG)
    if sex == "female":
        yield _mean(_SEX_WORDS[sex], KARACHI_FEMALE[0], KARACHI, spread=Decimal(KARACHI_FEMALE[1]))


def _by_lip(lip: int | None, sex: str | None) -> Iterator[Guidance]:
    if lip is None:
        return
    for row in rows_for(VIG_BRUNDO_LIP_LENGTH, lip):
        yield _mean(Words("upper lip {length} mm").of(length=_class(row)), row[2], VIG_BRUNDO_LIP)
    rows = rows_for(PRAJAPATI_LIP_LENGTH.get(sex or "", ()), lip)
    for row in rows:
        caution = f"{DENTATE} {OVERLAP}" if len(rows) > 1 else DENTATE
        yield _mean(
            Words("{sex}, upper lip {length} mm").of(sex=_SEX_WORDS[sex or ""], length=_class(row)),
            row[2],
            PRAJAPATI,
            caution,
        )


def _mean(
    label: str, value: str, source: Source, caution: str = DENTATE, spread: Decimal | None = None
) -> Guidance:
    return Guidance(label=label, value=Decimal(value), source=source, caution=caution, spread=spread)


def _class(row: Row) -> str:
    low, high, _ = row
    if high is None:
        return Words("{low} and over").of(low=low)
    return Words("{low} to {high}").of(low=low, high=high) if low else Words("up to {high}").of(high=high)
