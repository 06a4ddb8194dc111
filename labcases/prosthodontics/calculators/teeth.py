"""Calculators of tooth numbers, sizes and moulds."""

from __future__ import annotations

from labcases.prosthodontics.calculators.definition import Calculator, Check
from labcases.prosthodontics.calculators.inputs import Given, Input, Kind, choice, count, number
from labcases.prosthodontics.calculators.results import Result, Table, Value
from labcases.prosthodontics.calculators.sources import DERIVED, FOR_CLINICIAN
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.teeth import (
    Wish,
    arch_of,
    estimate_sizes,
    from_universal,
    mirror,
    rank_moulds,
    read_moulds,
    to_universal,
    tooth_words,
)
from labcases.prosthodontics.teeth.crowns import CROWNS, width_sum
from labcases.prosthodontics.teeth.estimates import FACE_FIGURES
from labcases.prosthodontics.wording import Words

ISO_3950 = Source("ISO 3950", Provenance.RECALLED, "H")


def _numbers(given: Given) -> Result:
    system, entered = given.text("system"), given.count("tooth")
    iso = entered if system == "ISO 3950" else from_universal(entered)
    universal, place = to_universal(iso), iso % 10
    crown = CROWNS[arch_of(iso)][place]
    values = (
        Value("iso", "ISO 3950", float(iso), "", 0, ISO_3950),
        Value("universal", "Universal", float(universal), "", 0, DERIVED),
        Value("mirror", Words("Same tooth on the other side, ISO 3950"), float(mirror(iso)), "", 0, DERIVED),
        Value("crown_length", Words("Average natural crown length"), crown.length, "mm", 1, crown.source),
        Value("crown_width", Words("Average natural crown width"), crown.width, "mm", 1, crown.source),
    )
    return Result(values, (tooth_words(iso) + ".",))


def _sizes(given: Given) -> Result:
    figures = {name: given.number(name) for name in FACE_FIGURES if given.has(name)}
    if not figures:
        raise InputError(
            "document",
            str(Words("no figure")),
            Words("at least one of {names}").of(names=", ".join(FACE_FIGURES)),
        )
    estimates = estimate_sizes(figures)
    values = tuple(
        Value(each.rule.name, each.rule.label, each.value, "mm", 2, each.rule.source) for each in estimates
    )
    rows = tuple((each.rule.label, round(each.value, 2), each.rule.evidence) for each in estimates)
    cautions = (
        Words("None of these rules binds; they disagree with each other and with patients."),
        FOR_CLINICIAN,
    )
    return Result(
        values,
        tuple(each.steps for each in estimates),
        cautions,
        (Table(Words("Evidence"), (Words("rule"), "mm", Words("evidence")), rows),),
    )


def _moulds(given: Given) -> Result:
    wish = Wish(
        six_anterior_width=given.maybe("six_anterior_width"),
        central_width=given.maybe("central_width"),
        central_length=given.maybe("central_length"),
        posterior_space=given.maybe("posterior_space"),
    )
    ranked = rank_moulds(read_moulds(given.text("moulds")), wish)
    rows = tuple(
        (i, each.mould.name, _misfit(each.misfit), "; ".join(map(str, each.reasons)))
        for i, each in enumerate(ranked, start=1)
    )
    values = (
        Value("best", Words("Nearest mould"), ranked[0].mould.name),
        Value("best_misfit", Words("Its misfit, 0 fits exactly"), _misfit(ranked[0].misfit), "", 2, DERIVED),
    )
    step = Words(
        "Misfit: root of the mean square of the differences; "
        "2 mm of six teeth count like 0.5 mm of a central."
    )
    return Result(
        values,
        (str(step),),
        (FOR_CLINICIAN,),
        (Table(Words("Moulds"), (Words("place"), Words("mould"), Words("misfit"), Words("why")), rows),),
    )


def _misfit(misfit: float) -> float | str:
    return round(misfit, 3) if misfit != float("inf") else Words("not known")


def _posterior(given: Given) -> Result:
    arch, space = given.text("arch"), given.number("space")
    teeth = given.count("teeth")
    total = given.maybe("mould_sum") or width_sum(arch, 4, 3 + teeth)
    spare = space - total
    words = (
        Words("{total:.1f} mm of teeth leave {spare:.1f} mm of {space:g} mm.").of(
            total=total, spare=spare, space=space
        )
        if spare >= 0
        else Words(
            "{total:.1f} mm of teeth are {spare:.1f} mm too long: leave out a tooth or go smaller."
        ).of(total=total, spare=-spare)
    )
    values = (
        Value("sum", Words("Posterior teeth of one side"), total, "mm", 1, DERIVED),
        Value("spare", Words("Space left over"), spare, "mm", 1, DERIVED),
    )
    return Result(
        values, (words,), (Words("Without a mould's own sum the average natural crowns are taken."),)
    )


CALCULATORS = (
    Calculator(
        "tooth_number",
        Words("Tooth numbers"),
        "teeth",
        Words("ISO 3950 and Universal side by side, the mirror tooth, the average natural crown."),
        (
            choice("system", Words("Numbering"), ("ISO 3950", "Universal"), default="ISO 3950"),
            count("tooth", Words("Tooth"), 1, 48),
        ),
        _numbers,
        {"tooth": 11},
        (Check("universal", 8, 0, DERIVED), Check("mirror", 21, 0, DERIVED)),
    ),
    Calculator(
        "tooth_sizes",
        Words("Front teeth estimated from the face"),
        "teeth",
        Words("Every rule whose figure is given, with its evidence."),
        tuple(
            number(name, label, "mm", low, high, optional=True)
            for name, (label, low, high) in FACE_FIGURES.items()
        ),
        _sizes,
        {
            "bizygomatic_width": 135,
            "face_length": 185,
            "head_circumference": 560,
            "inner_canthal_distance": 28,
        },
        (
            Check("central_width_from_face_width", 8.4375, 0.0001, DERIVED),
            Check("six_width_from_face_width", 40.909, 0.0005, DERIVED),
            Check("six_width_from_head_13", 43.08, 0.005, DERIVED),
            Check("six_width_from_head_10", 56.0, 0.001, DERIVED),
            Check("central_length_from_face_length_16", 11.56, 0.005, DERIVED),
            Check("central_length_from_face_length_20", 9.25, 0.001, DERIVED),
            Check("central_width_from_canthi", 8.65, 0.005, DERIVED),
        ),
    ),
    Calculator(
        "mould_ranking",
        Words("The laboratory's moulds, nearest first"),
        "teeth",
        Words(
            "CSV text with the columns mould, six_anterior_width, central_width, central_length, posterior_sum."
        ),
        (
            Input("moulds", Words("Mould list as CSV"), kind=Kind.TEXT),
            number("six_anterior_width", Words("Six front teeth wanted"), "mm", 25, 70, optional=True),
            number("central_width", Words("Central width wanted"), "mm", 4, 13, optional=True),
            number("central_length", Words("Central length wanted"), "mm", 5, 16, optional=True),
            number("posterior_space", Words("Space for the posterior teeth"), "mm", 10, 60, optional=True),
        ),
        _moulds,
        {
            "moulds": "mould,six_anterior_width,central_width,central_length,posterior_sum\n"
            "Pebble 1,44.0,8.0,9.5,30\nPebble 2,46.5,8.5,10.0,32\nPebble 3,50.0,9.2,11.0,34\n",
            "six_anterior_width": 46,
            "central_width": 8.5,
            "posterior_space": 33,
        },
        (Check("best_misfit", 0.2041, 0.0005, DERIVED),),
    ),
    Calculator(
        "posterior_fit",
        Words("Posterior teeth in the space behind the canine"),
        "teeth",
        Words("Mesiodistal sum of one side against distal of the canine to the front of the retromolar pad."),
        (
            choice("arch", Words("Arch"), ("maxillary", "mandibular"), default="mandibular"),
            number("space", Words("Space"), "mm", 10, 60),
            number("mould_sum", Words("Sum of the mould"), "mm", 10, 60, optional=True),
            count("teeth", Words("Posterior teeth"), 2, 4, default=4),
        ),
        _posterior,
        {"space": 34},
        (Check("sum", 35.5, 0.001, DERIVED), Check("spare", -1.5, 0.001, DERIVED)),
    ),
)
