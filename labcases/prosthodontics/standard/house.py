"""The figures that a laboratory starts with. It changes them on its own page; none of them is a
recommendation.

Starting figures are common practice even where a publication prints them too; patients are often several
millimetres away from every one of them. Whatever is prescribed or computed from the patient's own figures
goes before them.
"""

from decimal import Decimal

from labcases.prosthodontics.provenance import COMMON_PRACTICE, Provenance, Source
from labcases.prosthodontics.standard.norms import Norm
from labcases.prosthodontics.wording import Words

MATERIALS = {
    "zinc_oxide_eugenol": Words("zinc oxide eugenol paste"),
    "alginate": Words("alginate"),
    "silicone": Words("silicone"),
    "polysulfide": Words("polysulfide"),
    "polyether": Words("polyether"),
    "plaster": Words("impression plaster"),
}

RIM_CHAPTER = Source(
    "dental laboratory textbook chapter at pocketdentistry.com/occlusion-rims (2015)", Provenance.SEEN, "H"
)
TEXTBOOKS = Source(
    "Rahn AO, Heartwell CM, Textbook of Complete Dentures, 5th ed. 1993; teaching slides print 16 to 18 mm",
    Provenance.RECALLED,
    "M",
)
TRAY_SLIDES = Source("course slides on complete dentures, powershow.com item 427bad", Provenance.SEEN, "H")
STOPS = Source("Morrow, Rudd and Rhoads, as tabulated in teaching slides", Provenance.SEEN, "H")
SELECTIVE = Source("Boucher, as tabulated in teaching slides", Provenance.SEEN, "H")
ALGINATE_TRAY = Source("teaching page of a clinical dental technician", Provenance.SEEN, "H")
SEAL = Source(
    "Winkler S, Essentials of Complete Denture Prosthodontics, 2nd ed. 1988; Hardy IR, Kapur KK, "
    "J Prosthet Dent 1958;8:386-397",
    Provenance.RECALLED,
    "M",
)
SEAL_WIDTH = Source(SEAL.citation, Provenance.RECALLED, "L")
UNCERTAIN_PRACTICE = Source("", Provenance.COMMON, "L")
FROM_MEMORY = Source("", Provenance.MEMORY, "L")
BOTH = ("maxillary", "mandibular")
AVERAGE = Words("A starting average by common practice; patients are often several millimetres away from it.")


def _figure(
    stage: str,
    dimension: str,
    target: str,
    *,
    minus: str,
    plus: str,
    arches: tuple[str, ...] = BOTH,
    unit: str = "mm",
    note: str = "",
    source: Source = COMMON_PRACTICE,
) -> list[Norm]:
    return [
        Norm(
            stage=stage,
            arch=arch,
            dimension=dimension,
            target=Decimal(target),
            minus=Decimal(minus),
            plus=Decimal(plus),
            unit=unit,
            note=note,
            source=source,
        )
        for arch in arches
    ]


def _wording(
    stage: str,
    dimension: str,
    wording: str,
    *,
    arches: tuple[str, ...] = BOTH,
    source: Source = COMMON_PRACTICE,
) -> list[Norm]:
    nothing = Decimal(0)
    return [
        Norm(
            stage=stage,
            arch=arch,
            dimension=dimension,
            target=None,
            minus=nothing,
            plus=nothing,
            unit="",
            note=wording,
            source=source,
        )
        for arch in arches
    ]


def labial_offset_norm(papilla_reference: str) -> Norm:
    """The delivered distance from the chosen papilla point to the labial face of the upper rim, mm."""
    target, tolerance = _OFFSETS[papilla_reference]
    return _figure(
        "occlusion_rims",
        "labial_offset",
        target,
        minus=tolerance,
        plus=tolerance,
        arches=("maxillary",),
        note=Words("Belongs to the papilla point that the laboratory has chosen; it moves with that choice."),
    )[0]


_OFFSETS = {"anterior_border": ("6", "1"), "centre": ("9", "1"), "posterior_border": ("11.5", "1.5")}

RIM_NORMS = (
    *_figure(
        "occlusion_rims",
        "anterior_height",
        "22",
        minus="1",
        plus="1",
        arches=BOTH[:1],
        note=AVERAGE,
        source=RIM_CHAPTER,
    ),
    *_figure(
        "occlusion_rims",
        "anterior_height",
        "18",
        minus="1",
        plus="1",
        arches=BOTH[1:],
        note=AVERAGE,
        source=RIM_CHAPTER,
    ),
    *(
        norm
        for side in ("left", "right")
        for norm in _figure(
            "occlusion_rims",
            f"posterior_height_{side}",
            "18",
            minus="1",
            plus="1",
            arches=BOTH[:1],
            note=AVERAGE,
            source=TEXTBOOKS,
        )
    ),
    *_figure(
        "occlusion_rims",
        "anterior_width",
        "8",
        minus="1",
        plus="1",
        note=Words("Other schools: 6 mm, or 3 to 5 mm (teaching slides)."),
    ),
    *_figure(
        "occlusion_rims",
        "posterior_width",
        "10",
        minus="1",
        plus="1",
        note=Words("Always wider than the front. Other schools: 8 mm, or 8 to 10 mm (teaching slides)."),
    ),
    labial_offset_norm("anterior_border"),
    *_figure(
        "occlusion_rims",
        "labial_inclination",
        "100",
        minus="10",
        plus="5",
        unit="deg",
        note=Words(
            "At least square to the plane, better leaning slightly forward; another school: about 105."
        ),
    ),
    *_figure(
        "occlusion_rims",
        "posterior_end_angle",
        "45",
        minus="5",
        plus="5",
        unit="deg",
        note=Words(
            "Ends just in front of tuberosity or pad, so that the bases can't touch. "
            "Another school: 30 (teaching slides)."
        ),
    ),
)
SPACERS = (
    (
        "zinc_oxide_eugenol",
        "0",
        "0",
        "0.5",
        ALGINATE_TRAY,
        Words("Close-fitting: nothing, at most a thin film."),
    ),
    ("alginate", "3", "0.5", "0.5", ALGINATE_TRAY, Words("Two sheets of wax.")),
    ("silicone", "2", "0.5", "1", COMMON_PRACTICE, Words("1.5 to 3 mm.")),
    ("polysulfide", "2", "0.5", "0.5", COMMON_PRACTICE, ""),
    ("polyether", "2.5", "0.5", "0.5", FROM_MEMORY, Words("The material is stiff once set.")),
    ("plaster", "2.5", "0.5", "0.5", COMMON_PRACTICE, Words("2 to 3 mm.")),
    ("close_fitting", "0", "0", "0.5", COMMON_PRACTICE, Words("No spacer.")),
    (
        "selective_pressure",
        "1",
        "0.3",
        "0.3",
        SELECTIVE,
        Words("Left free: posterior palatal seal, or buccal shelf and pad."),
    ),
    (
        "full_sheet",
        "1.4",
        "0.3",
        "0.3",
        STOPS,
        Words("One sheet, 1.3 to 1.5 mm, ending 2 mm short of the tray's border."),
    ),
)
TRAY_NORMS = (
    *(
        norm
        for key, target, minus, plus, source, note in SPACERS
        for norm in _figure(
            "custom_tray",
            f"spacer_thickness_{key}",
            target,
            minus=minus,
            plus=plus,
            note=note,
            source=source,
        )
    ),
    *_figure("custom_tray", "stop_count", "3", minus="0", plus="1", unit="count", source=STOPS),
    *_figure("custom_tray", "stop_size", "4", minus="1", plus="1", source=STOPS),
    *_figure("custom_tray", "border_short_of_sulcus", "2", minus="0.5", plus="0.5", source=TRAY_SLIDES),
    *_figure("custom_tray", "tray_thickness", "2.5", minus="0.5", plus="0.5"),
    *_figure("custom_tray", "handle_height", "11", minus="1", plus="1", source=UNCERTAIN_PRACTICE),
    *_figure("custom_tray", "handle_width", "12", minus="4", plus="3", source=UNCERTAIN_PRACTICE),
    *_figure("custom_tray", "handle_thickness", "3.5", minus="0.5", plus="0.5", source=UNCERTAIN_PRACTICE),
    *_figure(
        "custom_tray",
        "finger_rest_height",
        "9",
        minus="1",
        plus="1",
        arches=BOTH[1:],
        source=UNCERTAIN_PRACTICE,
    ),
    *_wording(
        "custom_tray",
        "tray_extension",
        Words(
            "Labial and buccal borders short of the sulcus, frena free; left long at the posterior palate."
        ),
        arches=BOTH[:1],
        source=TRAY_SLIDES,
    ),
    *_wording(
        "custom_tray",
        "tray_extension",
        Words("Labial and buccal borders short of the sulcus, frena free; the retromolar pads covered."),
        arches=BOTH[1:],
        source=TRAY_SLIDES,
    ),
    *_wording(
        "custom_tray",
        "handle_form",
        Words(
            "One handle in the midline, stepped: up from the crest like the incisors, then forward, clear "
            "of the lip."
        ),
        source=UNCERTAIN_PRACTICE,
    ),
    *_wording(
        "custom_tray",
        "finger_rests",
        Words("Two finger rests over the crest in the premolar region."),
        arches=BOTH[1:],
        source=UNCERTAIN_PRACTICE,
    ),
    *_wording(
        "custom_tray",
        "vent",
        Words(
            "No vent unless the prescriber asks for one; where one is taught, a single hole over the "
            "incisive papilla."
        ),
        arches=BOTH[:1],
        source=Source(
            "Sharry JJ, as tabulated in teaching slides, for the single vent", Provenance.SEEN, "H"
        ),
    ),
    *_wording("custom_tray", "vent", Words("No vent unless the prescriber asks for one."), arches=BOTH[1:]),
)
BASE_NORMS = (
    *_wording(
        "record_base",
        "border_extension",
        Words(
            "Borders fully into the sulcus; backwards over the posterior palatal seal area, round both "
            "tuberosities."
        ),
        arches=BOTH[:1],
    ),
    *_wording(
        "record_base",
        "border_extension",
        Words("Borders fully into the sulcus; backwards over both retromolar pads."),
        arches=BOTH[1:],
    ),
    *_figure("record_base", "base_thickness_crest", "1", minus="0.2", plus="0.5"),
    *_figure("record_base", "base_thickness_palate", "2", minus="0.5", plus="1", arches=BOTH[:1]),
    *_figure("record_base", "base_thickness_lingual", "2", minus="0.5", plus="1", arches=BOTH[1:]),
    *_figure("record_base", "border_roll_thickness", "2.5", minus="0.5", plus="0.5"),
    *_figure(
        "record_base", "posterior_seal_depth", "1.25", minus="0.25", plus="0.25", arches=BOTH[:1], source=SEAL
    ),
    *_figure(
        "record_base",
        "posterior_seal_depth_midline",
        "0.75",
        minus="0.25",
        plus="0.25",
        arches=BOTH[:1],
        source=SEAL,
    ),
    *_figure(
        "record_base",
        "posterior_seal_width_midline",
        "2",
        minus="0.5",
        plus="0.5",
        arches=BOTH[:1],
        source=SEAL_WIDTH,
    ),
    *_figure(
        "record_base",
        "posterior_seal_width_lateral",
        "5",
        minus="1",
        plus="1",
        arches=BOTH[:1],
        source=SEAL_WIDTH,
    ),
    *_wording(
        "record_base",
        "posterior_seal_form",
        Words(
            "Deepest in the lateral thirds, fading to nothing at the vibrating line and forwards; 3 to 4 mm "
            "past the hamular notches. Scraped only where the clinician has marked it."
        ),
        arches=BOTH[:1],
        source=SEAL_WIDTH,
    ),
    *_wording(
        "record_base",
        "frenum_relief",
        Words("Free of every frenum: a rounded notch that lets it move, nothing wider."),
    ),
    *_wording(
        "record_base",
        "papilla_window",
        Words("A window over the incisive papilla where the laboratory uses it; its edges smooth."),
        arches=BOTH[:1],
    ),
)
HOUSE_NORMS: tuple[Norm, ...] = (*TRAY_NORMS, *BASE_NORMS, *RIM_NORMS)
