"""What the clinician takes at the chair."""

from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.quantities.kinds import MAXILLA, PATIENT, Quantity, entry
from labcases.prosthodontics.wording import Words

FIGURES = "preliminary_impressions definitive_impressions jaw_relation"
RELATION = "jaw_relation try_in"
RESTING_DISPLAY = Source(
    "Vig RG, Brundo GC, J Prosthet Dent 1978;39:502-504: group means -0.04 to 3.92 mm",
    Provenance.RECALLED,
    "M",
)
LIP_LENGTH = Source(
    "jkamprs.springeropen.com, article s40902-019-0191-7, table 9: "
    "men 25.5 (SD 1.3), women 24.0 (SD 2.5) mm in young adults; usual range set wider",
    Provenance.SEEN,
    "M",
)
SPEAKING_SPACE = Source(
    "Souza RF, Compagnoni MA, J Appl Oral Sci 2005;13(4): "
    "2.22 (SD 1.38) mm with teeth, 2.61 (SD 1.53) mm with dentures",
    Provenance.SEEN,
    "H",
)
INTERALAR = Source(
    "Bonakdarchian M, Ghorbanipour R 2010, as cited in 2017: 36.38 (SD 3.81) mm; usual range two SD",
    Provenance.SEEN,
    "M",
)
FREEWAY = Source(
    Words("taught as 2 to 4 mm; a survey of 150 dentate adults saw 1 to 7 mm"), Provenance.COMMON, "H"
)

CHAIRSIDE: tuple[Quantity, ...] = (
    entry(
        "papilla_to_resting_lip",
        Words("Papilla to resting upper lip"),
        "mm",
        between=Words(
            "Vertically from the incisive papilla down to the lower border of the upper lip at rest."
        ),
        how=Words("Papillameter on the papilla, lip relaxed; read the lip line on its scale."),
        stages=FIGURES,
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("0", "20"),
        unusual=("4", "11"),
    ),
    entry(
        "incisal_display",
        Words("Incisal display wanted at rest"),
        "mm",
        between=Words(
            "Vertically from the resting lip line to the incisal edge wanted; negative where the edge "
            "hides above it."
        ),
        how=Words(
            "Agreed with the patient, lips relaxed; published means stand beside the box as guidance only."
        ),
        stages=FIGURES,
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("-6", "10"),
        unusual=("-1", "4"),
        source=RESTING_DISPLAY,
    ),
    entry(
        "papilla_to_smiling_lip",
        Words("Papilla to smiling lip"),
        "mm",
        between=Words(
            "Vertically from the incisive papilla to the upper lip's border in a full smile; negative "
            "above the papilla."
        ),
        how=Words("Papillameter in place, a full natural smile; read the lip line on its scale."),
        stages=FIGURES,
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("-10", "20"),
        unusual=("-3", "8"),
    ),
    entry(
        "upper_lip_length",
        Words("Upper lip length"),
        "mm",
        between=Words("From the base of the nose to the lower border of the upper lip at rest."),
        how=Words("Rule or caliper in the midline, lips relaxed and just apart."),
        stages=FIGURES,
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("5", "45"),
        unusual=("10", "36"),
        source=LIP_LENGTH,
    ),
    entry(
        "vertical_dimension_rest",
        Words("Vertical dimension at rest"),
        "mm",
        between=Words("Between the mark on the nose and the mark on the chin, mandible at rest."),
        how=Words("Upright, unsupported head; let the patient relax and repeat; up to three readings."),
        stages="jaw_relation try_in copy_impression copy_template",
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("30", "110"),
        unusual=("50", "85"),
    ),
    entry(
        "vertical_dimension_occlusion",
        Words("Vertical dimension of occlusion"),
        "mm",
        between=Words("Between the same two marks, rims or teeth in even contact."),
        how=Words("Same marks, same instrument, same posture as at rest; up to three readings."),
        stages="jaw_relation try_in insertion copy_impression copy_template reline_impression",
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("30", "110"),
        unusual=("48", "82"),
    ),
    entry(
        "freeway_space",
        Words("Freeway space"),
        "mm",
        between=Words("Vertical dimension at rest less vertical dimension of occlusion, at the same marks."),
        how=Words(
            "Usually the difference of the two readings; enter it only where it was measured by itself."
        ),
        stages="jaw_relation try_in insertion copy_impression copy_template",
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("-15", "25"),
        unusual=("1", "7"),
        source=FREEWAY,
    ),
    entry(
        "closest_speaking_space",
        Words("Closest speaking space"),
        "mm",
        between=Words("Between upper and lower incisal edges while an s sound is spoken."),
        how=Words("Count aloud from sixty to seventy; read the smallest gap."),
        stages=RELATION,
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("0", "15"),
        unusual=("0.5", "6"),
        source=SPEAKING_SPACE,
    ),
    entry(
        "rim_display_at_rest",
        Words("Rim visible at rest"),
        "mm",
        between=Words(
            "Vertically from the resting lip line to the rim's lower edge in the midline; negative "
            "where it is hidden."
        ),
        how=Words("Upper rim in the mouth, lips relaxed; rule against the rim."),
        stages=RELATION,
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("-6", "12"),
        unusual=("-1", "4"),
        source=RESTING_DISPLAY,
    ),
    entry(
        "smile_line_height",
        Words("Smile line above the rim's edge"),
        "mm",
        between=Words(
            "Vertically from the rim's occlusal edge up to the upper lip's border in a full smile, in "
            "the midline."
        ),
        how=Words("Mark the smiling lip on the wax, then measure down to the edge."),
        stages=RELATION,
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("0", "25"),
        unusual=("5", "14"),
    ),
    entry(
        "midline_deviation",
        Words("Midline deviation"),
        "mm",
        between=Words(
            "From the face's midline to the midline mark of rim or teeth; positive to the patient's left."
        ),
        how=Words(
            "Seen from the front at arm's length; the median suture is the laboratory's guide, the "
            "clinician confirms."
        ),
        stages=RELATION,
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("-12", "12"),
        unusual=("-2", "2"),
    ),
    entry(
        "plane_cant",
        Words("Cant of the occlusal plane"),
        "deg",
        between=Words(
            "Between the rim's plane and the line through the pupils, seen from the front; positive: "
            "patient's left lower."
        ),
        how=Words("Occlusal plane guide against the interpupillary line."),
        stages=RELATION,
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("-20", "20"),
        unusual=("-2", "2"),
    ),
    entry(
        "plane_pitch",
        Words("Pitch of the occlusal plane"),
        "deg",
        between=Words(
            "Between the rim's plane and the ala-tragus line, seen from the side; positive: the front drops."
        ),
        how=Words(
            "Occlusal plane guide against the ala-tragus line; say which point of the tragus the "
            "laboratory's choice names."
        ),
        stages=RELATION,
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("-25", "25"),
        unusual=("-5", "9"),
    ),
    *(
        entry(
            f"canine_line_{side}",
            label,
            "mm",
            between=between,
            how=Words(
                "Flexible rule along the wax, level with the edge; say which part of the canine the "
                "mark means."
            ),
            stages=RELATION,
            arches=MAXILLA,
            taken_by="clinic",
            cannot_be=("8", "40"),
            unusual=("17", "29"),
        )
        for side, label, between in (
            (
                "right",
                Words("Canine line, right"),
                Words("Along the rim's labial face from the midline mark to the right canine mark."),
            ),
            (
                "left",
                Words("Canine line, left"),
                Words("Along the rim's labial face from the midline mark to the left canine mark."),
            ),
        )
    ),
    *(
        entry(
            f"commissure_mark_{side}",
            label,
            "mm",
            between=between,
            how=Words("Mark the resting corner of the mouth on the wax; flexible rule along the face."),
            stages=RELATION,
            arches=MAXILLA,
            taken_by="clinic",
            cannot_be=("10", "50"),
            unusual=("18", "36"),
        )
        for side, label, between in (
            (
                "right",
                Words("Corner of the mouth, right"),
                Words(
                    "Along the rim's labial face from the midline mark to the mark of the right corner of "
                    "the mouth at rest."
                ),
            ),
            (
                "left",
                Words("Corner of the mouth, left"),
                Words(
                    "Along the rim's labial face from the midline mark to the mark of the left corner of "
                    "the mouth at rest."
                ),
            ),
        )
    ),
    entry(
        "interalar_width",
        Words("Width of the nose"),
        "mm",
        between=Words("Between the outermost points of the two alae."),
        how=Words("Caliper touching, not pressing."),
        stages=FIGURES,
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("20", "65"),
        unusual=("28.76", "44"),
        source=INTERALAR,
    ),
    entry(
        "mouth_width",
        Words("Width of the mouth"),
        "mm",
        between=Words("Between the two corners of the mouth at rest."),
        how=Words("Caliper, lips lightly closed."),
        stages=FIGURES,
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("30", "90"),
        unusual=("40", "65"),
    ),
    entry(
        "inner_canthal_distance",
        Words("Distance of the inner canthi"),
        "mm",
        between=Words("Between the inner corners of the two eyes."),
        how=Words("Caliper, kept well clear of the eyes."),
        stages=FIGURES,
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("15", "55"),
        unusual=("25", "38"),
    ),
    entry(
        "bizygomatic_width",
        Words("Width of the face"),
        "mm",
        between=Words("Between the outermost points of the two zygomatic arches."),
        how=Words("Large caliper or the facebow's own scale."),
        stages=FIGURES,
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("90", "180"),
        unusual=("115", "155"),
    ),
    entry(
        "face_length",
        Words("Length of the face"),
        "mm",
        between=Words("From the hairline to the lowest point of the chin, mandible at rest."),
        how=Words("Large caliper or rule; not used where the hairline has moved."),
        stages=FIGURES,
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("120", "260"),
        unusual=("155", "215"),
    ),
    entry(
        "head_circumference",
        Words("Circumference of the head"),
        "mm",
        between=Words("Around the head above brows and ears."),
        how=Words("Tape, level, over the hair."),
        stages=FIGURES,
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("400", "700"),
        unusual=("510", "620"),
    ),
    entry(
        "protrusive_record",
        Words("Protrusion of the protrusive record"),
        "mm",
        between=Words(
            "Along the occlusal plane from the retruded position to the recorded forward position, at "
            "the incisors."
        ),
        how=Words("Two marks on the rims' faces, read with a rule."),
        stages="jaw_relation try_in insertion",
        arches=PATIENT,
        taken_by="clinic",
        cannot_be=("1", "14"),
        unusual=("4", "7"),
    ),
    entry(
        "existing_papilla_to_edge",
        Words("Existing denture: papilla to incisal edge"),
        "mm",
        between=Words(
            "On the existing upper denture, vertically from the papilla's imprint to the central "
            "incisor's edge."
        ),
        how=Words("Denture gauge, or a depth reading with the caliper from the imprint."),
        stages="preliminary_impressions copy_impression copy_template",
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("0", "25"),
        unusual=("4", "12"),
    ),
    entry(
        "existing_papilla_to_face",
        Words("Existing denture: papilla to labial face"),
        "mm",
        between=Words(
            "On the existing upper denture, horizontally from the centre of the papilla's imprint to "
            "the labial face."
        ),
        how=Words("Denture gauge on its horizontal scale."),
        stages="preliminary_impressions copy_impression copy_template",
        arches=MAXILLA,
        taken_by="clinic",
        cannot_be=("0", "20"),
        unusual=("2.6", "11.6"),
        source=Source(
            "Isa ZM, Abdulhadi LM, J Oral Sci 2012;54(2):159-163: 6.34 (SD 1.87) in worn dentures, "
            "9.59 (SD 1.00) with teeth; usual range two SD beyond each",
            Provenance.SEEN,
            "H",
        ),
    ),
)
