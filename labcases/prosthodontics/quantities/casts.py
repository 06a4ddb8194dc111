"""What the laboratory takes on the cast, and on what arrives."""

from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.quantities.kinds import BOTH, MANDIBLE, MAXILLA, PATIENT, Quantity, entry
from labcases.prosthodontics.wording import Words

CAST = "master_cast record_base occlusion_rims copy_template"
ONE_SIDED = "master_cast copy_template"
ARRIVALS = "preliminary_impressions definitive_impressions jaw_relation try_in insertion reline_impression"
RANGE_FROM_MEMORY = Source(Words("usual range for orientation only, no norm"), Provenance.MEMORY, "L")

CASTS: tuple[Quantity, ...] = (
    entry(
        "disinfection_minutes",
        Words("Disinfection, contact time"),
        "min",
        between=Words("From full wetting with the agent to rinsing."),
        how=Words("By the clock; the agent's own label gives the time that is needed."),
        stages=f"{ARRIVALS} repair copy_impression copy_template",
        arches=PATIENT,
        cannot_be=("0", "240"),
        unusual=("3", "60"),
    ),
    entry(
        "sulcus_to_papilla",
        Words("Depth of the labial sulcus above the papilla"),
        "mm",
        between=Words(
            "Vertically from the deepest labial sulcus beside the frenum down to the incisive papilla."
        ),
        how=Words(
            "Depth rod of the caliper on the cast, or on the record base's border; held upright to the plane."
        ),
        stages=CAST,
        arches=MAXILLA,
        cannot_be=("2", "30"),
        unusual=("7", "19"),
    ),
    *(
        entry(
            f"retromolar_pad_height_{side}",
            label,
            "mm",
            between=between,
            how=Words("Mark foot and top in pencil on the cast, then the caliper upright between the marks."),
            stages=CAST,
            arches=MANDIBLE,
            cannot_be=("1", "25"),
            unusual=("5", "14"),
        )
        for side, label, between in (
            (
                "left",
                Words("Height of the retromolar pad, left"),
                Words("On the left, vertically from the foot of the retromolar pad to its top."),
            ),
            (
                "right",
                Words("Height of the retromolar pad, right"),
                Words("On the right, vertically from the foot of the retromolar pad to its top."),
            ),
        )
    ),
    entry(
        "intersulcus_distance",
        Words("Sulcus to sulcus at the vertical dimension"),
        "mm",
        between=Words(
            "From the deepest upper to the deepest lower labial sulcus beside the frena, casts at the "
            "vertical dimension."
        ),
        how=Words("Caliper between the casts on the articulator, pin at zero."),
        stages="master_cast occlusion_rims jaw_relation",
        arches=PATIENT,
        cannot_be=("10", "80"),
        unusual=("30", "50"),
    ),
    entry(
        "opposing_anterior_height",
        Words("Anterior height of the opposing rim"),
        "mm",
        between=Words(
            "From the deepest upper labial sulcus to the occlusal surface of the upper rim as it was agreed."
        ),
        how=Words("Caliper on the upper rim beside the frenum, after the clinician settled it."),
        stages="occlusion_rims jaw_relation",
        arches=MANDIBLE,
        cannot_be=("5", "45"),
        unusual=("15", "29"),
    ),
    entry(
        "papilla_to_vibrating_line",
        Words("Papilla to vibrating line"),
        "mm",
        between=Words("In the midline from the centre of the incisive papilla to the marked vibrating line."),
        how=Words("Caliper on the cast."),
        stages=CAST,
        arches=MAXILLA,
        cannot_be=("20", "75"),
        unusual=("38", "57"),
        source=RANGE_FROM_MEMORY,
    ),
    entry(
        "hamular_notch_width",
        Words("Hamular notch width"),
        "mm",
        between=Words("Between the deepest points of the two hamular notches."),
        how=Words("Caliper on the cast."),
        stages=CAST,
        arches=MAXILLA,
        cannot_be=("25", "75"),
        unusual=("38", "57"),
        source=RANGE_FROM_MEMORY,
    ),
    entry(
        "tuberosity_width",
        Words("Width across the tuberosities"),
        "mm",
        between=Words("Between the crests of the two tuberosities at their widest."),
        how=Words("Caliper on the cast."),
        stages=CAST,
        arches=MAXILLA,
        cannot_be=("25", "80"),
        unusual=("38", "62"),
    ),
    entry(
        "canine_eminence_width",
        Words("Width at the canine eminences"),
        "mm",
        between=Words(
            "Between the crests of the ridge at the two canine eminences or where the canines stood."
        ),
        how=Words("Caliper on the cast; mark both points first."),
        stages=CAST,
        arches=BOTH,
        cannot_be=("15", "60"),
        unusual=("24", "40"),
        source=RANGE_FROM_MEMORY,
    ),
    entry(
        "canine_eminence_depth",
        Words("Depth at the canine eminences"),
        "mm",
        between=Words(
            "In the midline from the front of the ridge to the line through the two canine points."
        ),
        how=Words("A rule laid over the two marked points, caliper from its edge to the front of the ridge."),
        stages=CAST,
        arches=BOTH,
        cannot_be=("1", "35"),
        unusual=("4", "16"),
        source=RANGE_FROM_MEMORY,
    ),
    entry(
        "pad_to_pad_width",
        Words("Pad to pad width"),
        "mm",
        between=Words("Between the centres of the two retromolar pads."),
        how=Words("Caliper on the cast."),
        stages=CAST,
        arches=MANDIBLE,
        cannot_be=("30", "85"),
        unusual=("45", "64"),
        source=RANGE_FROM_MEMORY,
    ),
    entry(
        "arch_depth",
        Words("Depth of the arch"),
        "mm",
        between=Words(
            "In the midline from the front of the ridge to the line through the notches, or through the pads."
        ),
        how=Words("A rule laid over the two landmarks, caliper from its edge to the front of the ridge."),
        stages=CAST,
        arches=BOTH,
        cannot_be=("20", "75"),
        unusual=("32", "58"),
        source=RANGE_FROM_MEMORY,
    ),
    *(
        entry(
            f"posterior_half_width_{side}",
            label,
            "mm",
            between=between,
            how=Words(
                "Only where the two sides differ: the median line drawn on the cast, caliper square to it."
            ),
            stages=ONE_SIDED,
            arches=BOTH,
            cannot_be=("10", "45"),
            unusual=("18", "33"),
            source=RANGE_FROM_MEMORY,
        )
        for side, label, between in (
            (
                "right",
                Words("Midline to the posterior landmark, right"),
                Words(
                    "From the median line to the right hamular notch or tuberosity, or to the centre of the "
                    "right retromolar pad."
                ),
            ),
            (
                "left",
                Words("Midline to the posterior landmark, left"),
                Words(
                    "From the median line to the left hamular notch or tuberosity, or to the centre of the "
                    "left retromolar pad."
                ),
            ),
        )
    ),
    *(
        entry(
            f"canine_half_width_{side}",
            label,
            "mm",
            between=between,
            how=Words(
                "Only where the two sides differ: the median line drawn on the cast, caliper square to it."
            ),
            stages=ONE_SIDED,
            arches=BOTH,
            cannot_be=("5", "35"),
            unusual=("11", "21"),
            source=RANGE_FROM_MEMORY,
        )
        for side, label, between in (
            (
                "right",
                Words("Midline to the canine eminence, right"),
                Words("From the median line to the crest of the ridge at the right canine eminence."),
            ),
            (
                "left",
                Words("Midline to the canine eminence, left"),
                Words("From the median line to the crest of the ridge at the left canine eminence."),
            ),
        )
    ),
    entry(
        "papilla_behind_crest",
        Words("Front of the ridge to the papilla"),
        "mm",
        between=Words(
            "In the midline, along the plane, from the front of the ridge's crest back to the centre of the "
            "incisive papilla; negative where the papilla lies in front of it."
        ),
        how=Words("Rule or caliper on the cast; both points marked first."),
        stages=CAST,
        arches=MAXILLA,
        cannot_be=("-5", "10"),
        unusual=("0", "6"),
        source=RANGE_FROM_MEMORY,
    ),
    entry(
        "sulcus_to_crest",
        Words("Depth of the labial sulcus to the crest"),
        "mm",
        between=Words(
            "Vertically from the deepest labial sulcus beside the frenum to the crest of the ridge."
        ),
        how=Words("Depth rod of the caliper on the cast, held upright to the plane."),
        stages=CAST,
        arches=BOTH,
        cannot_be=("0", "25"),
        unusual=("4", "16"),
        source=RANGE_FROM_MEMORY,
    ),
    *(
        entry(
            f"posterior_sulcus_to_crest_{side}",
            label,
            "mm",
            between=between,
            how=Words("Depth rod of the caliper on the cast, where the posterior height is taken."),
            stages=CAST,
            arches=MAXILLA,
            cannot_be=("0", "25"),
            unusual=("4", "16"),
            source=RANGE_FROM_MEMORY,
        )
        for side, label, between in (
            (
                "right",
                Words("Depth of the buccal sulcus to the crest, right"),
                Words(
                    "On the right, vertically from the buccal sulcus at the molars to the crest of the ridge."
                ),
            ),
            (
                "left",
                Words("Depth of the buccal sulcus to the crest, left"),
                Words(
                    "On the left, vertically from the buccal sulcus at the molars to the crest of the ridge."
                ),
            ),
        )
    ),
    entry(
        "cast_base_thickness",
        Words("Thinnest base of the cast"),
        "mm",
        between=Words("From the deepest point of palate or sulcus to the underside of the cast."),
        how=Words("Caliper or thickness gauge at the thinnest spot."),
        stages="master_cast",
        arches=BOTH,
        cannot_be=("1", "60"),
        unusual=("8", "25"),
    ),
    entry(
        "land_width",
        Words("Width of the land area"),
        "mm",
        between=Words("Across the land, from the sulcus' rim to the outer edge of the cast."),
        how=Words("Rule or caliper at the narrowest spot."),
        stages="master_cast",
        arches=BOTH,
        cannot_be=("0", "15"),
        unusual=("2", "5"),
    ),
    entry(
        "land_depth",
        Words("Depth of the sulcus below the land"),
        "mm",
        between=Words("From the land down to the deepest sulcus."),
        how=Words("Depth rod of the caliper."),
        stages="master_cast",
        arches=BOTH,
        cannot_be=("0", "25"),
        unusual=("2", "15"),
    ),
)
