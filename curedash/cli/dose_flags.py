"""The flags of a dose, shared by ``dose`` and ``batch add``, and the request they make."""

from __future__ import annotations

from dataclasses import replace

from curedash.cli.command import JSON, Chosen, Word, several, switch
from curedash.cli.typed import if_given
from curedash.domain.dosing import METHODS, DoseRequest, Scale, resolve_curing_salt
from curedash.domain.dosing.answers import (
    MAX_REASON,
    QUESTIONS,
    TEMPERATURE,
    THICKNESS,
    read_answer,
    unknown_reason,
)
from curedash.domain.dosing.classes import fitting_rows
from curedash.domain.dosing.group import share_packs
from curedash.domain.dosing.request import EATEN, PERCENT_OF, SALT_MEANS
from curedash.domain.dosing.words import cut
from curedash.domain.errors import Refused, UsageError
from curedash.domain.facts.nitrite_limits import RULE_SET_LABELS
from curedash.domain.household.styles import Style, dose_fields, usual_cure_pct
from curedash.domain.typed.numbers import as_float
from curedash.domain.typed.units import parse_length_mm, parse_pct, parse_temp_c
from curedash.domain.typed.weights import parse_weight_g, parse_weights_g
from curedash.domain.typed.words import on_one_line
from curedash.services.dosing.dosing_means import DosingDefaults

SHAPES = ("slab", "round", "sphere")


def green(**how: bool) -> Word:
    """``--green``, which a dose needs and a batch may do without."""
    about = "green weight of a piece, e.g. 1134g or '2 lb 8 oz'; once per piece"
    return several("--green WEIGHT", about, **how)


#: every other flag of a dose: of the pieces, the recipe, the method, the checks
DOSE = (
    several(
        "--thickness LENGTH",
        "thickest spot, e.g. 80mm, or 'unknown: no ruler'; once for all, or once per piece",
    ),
    Word("--shape", "slab, round (tied) or sphere", choices=SHAPES),
    switch("--skin", "skin or a fat cap covers one side"),
    Word("--temp TEMP", "temperature in the cure, e.g. 4C, or 'unknown: why'"),
    Word("--rule NAME", "the rule of thumb for the days in the cure"),
    Word("--cut", "the cut, e.g. belly"),
    Word("--salt PCT", "total salt in percent, e.g. 2.75, including the salt in the curing salt"),
    Word(
        "--salt-means",
        "whether --salt includes the curing salt or comes on top of it",
        choices=SALT_MEANS,
        default="includes",
    ),
    Word(
        "--curing-salt ID",
        "no1, no2, nitrited-0.6 … or label strength 5.88/0; none for no curing salt",
    ),
    Word("--cure PCT", "curing salt in percent of the meat, e.g. 0.25"),
    Word("--wanted MG_PER_KG", "nitrite to reach in mg/kg, e.g. 120, instead of --cure"),
    Word("--wanted-nitrate MG_PER_KG", "nitrate to reach in mg/kg, e.g. 100, instead of --cure"),
    Word("--sugar PCT", "sugar in percent of the meat, e.g. 0.3"),
    several("--extra NAME=PCT", "a spice in percent, e.g. pepper=0.3; repeatable"),
    Word("--method", "how it is salted", choices=[name for name, _label in METHODS]),
    Word("--water WEIGHT", "weight of the water of the brine, e.g. 1000g"),
    Word("--pickup PCT", "immersion: pick-up of brine in percent of green weight, e.g. 4"),
    Word("--pump PCT", "injection: brine pumped in, in percent of green weight, e.g. 10"),
    Word(
        "--percent-of",
        "immersion and injection: whether percentages are of the brine or of the meat",
        choices=PERCENT_OF,
    ),
    Word("--pack-weight WEIGHT", "weight of one ready-mixed pack, e.g. 145g"),
    Word("--pack-for WEIGHT", "weight of meat that one pack is for, e.g. 5lb"),
    Word(
        "--packs N",
        "number of packs for all pieces together (default: as many as the pack's label asks"
        " for that weight)",
    ),
    Word(
        "--rules",
        "the rule set whose limits the dose is checked against",
        choices=[name for name, _label in RULE_SET_LABELS],
    ),
    Word("--class CLASS", "product class, e.g. dry-cured", dest="product_class"),
    several(
        "--scale STEP[/MAXIMUM]",
        "smallest step of a scale in g, e.g. 0.1, or 0.01/200 with its maximum; repeatable",
    ),
    Word("--planned-days DAYS", "days from salting to slicing, e.g. 60"),
    several(
        "--because QUESTION=REASON",
        "answer to a question, e.g. no-nitrite='eaten within a week'; repeatable",
    ),
    Word("--eaten", "how it is eaten: as it is, cooked soon, or fried", choices=EATEN),
    JSON,
)


def _on_scales(request: DoseRequest, scales: tuple[Scale, ...]) -> DoseRequest:
    """With the scales it is weighed on; one without a limit is a division alone."""
    if len(scales) == 1 and scales[0].max_g is None:
        return replace(request, scale_division_g=scales[0].division_g)
    return replace(request, scales=scales)


def request_from_flags(
    chosen: Chosen,
    green_g: float,
    style: Style | None = None,
    defaults: DosingDefaults | None = None,
) -> DoseRequest:
    """Make the request of one piece; what no flag says comes from the style, then the household.

    A style's own curing salt is in unless an amount or ``--curing-salt none`` says otherwise; the
    strength of a salt nobody named is never assumed.

    Raises
    ------
    Refused, UsageError: a flag that cannot be read
    """
    told = defaults or DosingDefaults()
    unsalted = (chosen.curing_salt or "").strip().casefold() == "none"
    named = None if unsalted else chosen.curing_salt
    rule_set = chosen.rules or told.rule_set
    scales = tuple(_scale(text) for text in chosen.scale or ()) or told.scales
    method = _method(chosen, style)
    request = DoseRequest(
        green_g=green_g,
        method=method,
        salt_pct=_salt(chosen, style, method),
        salt_means=chosen.salt_means,
        curing_salt=if_given(resolve_curing_salt, named, told.jars),
        cure_pct=if_given(parse_pct, chosen.cure),
        wanted_nitrite_mg_per_kg=if_given(_mg_per_kg, chosen.wanted),
        wanted_nitrate_mg_per_kg=if_given(_mg_per_kg, chosen.wanted_nitrate),
        sugar_pct=if_given(parse_pct, chosen.sugar) or 0.0,
        extras=tuple(_extra(text) for text in chosen.extra or ()),
        rule_set=rule_set,
        product_class=chosen.product_class,
        planned_days=_days(chosen.planned_days, style),
        eaten=chosen.eaten or (style.eaten if style else None),
        cut=chosen.cut or (style.cut if style else ""),
        species=getattr(chosen, "species", None) or (style.species if style else ""),
        skin=chosen.skin,
        answers=_answers(chosen),
        **dose_fields(style),  # type: ignore[arg-type]
    )
    request = replace(request, **_method_fields(chosen))  # type: ignore[arg-type]
    if not unsalted:
        request = _with_own_cure(request, style)
    if style is not None and request.product_class is None:
        request = _with_own_class(request, style)
    return _on_scales(request, scales)


def _with_own_cure(request: DoseRequest, style: Style | None) -> DoseRequest:
    """The style's own dose of its own curing salt, or of the one that is named."""
    amounts = (request.cure_pct, request.wanted_nitrite_mg_per_kg, request.wanted_nitrate_mg_per_kg)
    own = style is not None and style.nitrite_mg_per_kg is not None
    if not own or request.method == "pack" or any(amount is not None for amount in amounts):
        return request
    assert style is not None
    usual = resolve_curing_salt(style.curing_salt)
    salt = request.curing_salt or usual
    if not salt.strength_known or not salt.nitrite_fraction:
        return request
    pct = usual_cure_pct(style, request.rule_set) * usual.nitrite_fraction / salt.nitrite_fraction
    if request.of_brine and request.reach_pct:
        pct *= 100 / request.reach_pct
    return replace(request, curing_salt=salt, cure_pct=cut(pct))


def _with_own_class(request: DoseRequest, style: Style) -> DoseRequest:
    """The style's class where it fits how the piece is made; else it follows from that."""
    own = style.class_for(request.rule_set)
    fits = {name for row in fitting_rows(request) for name in (row.product_class, *row.also)}
    return replace(request, product_class=own if own in fits else None)


def greens_from_flags(chosen: Chosen) -> list[float]:
    """The green weights in order [g]; one flag may hold several, or one weight divided."""
    return [grams for text in chosen.green for grams in parse_weights_g(text)]


def once_or_each(values: list[str] | None, count: int, flag: str) -> list[str | None]:
    """Spread a flag given once over all pieces, or take one for each in the same order."""
    if not values:
        return [None] * count
    if len(values) == 1:
        return [values[0]] * count
    if len(values) != count:
        raise UsageError(f"Give {flag} once for all pieces, or once per piece. There are {count}.")
    return list(values)


def thicknesses_from_flags(chosen: Chosen, count: int) -> list[float | None]:
    """The thickness of each piece [mm], None where nobody measured."""
    texts = once_or_each(chosen.thickness, count, "--thickness")
    return [if_given(parse_length_mm, _unless_unknown(text)) for text in texts]


def temp_from_flags(chosen: Chosen) -> float | None:
    """The temperature in the cure [°C]; None where nobody said it, or nobody knows."""
    return if_given(parse_temp_c, _unless_unknown(chosen.temp))


def _unless_unknown(text: str | None) -> str | None:
    return None if text is None or unknown_reason(text) is not None else text


def _method(chosen: Chosen, style: Style | None) -> str:
    if chosen.method:
        return str(chosen.method)
    for flag, method in (
        (chosen.pack_weight, "pack"),
        (chosen.pickup, "immersion"),
        (chosen.pump, "injection"),
        (chosen.water, "equilibrium-brine"),
    ):
        if flag is not None:
            return method
    return style.method if style else "equilibrium"


def _salt(chosen: Chosen, style: Style | None, method: str) -> float | None:
    if chosen.salt is not None:
        return parse_pct(chosen.salt)
    if style is None or method in ("pack", "salt-box", "immersion", "injection"):
        return None
    return style.salt_pct


def _method_fields(chosen: Chosen) -> dict[str, object]:
    return {
        "water_g": if_given(_grams, chosen.water),
        "pickup_pct": if_given(parse_pct, chosen.pickup),
        "pump_pct": if_given(parse_pct, chosen.pump),
        "percent_of": chosen.percent_of,
        "pack_g": if_given(_grams, chosen.pack_weight),
        "pack_for_g": if_given(_grams, chosen.pack_for),
    }


def _grams(text: str) -> float:
    return parse_weight_g(text, marks_are_decimal=True)


def _mg_per_kg(text: str) -> float:
    bare = text.strip().casefold()
    for unit in ("mg/kg", "ppm"):
        bare = bare.removesuffix(unit).strip()
    return number(bare, f"{text[:40]!r} is not an amount in mg/kg; give for example 120.")


def _days(text: str | None, style: Style | None) -> float | None:
    if text is None:
        return None if style is None else style.planned_days
    bare = text.strip().casefold().removesuffix("days").removesuffix("d").strip()
    return number(bare, f"{text[:40]!r} is not a number of days; give for example 60.")


def _extra(text: str) -> tuple[str, float]:
    name, equals, share = text.partition("=")
    if not equals or not name.strip():
        raise UsageError("Give a spice as NAME=PCT, for example --extra pepper=0.3.")
    return name.strip(), parse_pct(share)


def _answers(chosen: Chosen) -> tuple[tuple[str, str], ...]:
    """The reasons given, and what is said to be unknown."""
    found = [_because(text) for text in chosen.because or ()]
    for question, texts in ((THICKNESS, chosen.thickness or ()), (TEMPERATURE, (chosen.temp,))):
        for text in texts:
            if text is not None and unknown_reason(text) is not None:
                found.append((question, read_answer(question, on_one_line(text)).text))
    return tuple(dict(found).items())


def _because(text: str) -> tuple[str, str]:
    question, _equals, reason = text.partition("=")
    if question.strip() not in QUESTIONS or not reason.strip():
        known = ", ".join(QUESTIONS)
        raise UsageError(f"Give a reason as QUESTION=REASON; the questions are {known}.")
    return question.strip(), on_one_line(reason)[:MAX_REASON]


def _scale(text: str) -> Scale:
    division, slash, most = text.partition("/")
    return Scale(_grams(division), _grams(most) if slash else None)


MOST_NUMBER = 1e9  # design value: more of anything is a slip


def packs_shared(chosen: Chosen, requests: tuple[DoseRequest, ...]) -> tuple[DoseRequest, ...]:
    """The doses with the packs that ``--packs`` names shared out among them."""
    if chosen.packs is None:
        return requests
    complaint = "--packs takes a number of packs, for example 1 or 0.5."
    return share_packs(requests, number(chosen.packs, complaint))


def number(text: str, complaint: str) -> float:
    """Read a plain number with either decimal mark, or refuse with the sentence given."""
    try:
        value = as_float(text)
    except ValueError:
        raise Refused(complaint) from None
    if not abs(value) < MOST_NUMBER:  # also what is not a number at all
        raise Refused(complaint)
    return value
