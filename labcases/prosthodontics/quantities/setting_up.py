"""What is set or measured from the articulator to the finished denture."""

from labcases.prosthodontics.quantities.kinds import BOTH, MANDIBLE, MAXILLA, PATIENT, Quantity, entry

ARRANGEMENT = "tooth_arrangement"
TEETH = "tooth_arrangement try_in"

SETTING_UP: tuple[Quantity, ...] = (
    *(
        entry(
            f"condylar_inclination_{side}",
            f"Horizontal condylar setting, {side}",
            "deg",
            between=f"Between the {side} condylar path and the articulator's horizontal plane.",
            how=(
                "Read on the articulator once the protrusive record seats, or the average that the "
                "laboratory has chosen."
            ),
            stages=ARRANGEMENT,
            arches=PATIENT,
            cannot_be=("0", "80"),
            unusual=("15", "50"),
        )
        for side in ("right", "left")
    ),
    *(
        entry(
            f"lateral_condylar_{side}",
            f"Lateral condylar setting, {side}",
            "deg",
            between=f"Between the {side} lateral wing and the median plane.",
            how="Read on the articulator.",
            stages=ARRANGEMENT,
            arches=PATIENT,
            cannot_be=("0", "40"),
            unusual=("5", "20"),
        )
        for side in ("right", "left")
    ),
    entry(
        "incisal_guide_angle",
        "Incisal guide angle",
        "deg",
        between="Between the incisal guide table and the horizontal plane, in protrusion.",
        how="Read on the articulator's table.",
        stages=ARRANGEMENT,
        arches=PATIENT,
        cannot_be=("-10", "75"),
        unusual=("0", "20"),
    ),
    entry(
        "overjet",
        "Overjet",
        "mm",
        between="Horizontally from the upper central incisor's edge to the lower one's labial face.",
        how="Caliper or rule along the occlusal plane.",
        stages=f"{TEETH} insertion copy_template",
        arches=PATIENT,
        cannot_be=("-15", "15"),
        unusual=("0.5", "4"),
    ),
    entry(
        "overbite",
        "Overbite",
        "mm",
        between="Vertically from the upper central incisor's edge to the lower one's edge.",
        how="Pencil line on the lower tooth, then the caliper.",
        stages=f"{TEETH} insertion copy_template",
        arches=PATIENT,
        cannot_be=("-15", "10"),
        unusual=("0", "2"),
    ),
    entry(
        "central_incisor_width",
        "Width of the central incisor",
        "mm",
        between="Between the contact surfaces of one central incisor.",
        how="Caliper on the tooth or from the mould chart.",
        stages=ARRANGEMENT,
        arches=BOTH,
        cannot_be=("3", "14"),
        unusual=("4.5", "10.5"),
    ),
    entry(
        "central_incisor_length",
        "Length of the central incisor",
        "mm",
        between="From the neck to the incisal edge of one central incisor.",
        how="Caliper on the tooth or from the mould chart.",
        stages=ARRANGEMENT,
        arches=BOTH,
        cannot_be=("4", "18"),
        unusual=("7.5", "12.5"),
    ),
    entry(
        "six_anterior_width",
        "Width of the six front teeth",
        "mm",
        between="Along the curve from the distal surface of one canine to that of the other.",
        how="Flexible rule along the set-up, or the mould chart's figure on the curve.",
        stages=TEETH,
        arches=BOTH,
        cannot_be=("20", "80"),
        unusual=("32", "60"),
    ),
    *(
        entry(
            f"canine_to_pad_{side}",
            f"Space for the posterior teeth, {side}",
            "mm",
            between=(
                f"On the {side}, over the crest, from the distal surface of the lower canine to the front edge "
                "of the retromolar pad, or to where the ridge begins to rise."
            ),
            how="Caliper or flexible rule on the lower cast or rim.",
            stages=ARRANGEMENT,
            arches=MANDIBLE,
            cannot_be=("10", "60"),
            unusual=("24", "40"),
        )
        for side in ("right", "left")
    ),
    entry(
        "posterior_tooth_sum",
        "Length of the posterior row",
        "mm",
        between="From the distal surface of the canine to the distal surface of the last molar, on one side.",
        how="Caliper along the central grooves, or the mould chart.",
        stages=ARRANGEMENT,
        arches=BOTH,
        cannot_be=("10", "50"),
        unusual=("26", "36"),
    ),
    entry(
        "papilla_to_edge",
        "Papilla to incisal edge of the set-up",
        "mm",
        between="Vertically from the incisive papilla to the upper central incisor's edge.",
        how="Denture gauge, or a depth reading with the caliper.",
        stages=TEETH,
        arches=MAXILLA,
        cannot_be=("0", "25"),
        unusual=("4", "12"),
    ),
    entry(
        "papilla_to_face",
        "Papilla to labial face of the set-up",
        "mm",
        between="Horizontally from the centre of the incisive papilla to the central incisor's labial face.",
        how="Denture gauge on its horizontal scale.",
        stages=TEETH,
        arches=MAXILLA,
        cannot_be=("0", "20"),
        unusual=("4", "13"),
    ),
    entry(
        "pin_opening",
        "Pin opening after processing",
        "mm",
        between=(
            "From the incisal pin's tip to its table with the teeth in contact, at the laboratory remount."
        ),
        how="Feeler or caliper under the pin, before any grinding; again afterwards.",
        stages="processing insertion",
        arches=PATIENT,
        cannot_be=("0", "12"),
        unusual=("0", "2"),
    ),
    entry(
        "reline_thickness",
        "Thickness of the reline",
        "mm",
        between="Through the impression or the new lining at its thickest, away from undercuts.",
        how="Thickness gauge before and after; enter the difference.",
        stages="reline_impression reline",
        arches=BOTH,
        cannot_be=("0", "8"),
        unusual=("0.5", "3"),
    ),
    entry(
        "repair_gap",
        "Gap prepared for the repair",
        "mm",
        between="Across the prepared fracture line between the bevels at the polished side.",
        how="Rule or caliper on the key cast.",
        stages="repair",
        arches=BOTH,
        cannot_be=("0", "15"),
        unusual=("1", "5"),
    ),
)
