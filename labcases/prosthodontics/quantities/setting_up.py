"""What is set or measured from the articulator to the finished denture."""

from labcases.prosthodontics.quantities.kinds import BOTH, MANDIBLE, MAXILLA, PATIENT, Quantity, entry
from labcases.prosthodontics.wording import Words

ARRANGEMENT = "tooth_arrangement"
TEETH = "tooth_arrangement try_in"

SETTING_UP: tuple[Quantity, ...] = (
    *(
        entry(
            f"condylar_inclination_{side}",
            label,
            "deg",
            between=between,
            how=Words(
                "Read on the articulator once the protrusive record seats, or the average that the "
                "laboratory has chosen."
            ),
            stages=ARRANGEMENT,
            arches=PATIENT,
            cannot_be=("0", "80"),
            unusual=("15", "50"),
        )
        for side, label, between in (
            (
                "right",
                Words("Horizontal condylar setting, right"),
                Words("Between the right condylar path and the articulator's horizontal plane."),
            ),
            (
                "left",
                Words("Horizontal condylar setting, left"),
                Words("Between the left condylar path and the articulator's horizontal plane."),
            ),
        )
    ),
    *(
        entry(
            f"lateral_condylar_{side}",
            label,
            "deg",
            between=between,
            how=Words("Read on the articulator."),
            stages=ARRANGEMENT,
            arches=PATIENT,
            cannot_be=("0", "40"),
            unusual=("5", "20"),
        )
        for side, label, between in (
            (
                "right",
                Words("Lateral condylar setting, right"),
                Words("Between the right lateral wing and the median plane."),
            ),
            (
                "left",
                Words("Lateral condylar setting, left"),
                Words("Between the left lateral wing and the median plane."),
            ),
        )
    ),
    entry(
        "incisal_guide_angle",
        Words("Incisal guide angle"),
        "deg",
        between=Words("Between the incisal guide table and the horizontal plane, in protrusion."),
        how=Words("Read on the articulator's table."),
        stages=ARRANGEMENT,
        arches=PATIENT,
        cannot_be=("-10", "75"),
        unusual=("0", "20"),
    ),
    entry(
        "overjet",
        Words("Overjet"),
        "mm",
        between=Words("Horizontally from the upper central incisor's edge to the lower one's labial face."),
        how=Words("Caliper or rule along the occlusal plane."),
        stages=f"{TEETH} insertion copy_template",
        arches=PATIENT,
        cannot_be=("-15", "15"),
        unusual=("0.5", "4"),
    ),
    entry(
        "overbite",
        Words("Overbite"),
        "mm",
        between=Words("Vertically from the upper central incisor's edge to the lower one's edge."),
        how=Words("Pencil line on the lower tooth, then the caliper."),
        stages=f"{TEETH} insertion copy_template",
        arches=PATIENT,
        cannot_be=("-15", "10"),
        unusual=("0", "2"),
    ),
    entry(
        "central_incisor_width",
        Words("Width of the central incisor"),
        "mm",
        between=Words("Between the contact surfaces of one central incisor."),
        how=Words("Caliper on the tooth or from the mould chart."),
        stages=ARRANGEMENT,
        arches=BOTH,
        cannot_be=("3", "14"),
        unusual=("4.5", "10.5"),
    ),
    entry(
        "central_incisor_length",
        Words("Length of the central incisor"),
        "mm",
        between=Words("From the neck to the incisal edge of one central incisor."),
        how=Words("Caliper on the tooth or from the mould chart."),
        stages=ARRANGEMENT,
        arches=BOTH,
        cannot_be=("4", "18"),
        unusual=("7.5", "12.5"),
    ),
    entry(
        "six_anterior_width",
        Words("Width of the six front teeth"),
        "mm",
        between=Words("Along the curve from the distal surface of one canine to that of the other."),
        how=Words("Flexible rule along the set-up, or the mould chart's figure on the curve."),
        stages=TEETH,
        arches=BOTH,
        cannot_be=("20", "80"),
        unusual=("32", "60"),
    ),
    *(
        entry(
            f"canine_to_pad_{side}",
            label,
            "mm",
            between=between,
            how=Words("Caliper or flexible rule on the lower cast or rim."),
            stages=ARRANGEMENT,
            arches=MANDIBLE,
            cannot_be=("10", "60"),
            unusual=("24", "40"),
        )
        for side, label, between in (
            (
                "right",
                Words("Space for the posterior teeth, right"),
                Words(
                    "On the right, over the crest, from the distal surface of the lower canine to the front "
                    "edge of the retromolar pad, or to where the ridge begins to rise."
                ),
            ),
            (
                "left",
                Words("Space for the posterior teeth, left"),
                Words(
                    "On the left, over the crest, from the distal surface of the lower canine to the front "
                    "edge of the retromolar pad, or to where the ridge begins to rise."
                ),
            ),
        )
    ),
    entry(
        "posterior_tooth_sum",
        Words("Length of the posterior row"),
        "mm",
        between=Words(
            "From the distal surface of the canine to the distal surface of the last molar, on one side."
        ),
        how=Words("Caliper along the central grooves, or the mould chart."),
        stages=ARRANGEMENT,
        arches=BOTH,
        cannot_be=("10", "50"),
        unusual=("26", "36"),
    ),
    entry(
        "papilla_to_edge",
        Words("Papilla to incisal edge of the set-up"),
        "mm",
        between=Words("Vertically from the incisive papilla to the upper central incisor's edge."),
        how=Words("Denture gauge, or a depth reading with the caliper."),
        stages=TEETH,
        arches=MAXILLA,
        cannot_be=("0", "25"),
        unusual=("4", "12"),
    ),
    entry(
        "papilla_to_face",
        Words("Papilla to labial face of the set-up"),
        "mm",
        between=Words(
            "Horizontally from the centre of the incisive papilla to the central incisor's labial face."
        ),
        how=Words("Denture gauge on its horizontal scale."),
        stages=TEETH,
        arches=MAXILLA,
        cannot_be=("0", "20"),
        unusual=("4", "13"),
    ),
    entry(
        "pin_opening",
        Words("Pin opening after processing"),
        "mm",
        between=Words(
            "From the incisal pin's tip to its table with the teeth in contact, at the laboratory remount."
        ),
        how=Words("Feeler or caliper under the pin, before any grinding; again afterwards."),
        stages="processing insertion",
        arches=PATIENT,
        cannot_be=("0", "12"),
        unusual=("0", "2"),
    ),
    entry(
        "reline_thickness",
        Words("Thickness of the reline"),
        "mm",
        between=Words("Through the impression or the new lining at its thickest, away from undercuts."),
        how=Words("Thickness gauge before and after; enter the difference."),
        stages="reline_impression reline",
        arches=BOTH,
        cannot_be=("0", "8"),
        unusual=("0.5", "3"),
    ),
    entry(
        "repair_gap",
        Words("Gap prepared for the repair"),
        "mm",
        between=Words("Across the prepared fracture line between the bevels at the polished side."),
        how=Words("Rule or caliper on the key cast."),
        stages="repair",
        arches=BOTH,
        cannot_be=("0", "15"),
        unusual=("1", "5"),
    ),
)
