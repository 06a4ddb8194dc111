"""The trade's words as this program uses them, in our own words; a definition that was published names its source.

Where schools differ the entry says what the word means here; the laboratory's own choice stands in its lab standard.
"""

from dataclasses import dataclass

from labcases.prosthodontics.provenance import COMMON_PRACTICE, Provenance, Source
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.wording import Words


@dataclass(frozen=True)
class Term:
    """One word. `figure` is the quantity whose drawing shows it, `work` the kind of work that does, if either."""

    name: str
    words: str
    source: Source = COMMON_PRACTICE
    figure: str = ""
    work: str = ""

    @property
    def slug(self) -> str:
        """The word's place on its page."""
        return "-".join(self.name.lower().replace("’", "").replace(",", "").split())


CONVENTION = Source("", Provenance.DERIVED, "H")
DECISION = Source(Words("after JCGM 106:2012, simple acceptance"), Provenance.RECALLED, "H")


def _of(name: str) -> Source:
    """The source that the catalogue of figures gives for a quantity."""
    return QUANTITIES[name].source


TERMS: tuple[Term, ...] = (
    Term(
        Words("Ala-tragus line"),
        Words(
            "From the wing of the nose to the tragus of the ear, seen from the side. The occlusal plane "
            "behind is commonly set parallel to it. Schools differ about which point of the tragus is meant; "
            "the lab standard says which."
        ),
        figure="plane_pitch",
    ),
    Term(
        Words("Anterior height"),
        Words(
            "Of a rim: from the deepest labial sulcus beside the frenum to the occlusal surface, in front."
        ),
    ),
    Term(
        Words("Articulator"),
        Words(
            "The instrument that holds both casts in the relation recorded and lets them move as the jaw does."
        ),
    ),
    Term(
        Words("Canine line"),
        Words(
            "A mark on the labial face of the upper rim that shows where the canine stands. The six front "
            "teeth are chosen to fit between both lines. Schools differ about which part of the canine the "
            "line means."
        ),
        figure="canine_line_right",
    ),
    Term(
        Words("Closest speaking space"),
        Words(
            "The smallest gap between upper and lower incisal edges while an s is spoken; it checks the vertical "
            "dimension."
        ),
        source=_of("closest_speaking_space"),
        figure="closest_speaking_space",
    ),
    Term(
        Words("Custom tray"),
        Words(
            "An impression tray made for one patient on the preliminary cast, short of the sulcus so that "
            "the borders can be moulded, with room for the impression material."
        ),
        work="custom_tray",
    ),
    Term(
        Words("Definitive impression"),
        Words(
            "The impression from which the master cast is poured, taken in the custom tray with moulded borders."
        ),
    ),
    Term(Words("Edentulous"), Words("Without natural teeth; of a jaw or of a patient.")),
    Term(
        Words("Facebow"),
        Words(
            "Records where the upper jaw lies to the hinge axis, so that the cast is mounted in the same place."
        ),
    ),
    Term(
        Words("Freeway space"),
        Words(
            "The vertical dimension at rest less the vertical dimension of occlusion: how far the teeth "
            "stand apart while the jaw is at rest."
        ),
        source=_of("freeway_space"),
        figure="freeway_space",
    ),
    Term(
        Words("Hamular notch"),
        Words("The dip behind the tuberosity where the upper denture ends on either side."),
    ),
    Term(
        Words("Incisal display"),
        Words(
            "How much of the upper central incisor shows below the relaxed lip. Negative where the edge "
            "hides above it. Published means help to talk about it; the patient’s wish goes before them."
        ),
        source=_of("incisal_display"),
        figure="incisal_display",
    ),
    Term(
        Words("Incisive papilla"),
        Words(
            "The small pad behind the upper front teeth. It stays where it is when the teeth are lost, so "
            "heights and the place of the labial face are read from it."
        ),
        figure="papilla_to_resting_lip",
    ),
    Term(
        Words("Interpupillary line"),
        Words(
            "Through both pupils, seen from the front. The occlusal plane in front is commonly set parallel to it."
        ),
        figure="plane_cant",
    ),
    Term(
        Words("Jaw relation record"),
        Words(
            "The clinic stage at which height and position of the lower jaw to the upper are found and fixed with "
            "the rims."
        ),
    ),
    Term(
        Words("Labial inclination"),
        Words(
            "The angle between a rim’s labial face and the occlusal plane; above 90 degrees it leans forward."
        ),
    ),
    Term(
        Words("Master cast"),
        Words("The stone cast of the definitive impression on which base, rims and denture are made."),
    ),
    Term(
        Words("Midline"),
        Words(
            "The middle of the face, carried onto the rim by the clinician. The median suture is the "
            "laboratory’s guide until then."
        ),
        figure="midline_deviation",
    ),
    Term(
        Words("Mould"),
        Words("The form and size of a set of artificial teeth, as listed by its number on a card."),
    ),
    Term(
        Words("Occlusal plane"),
        Words(
            "The plane in which upper and lower rims meet. Cant is its tilt seen from the front, pitch its "
            "tilt seen from the side."
        ),
        figure="plane_cant",
    ),
    Term(
        Words("Occlusion rim"),
        Words(
            "A block of wax on a record base that stands for the teeth to come: for their height, their line, and the "
            "lip’s support."
        ),
        work="occlusion_rims",
    ),
    Term(
        Words("Papillameter"),
        Words(
            "A small gauge that rests on the incisive papilla and shows on its scale how far below it the lip’s "
            "border lies."
        ),
        figure="papilla_to_resting_lip",
    ),
    Term(
        Words("Posterior palatal seal"),
        Words(
            "A strip before the vibrating line that the base presses into the soft tissue a little, so that "
            "no air enters."
        ),
        work="record_base",
    ),
    Term(
        Words("Record base"),
        Words("The temporary denture base, made on the master cast, that carries the occlusion rim."),
        work="record_base",
    ),
    Term(
        Words("Retromolar pad"),
        Words(
            "The soft pad behind the lower ridge. It changes little over the years, so the level of the occlusal "
            "plane behind is taken from its height."
        ),
        figure="retromolar_pad_height_left",
    ),
    Term(Words("Ridge crest"), Words("The highest line of what is left of the alveolar ridge.")),
    Term(
        Words("Smile line"),
        Words(
            "The border of the upper lip in a full smile, marked on the rim. The necks of the front teeth "
            "are set by it."
        ),
        figure="smile_line_height",
    ),
    Term(
        Words("Sulcus"),
        Words(
            "The fold between ridge and lip or cheek. Its deepest line beside the frenum is where rim heights start."
        ),
        figure="sulcus_to_papilla",
    ),
    Term(
        Words("Try-in"),
        Words(
            "The clinic stage at which the teeth, still in wax, are seen in the mouth; the last at which "
            "changing is easy."
        ),
    ),
    Term(
        Words("Vertical dimension at rest"),
        Words(
            "From a mark on the nose to a mark on the chin with the jaw at rest and the lips just touching or apart."
        ),
        figure="vertical_dimension_rest",
    ),
    Term(
        Words("Vertical dimension of occlusion"),
        Words("Between the same two marks with rims or teeth in even contact."),
        figure="vertical_dimension_occlusion",
    ),
    Term(
        Words("Vibrating line"),
        Words("Where the palate begins to move when the patient says “ah”; the upper denture ends there."),
    ),
)
# Words of this program rather than of the trade.
PROGRAM_TERMS: tuple[Term, ...] = (
    Term(
        Words("Basis"),
        Words(
            "Why a dimension is what it is: prescribed (the clinician wrote it), computed (from this "
            "patient’s figures, by a formula that is shown) or lab standard (this laboratory’s own dated "
            "figure). The first that applies wins."
        ),
        CONVENTION,
    ),
    Term(
        Words("Measure again"),
        Words(
            "A reading so close to a limit that its own uncertainty decides. Repeat it, up to three times; the mean "
            "counts."
        ),
        DECISION,
    ),
    Term(
        Words("Outside"),
        Words(
            "Outside the range that this laboratory has configured. It says nothing about the patient: the prescriber "
            "decides."
        ),
        CONVENTION,
    ),
    Term(
        Words("Revision"),
        Words(
            "A specification as it was issued, with a number. It is never changed: new figures make the next "
            "one, and old paper says so when it is scanned."
        ),
        CONVENTION,
    ),
    Term(
        Words("Rim specification"),
        Words(
            "Every dimension of a pair of rims for one patient, with target, limits, basis and a sentence "
            "that says why."
        ),
        CONVENTION,
    ),
    Term(
        Words("Work ticket"),
        Words(
            "The paper that travels with the work: specification, drawings at true size, steps to tick, a code to scan."
        ),
        CONVENTION,
    ),
)
