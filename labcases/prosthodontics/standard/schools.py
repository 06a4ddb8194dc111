"""Where schools of thought differ: the laboratory chooses, and the ticket prints which was used.

The choices are data, so that a form can be built from them. A key is stored; its words are printed.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from decimal import Decimal
from fractions import Fraction

from labcases.prosthodontics.articulator import lateral_setting
from labcases.prosthodontics.conformity import Rule
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials.curing import CURING_CYCLES, Cycle
from labcases.prosthodontics.materials.gypsum import GYPSUM
from labcases.prosthodontics.wording import Words


@dataclass(frozen=True)
class SchoolChoice:
    """One question between schools: its options as (key, words), and why it is asked."""

    name: str
    label: str
    options: tuple[tuple[str, str], ...]
    why: str

    def words_for(self, key: str) -> str:
        return dict(self.options)[key]


SCHOOL_CHOICES: tuple[SchoolChoice, ...] = (
    SchoolChoice(
        "papilla_reference",
        Words("Point of the incisive papilla that distances are taken from"),
        (
            ("anterior_border", Words("anterior border of the papilla")),
            ("centre", Words("centre of the papilla")),
            ("posterior_border", Words("posterior border of the papilla")),
        ),
        Words(
            "The three points lie some 3 mm apart; a distance without its point is no figure. The posterior "
            "border changes least after extraction (Solomon EGR, Arunachalam KS, J Indian Prosthodont Soc "
            "2012;12:236-247)."
        ),
    ),
    SchoolChoice(
        "labial_guide",
        Words("What the labial face is guided by"),
        (
            ("natural", Words("where the natural teeth stood")),
            ("existing", Words("the denture that the patient is used to")),
            ("both", Words("both shown, the prescriber decides")),
        ),
        Words(
            "Worn dentures carry the face some 3 mm further back than natural teeth did "
            "(Isa ZM, Abdulhadi LM, J Oral Sci 2012;54:159-163)."
        ),
    ),
    SchoolChoice(
        "height_reference",
        Words("Where the height of a rim is read from"),
        (
            ("sulcus", Words("the deepest labial sulcus beside the frenum")),
            ("border", Words("the border of the record base, which fills the sulcus")),
            ("crest", Words("the crest of the ridge")),
            ("papilla", Words("the incisive papilla on the upper rim, the sulcus on the lower one")),
        ),
        Words(
            "A height without its starting point is no figure. Targets stay defined from the sulcus; where it is read "
            "from elsewhere, the figure to read stands beside them."
        ),
    ),
    SchoolChoice(
        "pad_level",
        Words("Height of the lower rim on the retromolar pad"),
        (
            ("one_third", Words("one third of the retromolar pad's height")),
            ("half", Words("half of the retromolar pad's height")),
            ("two_thirds", Words("two thirds of the retromolar pad's height")),
        ),
        Words(
            "Two thirds is the classical teaching, half is taught as well, and surveys of natural teeth "
            "found the lower or the middle third."
        ),
    ),
    SchoolChoice(
        "tragus_point",
        Words("Point of the tragus for the ala-tragus line"),
        (
            ("superior", Words("superior border")),
            ("middle", Words("middle")),
            ("inferior", Words("inferior border")),
        ),
        Words(
            "The glossary names the superior border, most measurements favour the middle or the inferior one."
        ),
    ),
    SchoolChoice(
        "freeway",
        Words("Freeway space aimed at"),
        (("2-3", Words("2 to 3 mm")), ("2-4", Words("2 to 4 mm"))),
        Words("Taught as 2 to 4 mm, usually 2 to 3; 1 to 7 mm were seen in dentate adults."),
    ),
    SchoolChoice(
        "display_range",
        Words("Incisal display at rest that passes without a remark"),
        (
            ("0-3", Words("0 to 3 mm, all ages")),
            ("1-2", Words("1 to 2 mm")),
            ("0-2", Words("0 to 2 mm, older patients")),
            ("2-3", Words("2 to 3 mm, young patients")),
        ),
        Words("Common teaching; the patient's own wish always goes before it."),
    ),
    SchoolChoice(
        "display_guidance",
        Words("Which published display table stands first"),
        (
            ("age", Words("by age")),
            ("sex", Words("by sex")),
            ("lip_length", Words("by length of the upper lip")),
        ),
        Words("The tables are separate means and can't be added; the others are shown beside the first."),
    ),
    SchoolChoice(
        "canine_line",
        Words("What a canine line marks"),
        (
            ("distal_surface", Words("the distal surface of the canine")),
            ("tip", Words("the tip of the canine")),
        ),
        Words("Corners of the mouth stand for the distal surfaces, lines from the alae for the tips."),
    ),
    SchoolChoice(
        "mould_width",
        Words("What the width of six teeth in the mould list means"),
        (
            ("arc", Words("along the curve, from distal surface to distal surface")),
            ("card", Words("flat on the card, the sum of the six widths")),
            ("chord", Words("straight, from canine tip to canine tip")),
        ),
        Words("Mould charts differ: 46 mm along the curve may be 35 mm straight across."),
    ),
    SchoolChoice(
        "condylar_average",
        Words("Horizontal condylar setting where no record exists"),
        (("30", Words("30 degrees")), ("33", Words("33 degrees")), ("42", Words("42 degrees"))),
        Words(
            "Averages differ with the way they were recorded; a protrusive record goes before any of them."
        ),
    ),
    SchoolChoice(
        "lateral_setting",
        Words("Lateral condylar setting where no record exists"),
        (
            ("formula", Words("an eighth of the horizontal setting plus 12 degrees")),
            ("15", Words("15 degrees")),
            ("10", Words("10 degrees")),
        ),
        Words("The formula and the average differ from jaw tracking; both are starting values."),
    ),
    SchoolChoice(
        "condylar_triangle",
        Words("Triangle of condyles and incisal point"),
        (
            ("101.6", Words("equilateral, 101.6 mm")),
            ("103.3", Words("isosceles, arms 103.3 mm, base 99.6 mm")),
        ),
        Words("The classical triangle is equilateral; measured ones are rather isosceles."),
    ),
    SchoolChoice(
        "balkwill_angle",
        Words("Angle between the condylar triangle and the occlusal plane"),
        (("18", Words("18 degrees")), ("22", Words("22 degrees")), ("26", Words("26 degrees"))),
        Words("Authors give means from 18 to 26 degrees."),
    ),
    SchoolChoice(
        "arch_correction",
        Words("Cast measurements before they enter the arch curve"),
        (("corrected", Words("width + 1 mm, depth + 1.5 mm")), ("raw", Words("as measured"))),
        Words("Measured correction of Noroozi H et al., Angle Orthod 2001;71:386-389."),
    ),
    SchoolChoice(
        "conformity_rule",
        Words("How a reading close to a limit is decided"),
        ((Rule.SIMPLE.value, Rule.SIMPLE.words), (Rule.GUARD.value, Rule.GUARD.words)),
        Words("Both rules are those of JCGM 106:2012; the ticket prints the one used."),
    ),
    SchoolChoice(
        "repeatability",
        Words("Scatter of a single reading on wax"),
        (
            ("0.10", Words("0.10 mm")),
            ("0.20", Words("0.20 mm")),
            ("0.30", Words("0.30 mm")),
            ("0.50", Words("0.50 mm")),
        ),
        Words(
            "Stands in where a dimension was read only once; a repeatability study replaces it. From memory."
        ),
    ),
    SchoolChoice(
        "protrusive_record",
        Words("Protrusion asked for in the protrusive record"),
        (("5", Words("5 mm")), ("6", Words("6 mm"))),
        Words("Two prints of one paper differ (Oh W et al., Compend Contin Educ Dent 2020)."),
    ),
    SchoolChoice(
        "tooth_numbering",
        Words("Tooth numbers that stand first"),
        (("iso_3950", Words("two digits, ISO 3950")), ("universal", Words("1 to 32, Universal"))),
        Words("Both are printed."),
    ),
    SchoolChoice(
        "gypsum_ratio",
        Words("Water to powder of the master cast's stone, type 3"),
        (
            ("middle", Words("the middle of the published range, 0.25 to 0.30")),
            ("0.25", Words("0.25")),
            ("0.28", Words("0.28")),
            ("0.30", Words("0.30")),
        ),
        Words("Textbooks give 0.25 to 0.30 or 0.28 to 0.30; the lot's own sheet goes before any of them."),
    ),
    SchoolChoice(
        "polymer_ratio",
        Words("Polymer to monomer of the denture base"),
        (
            ("1.8", Words("1.8 g per mL")),
            ("2.0", Words("2.0 g per mL")),
            ("2.22", Words("2.22 g per mL")),
            ("2.5", Words("2.5 g per mL")),
        ),
        Words(
            "Studies used 1.80, 2.00 and 2.22 g per mL, texts go up to 2.5; the material's own "
            "sheet goes before any."
        ),
    ),
    SchoolChoice(
        "curing_cycle",
        Words("Curing of a denture base"),
        tuple((key, cycle.label) for key, cycle in CURING_CYCLES.items()),
        Words(
            "Long and short cycles, with or without a boil at the end, are all taught; the material's own sheet goes "
            "before any of them."
        ),
    ),
    SchoolChoice(
        "retention",
        Words("How long papers are kept"),
        (
            ("2", Words("2 years, as several US states ask")),
            ("3", Words("3 years")),
            ("5", Words("5 years")),
            ("10", Words("10 years, as EU 2017/745 asks for a custom-made device")),
            ("15", Words("15 years, as EU 2017/745 asks for an implantable one")),
        ),
        Words(
            "Rules differ by country and state; the longest that applies here is the one to choose. "
            "Nothing is deleted."
        ),
    ),
    SchoolChoice(
        "spacer",
        Words("Spacer of the custom tray"),
        (
            ("by_material", Words("by the impression material")),
            ("close_fitting", Words("none, close-fitting")),
            (
                "selective_pressure",
                Words("1 mm, free of the posterior palatal seal or of buccal shelf and pad"),
            ),
            ("full_sheet", Words("one sheet of wax with stops")),
        ),
        Words("Schools differ on where an impression should press."),
    ),
)
_CHOICES = {choice.name: choice for choice in SCHOOL_CHOICES}
_TRIANGLES = {"101.6": (101.6, 101.6), "103.3": (103.3, 99.6)}
_PAD_FRACTIONS = {"one_third": Fraction(1, 3), "half": Fraction(1, 2), "two_thirds": Fraction(2, 3)}


@dataclass(frozen=True, kw_only=True)
class Schools:
    """The options chosen, by their keys; `InputError` for a key that isn't offered. Defaults as delivered."""

    papilla_reference: str = "anterior_border"
    labial_guide: str = "both"
    height_reference: str = "sulcus"
    pad_level: str = "two_thirds"
    tragus_point: str = "middle"
    freeway: str = "2-4"
    display_range: str = "0-3"
    display_guidance: str = "age"
    canine_line: str = "distal_surface"
    mould_width: str = "arc"
    condylar_average: str = "30"
    lateral_setting: str = "formula"
    condylar_triangle: str = "101.6"
    balkwill_angle: str = "22"
    arch_correction: str = "corrected"
    conformity_rule: str = Rule.SIMPLE.value
    repeatability: str = "0.20"
    protrusive_record: str = "6"
    tooth_numbering: str = "iso_3950"
    gypsum_ratio: str = "middle"
    polymer_ratio: str = "2.0"
    curing_cycle: str = "long"
    retention: str = "10"
    spacer: str = "by_material"

    def __post_init__(self) -> None:
        for field in fields(self):
            allowed = [key for key, _ in _CHOICES[field.name].options]
            if getattr(self, field.name) not in allowed:
                raise InputError(field.name, getattr(self, field.name), ", ".join(allowed))

    def words(self, name: str) -> str:
        """The chosen option of one question, in words."""
        return _choice(name).words_for(getattr(self, name))

    def sentence(self, name: str) -> str:
        """Question and answer, as the ticket prints it."""
        return f"{_choice(name).label}: {str(self.words(name)).rstrip('.')}."

    def sentences(self, *names: str) -> tuple[str, ...]:
        """Several questions with their answers."""
        return tuple(self.sentence(name) for name in names)

    @property
    def pad_fraction(self) -> Fraction:
        return _PAD_FRACTIONS[self.pad_level]

    @property
    def freeway_range(self) -> tuple[Decimal, Decimal]:
        return _range(self.freeway)

    @property
    def display_limits(self) -> tuple[Decimal, Decimal]:
        return _range(self.display_range)

    @property
    def rule(self) -> Rule:
        return Rule(self.conformity_rule)

    @property
    def horizontal_condylar(self) -> float:
        """Horizontal condylar setting without a record, degrees."""
        return float(self.condylar_average)

    def lateral_condylar(self, horizontal: float) -> float:
        """Lateral condylar setting without a record, degrees, for a horizontal one."""
        return (
            lateral_setting(horizontal) if self.lateral_setting == "formula" else float(self.lateral_setting)
        )

    @property
    def triangle(self) -> tuple[float, float]:
        """Arm and base of the triangle of condyles and incisal point, mm."""
        return _TRIANGLES[self.condylar_triangle]

    @property
    def balkwill(self) -> float:
        """Angle of that triangle to the occlusal plane, degrees."""
        return float(self.balkwill_angle)

    @property
    def protrusion(self) -> float:
        """Protrusion asked for in a protrusive record, mm."""
        return float(self.protrusive_record)

    @property
    def corrects_arch(self) -> bool:
        """Whether a cast's width and depth get the published correction before the curve is drawn."""
        return self.arch_correction == "corrected"

    @property
    def stone_ratio(self) -> float:
        """Water per powder of type 3 stone, by mass."""
        return GYPSUM[3].middle_ratio if self.gypsum_ratio == "middle" else float(self.gypsum_ratio)

    @property
    def cycle(self) -> Cycle:
        """The curing cycle of a denture base."""
        return CURING_CYCLES[self.curing_cycle]

    @property
    def retention_years(self) -> int:
        return int(self.retention)

    @property
    def single_reading_repeatability(self) -> Decimal:
        """Standard deviation of single readings, mm."""
        return Decimal(self.repeatability)


def changed(schools: Schools, changes: Mapping[str, str]) -> Schools:
    """The same choices with some of them changed; raises `InputError` for a question that doesn't exist."""
    for name in changes:
        _choice(name)
    chosen = {field.name: getattr(schools, field.name) for field in fields(schools)}
    return Schools(**(chosen | dict(changes)))


def _choice(name: str) -> SchoolChoice:
    if name not in _CHOICES:
        raise InputError("school", name, ", ".join(_CHOICES))
    return _CHOICES[name]


def _range(key: str) -> tuple[Decimal, Decimal]:
    low, _, high = key.partition("-")
    return Decimal(low), Decimal(high)
