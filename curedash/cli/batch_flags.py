"""From the flags of ``batch add`` to what the service keeps."""

from dataclasses import replace
from datetime import datetime, tzinfo
from functools import partial

from curedash.cli.command import Chosen
from curedash.cli.dose_flags import (
    greens_from_flags,
    once_or_each,
    packs_shared,
    request_from_flags,
    temp_from_flags,
    thicknesses_from_flags,
)
from curedash.cli.typed import if_given
from curedash.domain.curing.stages import GROUND
from curedash.domain.dosing import DoseRequest
from curedash.domain.dosing.cuts import cut_of, near_cuts
from curedash.domain.errors import Refused, UsageError
from curedash.domain.household.styles import Style
from curedash.domain.quantity_text import Quantity, grams, phrase
from curedash.domain.typed.bands import typed_place
from curedash.domain.typed.dates import parse_near_day, parse_when
from curedash.domain.typed.meat_and_fat import fat_share_pct
from curedash.domain.typed.prices import price
from curedash.domain.typed.units import parse_pct_range
from curedash.domain.typed.weights import parse_weight_g
from curedash.domain.wording import listed
from curedash.present.display_units import money
from curedash.present.dosing.form.batch_texts import bags
from curedash.services.dosing.add_batch import BatchSpec, PieceSpec, SourceSpec, short_name
from curedash.services.dosing.dosing_means import dosing_defaults, find_style
from curedash.services.dosing.recipe import SausagePlan
from curedash.services.household import household
from curedash.services.places.places import NewPlace
from curedash.store.open import Connection

OWN = "own"  # what a batch is of where no style is named


def spec_from_flags(chosen: Chosen, conn: Connection, now: datetime) -> tuple[BatchSpec, list[str]]:
    """Read every flag; what there is to say beside it.

    Raises
    ------
    Refused, UsageError: a flag that cannot be read
    """
    defaults, zone = dosing_defaults(conn), household.zone(conn)
    style, new = find_style(chosen.style, defaults, may_be_new=may_be_new(chosen))
    messages = [_new_style_words(style)] if new else []
    messages += cut_words(chosen.cut or "")
    style = with_target(style, chosen.target)
    if chosen.ferments is not None:
        style = replace(style, fermented=chosen.ferments == "yes")
    greens = greens_from_flags(chosen)
    requests = tuple(request_from_flags(chosen, grams, style, defaults) for grams in greens)
    requests = packs_shared(chosen, requests)
    requests = tuple(replace(each, fat_pct=_fat_pct(chosen, each)) for each in requests)
    plan, new_places = plan_from_flags(chosen, requests[0].method)
    spec = BatchSpec(
        name=chosen.name,
        species=chosen.species or style.species,
        style=style,
        pieces=_pieces(chosen, greens),
        sources=sources_from_flags(chosen, len(greens), now, zone),
        dose=requests[0],
        doses=requests,
        place=chosen.place,
        salted_at=if_given(parse_when, chosen.salted_on, now, zone),
        shape=_shape(chosen, style),
        skin=chosen.skin,
        in_bag=chosen.in_bag,
        bags=() if chosen.one_bag is None else bags(chosen.one_bag, len(greens)),
        temp_c=temp_from_flags(chosen),
        rule=chosen.rule,
        note=chosen.note,
        new_style=new,
        plan=plan,
        new_places=new_places,
    )
    return spec, messages


def plan_from_flags(chosen: Chosen, method: str) -> tuple[SausagePlan | None, tuple[NewPlace, ...]]:
    """What a sausage is to go through, and the places it names.

    Raises
    ------
    UsageError: a flag of a sausage for other meat
    """
    given = {
        "--ferments": chosen.ferments,
        "--ferment-in": chosen.ferment_in,
        "--smoke": chosen.smoke,
        "--hang-in": chosen.hang_in,
    }
    used = next((flag for flag, text in given.items() if text is not None), None)
    if used is None:
        return None, ()
    if method != GROUND:
        raise UsageError(f"{used} is for ground meat: name a style of it, or --method ground.")
    ferment, hang = (NewPlace(*typed_place(t or "")) for t in (chosen.ferment_in, chosen.hang_in))
    plan = SausagePlan(
        ferment_in=ferment.name, smoke=short_name(chosen.smoke or ""), hang_in=hang.name
    )
    return plan, tuple(new for new in (ferment, hang) if new.name)


def _fat_pct(chosen: Chosen, request: DoseRequest) -> float | None:
    """The fat of ground meat, where it was weighed apart."""
    texts = chosen.green or []
    return fat_share_pct(texts[0]) if request.method == GROUND and len(texts) == 1 else None


def cut_words(text: str) -> list[str]:
    """What to say of a cut that is spelled nearly like a known one; it is saved as typed."""
    near = [] if not text.strip() or cut_of(text) is not None else near_cuts(text)
    if not near or any(word in near for word in text.casefold().replace(",", " ").split()):
        return []
    return [
        f"Cut “{text.strip()[:40]}” is saved as typed."
        f" The closest known name is {listed(near, 'or')}."
    ]


def with_target(style: Style, text: str | None) -> Style:
    """The style with the loss to pull it at that was typed, if one was."""
    if text is None:
        return style
    low, high = parse_pct_range(text)
    return replace(style, loss_lo_pct=low, loss_hi_pct=high)


def may_be_new(chosen: Chosen) -> bool:
    """Whether a style is made of a name that fits none: where that is said, or none was named."""
    return bool(chosen.new_style) or chosen.style == OWN


def _pieces(chosen: Chosen, greens: list[float]) -> tuple[PieceSpec, ...]:
    count = len(greens)
    names = once_or_each(chosen.piece_name, count, "--piece-name")
    sources = roasts_from_flags(chosen, count)
    strings = string_counts(chosen, count)
    thick = thicknesses_from_flags(chosen, count)
    return tuple(
        PieceSpec(green_g, names[n] or "", thick[n], sources[n], strings[n])
        for n, green_g in enumerate(greens)
    )


def string_counts(chosen: Chosen, count: int) -> list[int]:
    """How many small pieces each lot is; 1 unless it is a string."""
    texts = once_or_each([str(number) for number in chosen.count or ()], count, "--count")
    return [1 if text is None else int(text) for text in texts]


#: flags of the roast as it was bought
_OF_A_ROAST = ("condition", "use_by", "shop", "price", "bought", "packed_on")


def roasts_from_flags(chosen: Chosen, count: int) -> list[str | None]:
    """The roast of each piece; where only a shop or a price is given, one named as the batch."""
    named = once_or_each(chosen.source, count, "--source")
    if not any(getattr(chosen, flag) for flag in _OF_A_ROAST):
        return named
    return [name or chosen.name for name in named]


def sources_from_flags(
    chosen: Chosen, count: int, now: datetime, zone: tzinfo
) -> tuple[SourceSpec, ...]:
    """The roasts as they were bought, each once.

    Raises
    ------
    Refused, UsageError: a flag that cannot be read, or two answers for one roast
    """
    typed = {
        flag: once_or_each(getattr(chosen, flag), count, f"--{flag.replace('_', '-')}")
        for flag in _OF_A_ROAST
    }
    found: dict[str, SourceSpec] = {}
    for piece, name in enumerate(roasts_from_flags(chosen, count)):
        given = {flag: texts[piece] for flag, texts in typed.items()}
        if name is None or not any(given.values()):
            continue
        made = _source(name, given, now, zone)
        _require_same(found.setdefault(name, made), made)
    return tuple(found.values())


def _source(name: str, given: dict[str, str | None], now: datetime, zone: tzinfo) -> SourceSpec:
    weighed = partial(parse_weight_g, marks_are_decimal=True)
    bought_g = if_given(weighed, given["bought"])
    asked = if_given(price, given["price"])
    cost = None if asked is None else asked.total(bought_g)
    if asked is not None and cost is None:
        raise UsageError("A price per weight needs the weight as bought: add --bought 2.3kg.")
    return SourceSpec(
        name,
        shop=given["shop"],
        pack_date=_label_day(given["packed_on"], now, zone),
        price=cost,
        currency=None if asked is None else asked.currency,
        bought_g=bought_g,
        condition=given["condition"] or "fresh",
        use_by=_label_day(given["use_by"], now, zone),
    )


def _label_day(text: str | None, now: datetime, zone: tzinfo) -> str | None:
    return None if text is None else parse_near_day(text, now, zone).isoformat()


#: what one roast has once → its name in a refusal
_ONCE = {
    "use_by": "use-by date",
    "pack_date": "pack date",
    "shop": "shop",
    "price": "price",
    "bought_g": "weight as bought",
}


def _require_same(before: SourceSpec, made: SourceSpec) -> None:
    """Refuse two answers to one question about a roast."""
    name = before.name
    if before.condition != made.condition:
        raise Refused(f"{name} cannot be both {before.condition} and {made.condition}.")
    for fact, words in _ONCE.items():
        same = getattr(before, fact) == getattr(made, fact)
        if not same or (fact == "price" and before.currency != made.currency):
            one, other = _shown(before, fact), _shown(made, fact)
            said = "{name} has one {fact}, not {one} and {other}."
            raise Refused(phrase(said, name=name, fact=words, one=one, other=other))


def _shown(roast: SourceSpec, fact: str) -> str | Quantity:
    """A fact of a roast as a refusal shows it, with its currency or unit."""
    value = getattr(roast, fact)
    if value is None:
        return "none"
    if fact == "price":
        return money(value, roast.currency)
    return grams(value) if fact == "bought_g" else str(value)


def _shape(chosen: Chosen, style: Style) -> str:
    """Slab or round; a lot has no third shape."""
    return "round" if (chosen.shape or style.shape) in ("round", "sphere") else "slab"


def _new_style_words(style: Style) -> str:
    low, high = style.loss_lo_pct, style.loss_hi_pct
    return f"“{style.name}” is a new style: pulled at {low:g}–{high:g} % of hang weight."
