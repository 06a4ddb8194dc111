"""What is measured on the work itself: tray, record base, rims. The names are those of the specifications."""

from labcases.prosthodontics.quantities.kinds import BOTH, MANDIBLE, MAXILLA, Quantity, entry
from labcases.prosthodontics.wording import Words

TRAY, BASE, RIMS = "custom_tray", "record_base", "occlusion_rims"
# The clinician changes the wax, so the same figures are taken again on what comes back.
RIMS_AND_RELATION = "occlusion_rims jaw_relation"
BASE_AND_LATER = "record_base processing reline"

TRAYS: tuple[Quantity, ...] = (
    entry(
        "spacer_thickness",
        Words("Spacer thickness"),
        "mm",
        between=Words("Through the spacer over the ridge, before the tray is formed."),
        how=Words("Caliper on a trimmed-off piece, or a probe through the spacer down to the cast."),
        stages=TRAY,
        arches=BOTH,
        cannot_be=("0", "8"),
        unusual=("0", "4"),
    ),
    entry(
        "stop_count",
        Words("Number of tissue stops"),
        "count",
        between=Words("All the windows cut through the spacer."),
        how=Words("Count them."),
        stages=TRAY,
        arches=BOTH,
        cannot_be=("0", "12"),
        unusual=("0", "6"),
    ),
    entry(
        "stop_size",
        Words("Size of a tissue stop"),
        "mm",
        between=Words("Along one edge of the stop's square."),
        how=Words("Caliper on the smallest stop."),
        stages=TRAY,
        arches=BOTH,
        cannot_be=("0.5", "12"),
        unusual=("1.5", "6"),
    ),
    entry(
        "border_short_of_sulcus",
        Words("Border short of the sulcus"),
        "mm",
        between=Words("From the tray's border to the deepest line of the sulcus, labial and buccal."),
        how=Words("Tray on the cast; caliper or rule at the least favourable spot."),
        stages=TRAY,
        arches=BOTH,
        cannot_be=("0", "10"),
        unusual=("1", "3.5"),
    ),
    entry(
        "tray_thickness",
        Words("Tray thickness"),
        "mm",
        between=Words("Through the tray's wall, away from handle and stops."),
        how=Words("Thickness gauge at four spots; enter the thinnest."),
        stages=TRAY,
        arches=BOTH,
        cannot_be=("0.5", "8"),
        unusual=("1.5", "4"),
    ),
    entry(
        "handle_height",
        Words("Handle height"),
        "mm",
        between=Words("From the tray over the crest to the end of the handle's upright part."),
        how=Words("Caliper in the midline."),
        stages=TRAY,
        arches=BOTH,
        cannot_be=("3", "40"),
        unusual=("8", "16"),
    ),
    entry(
        "handle_width",
        Words("Handle width"),
        "mm",
        between=Words("Across the handle from side to side."),
        how=Words("Caliper at half its height."),
        stages=TRAY,
        arches=BOTH,
        cannot_be=("3", "40"),
        unusual=("7", "18"),
    ),
    entry(
        "handle_thickness",
        Words("Handle thickness"),
        "mm",
        between=Words("Through the handle from front to back."),
        how=Words("Caliper at half its height."),
        stages=TRAY,
        arches=BOTH,
        cannot_be=("1", "15"),
        unusual=("2.5", "6"),
    ),
    entry(
        "finger_rest_height",
        Words("Finger rest height"),
        "mm",
        between=Words("From the tray over the crest to the top of the rest in the premolar region."),
        how=Words("Caliper on both rests; enter the lower one."),
        stages=TRAY,
        arches=MANDIBLE,
        cannot_be=("2", "25"),
        unusual=("6", "13"),
    ),
)
BASES: tuple[Quantity, ...] = (
    entry(
        "base_thickness_crest",
        Words("Base thickness over the crest"),
        "mm",
        between=Words("Through the base over the crest of the ridge and its labial slope."),
        how=Words("Thickness gauge at front and both sides; enter the thickest."),
        stages=BASE_AND_LATER,
        arches=BOTH,
        cannot_be=("0.3", "10"),
        unusual=("0.8", "3"),
    ),
    entry(
        "base_thickness_palate",
        Words("Base thickness in the palate"),
        "mm",
        between=Words("Through the base in the palate, away from the seal."),
        how=Words("Thickness gauge at three spots; enter the thinnest."),
        stages=BASE_AND_LATER,
        arches=MAXILLA,
        cannot_be=("0.3", "10"),
        unusual=("1.5", "4"),
    ),
    entry(
        "base_thickness_lingual",
        Words("Base thickness of the lingual flange"),
        "mm",
        between=Words("Through the lingual flange halfway between crest and border."),
        how=Words("Thickness gauge on both sides; enter the thinnest."),
        stages=BASE_AND_LATER,
        arches=MANDIBLE,
        cannot_be=("0.3", "10"),
        unusual=("1.5", "4"),
    ),
    entry(
        "border_roll_thickness",
        Words("Thickness of the border roll"),
        "mm",
        between=Words("Across the rounded border."),
        how=Words("Caliper at front and both sides; enter the thinnest."),
        stages="record_base processing",
        arches=BOTH,
        cannot_be=("0.5", "10"),
        unusual=("1.5", "4"),
    ),
    entry(
        "posterior_seal_depth",
        Words("Posterior palatal seal, deepest part"),
        "mm",
        between=Words("From the cast's surface to the deepest part of the scraping, in the lateral thirds."),
        how=Words("Depth mark on the scraper or depth rod of the caliper."),
        stages="record_base try_in processing",
        arches=MAXILLA,
        cannot_be=("0", "4"),
        unusual=("0.5", "2"),
    ),
    entry(
        "posterior_seal_depth_midline",
        Words("Posterior palatal seal, depth in the midline"),
        "mm",
        between=Words("From the cast's surface to the bottom of the scraping in the midline."),
        how=Words("Depth mark on the scraper or depth rod of the caliper."),
        stages="record_base try_in processing",
        arches=MAXILLA,
        cannot_be=("0", "4"),
        unusual=("0.3", "1.5"),
    ),
    entry(
        "posterior_seal_width_midline",
        Words("Posterior palatal seal, width in the midline"),
        "mm",
        between=Words("From the vibrating line forward to the front edge of the scraping, in the midline."),
        how=Words("Rule or caliper on the cast."),
        stages="record_base try_in processing",
        arches=MAXILLA,
        cannot_be=("0", "15"),
        unusual=("1", "5"),
    ),
    entry(
        "posterior_seal_width_lateral",
        Words("Posterior palatal seal, width at its widest"),
        "mm",
        between=Words(
            "From the vibrating line forward to the front edge of the scraping, in the lateral thirds."
        ),
        how=Words("Rule or caliper on the cast, both sides."),
        stages="record_base try_in processing",
        arches=MAXILLA,
        cannot_be=("0", "20"),
        unusual=("3", "8"),
    ),
)
RIM_DIMENSIONS: tuple[Quantity, ...] = (
    entry(
        "anterior_height",
        Words("Anterior height"),
        "mm",
        between=Words("From the deepest labial sulcus beside the frenum to the occlusal surface."),
        how=Words(
            "Caliper upright to the plane, after the wax is sealed and smoothed; up to three readings."
        ),
        stages=RIMS_AND_RELATION,
        arches=BOTH,
        cannot_be=("5", "45"),
        unusual=("14", "29"),
    ),
    entry(
        "height_over_crest",
        Words("Anterior height over the crest"),
        "mm",
        between=Words("Vertically from the crest of the ridge in the midline to the occlusal surface."),
        how=Words(
            "Depth rod of the caliper along the marked crest, base in place; the base's thickness "
            "counts along."
        ),
        stages=RIMS,
        arches=BOTH,
        cannot_be=("1", "35"),
        unusual=("4", "18"),
    ),
    entry(
        "papilla_to_rim_edge",
        Words("Papilla to the rim's edge"),
        "mm",
        between=Words("Vertically from the incisive papilla to the rim's occlusal edge in the midline."),
        how=Words("Denture gauge, or the depth rod of the caliper through the papilla window."),
        stages=RIMS,
        arches=MAXILLA,
        cannot_be=("0", "25"),
        unusual=("4", "12"),
    ),
    *(
        entry(
            f"posterior_height_{side}",
            label,
            "mm",
            between=between,
            how=Words("Caliper upright to the plane, after the wax is sealed; up to three readings."),
            stages=RIMS_AND_RELATION,
            arches=BOTH,
            cannot_be=("0", "40"),
            unusual=("3", "24"),
        )
        for side, label, between in (
            (
                "left",
                Words("Posterior height, left"),
                Words(
                    "On the left. Upper: from the buccal sulcus at the molars to the occlusal surface. "
                    "Lower: from the foot of the retromolar pad to the level of the occlusal surface."
                ),
            ),
            (
                "right",
                Words("Posterior height, right"),
                Words(
                    "On the right. Upper: from the buccal sulcus at the molars to the occlusal surface. "
                    "Lower: from the foot of the retromolar pad to the level of the occlusal surface."
                ),
            ),
        )
    ),
    entry(
        "anterior_width",
        Words("Width of the occlusal table, anterior"),
        "mm",
        between=Words("Across the occlusal surface at the incisors, from labial to palatal or lingual."),
        how=Words("Caliper across the wax, square to the arch."),
        stages=RIMS_AND_RELATION,
        arches=BOTH,
        cannot_be=("1", "20"),
        unusual=("3", "10"),
    ),
    entry(
        "posterior_width",
        Words("Width of the occlusal table, posterior"),
        "mm",
        between=Words("Across the occlusal surface at the molars, from buccal to palatal or lingual."),
        how=Words("Caliper across the wax, square to the arch, on both sides; enter the one further off."),
        stages=RIMS_AND_RELATION,
        arches=BOTH,
        cannot_be=("2", "25"),
        unusual=("6", "12"),
    ),
    entry(
        "labial_offset",
        Words("Labial face in front of the papilla"),
        "mm",
        between=Words(
            "Horizontally in the midline from the papilla point that the laboratory has chosen to the "
            "labial face."
        ),
        how=Words(
            "Through the papilla window or from the cast's mark: caliper along the plane to the labial face."
        ),
        stages=RIMS_AND_RELATION,
        arches=MAXILLA,
        cannot_be=("0", "20"),
        unusual=("4", "13"),
    ),
    entry(
        "labial_inclination",
        Words("Labial inclination"),
        "deg",
        between=Words(
            "Between the labial face and the occlusal plane: 90 is square to it, more leans forward."
        ),
        how=Words("Protractor or inclination gauge on the plane, in the midline."),
        stages=RIMS_AND_RELATION,
        arches=BOTH,
        cannot_be=("60", "135"),
        unusual=("85", "115"),
    ),
    entry(
        "anterior_face_length",
        Words("Length along the labial face"),
        "mm",
        between=Words(
            "Along the labial face from the level of the sulcus to the occlusal edge, in the midline."
        ),
        how=Words("Flexible rule or caliper laid along the wax."),
        stages=RIMS_AND_RELATION,
        arches=BOTH,
        # 45 mm of height on a face at 135° measure 63.6 mm along it.
        cannot_be=("5", "64"),
        unusual=("14", "32"),
    ),
    entry(
        "posterior_end_angle",
        Words("Slope of the posterior ends"),
        "deg",
        between=Words("Between the sloped end of the rim and the occlusal plane."),
        how=Words("Protractor on both ends; enter the steeper one."),
        stages=RIMS,
        arches=BOTH,
        cannot_be=("10", "90"),
        unusual=("25", "60"),
    ),
)
WORKPIECES = (*TRAYS, *BASES, *RIM_DIMENSIONS)
