"""From the flags of ``batch add`` to what the service keeps."""

import argparse
from dataclasses import replace
from datetime import datetime, tzinfo

from curedash.cli.dose_flags import (
    greens_from_flags,
    number,
    once_or_each,
    request_from_flags,
    temp_from_flags,
    thicknesses_from_flags,
)
from curedash.domain.dosing.group import share_packs
from curedash.domain.errors import Refused
from curedash.domain.household.styles import Style
from curedash.domain.typed.dates import parse_near_day
from curedash.domain.typed.units import parse_pct_range
from curedash.present.dosing.batch_texts import bags
from curedash.services.dosing.add_batch import BatchSpec, PieceSpec, SourceSpec
from curedash.services.dosing.dosing_means import dosing_defaults, find_style
from curedash.services.household import household
from curedash.store.open import Connection

OWN = "own"  # what a batch is of where no style is named


def spec_from_flags(
    chosen: argparse.Namespace, conn: Connection, now: datetime
) -> tuple[BatchSpec, list[str]]:
    """Read every flag; what there is to say beside it.

    Raises
    ------
    Refused, UsageError: a flag that cannot be read
    """
    defaults = dosing_defaults(conn)
    style, new = find_style(chosen.style, defaults, may_be_new=may_be_new(chosen))
    messages = [_new_style_words(style)] if new else []
    messages += _cut_words(chosen.cut or "")
    if chosen.target is not None:
        low, high = parse_pct_range(chosen.target)
        style = replace(style, loss_lo_pct=low, loss_hi_pct=high)
    greens = greens_from_flags(chosen)
    requests = tuple(request_from_flags(chosen, grams, style, defaults) for grams in greens)
    if chosen.packs is not None:
        packs = number(chosen.packs, "--packs wants a number of packs, for example 1 or 0.5.")
        requests = share_packs(requests, packs)
    spec = BatchSpec(
        name=chosen.name,
        species=chosen.species or style.species,
        style=style,
        pieces=_pieces(chosen, greens),
        sources=_sources(chosen, len(greens), now, household.zone(conn)),
        dose=requests[0],
        doses=requests,
        place=chosen.place,
        salted_at=_salted_at(chosen.salted_on, now, household.zone(conn)),
        shape=_shape(chosen, style),
        skin=chosen.skin,
        in_bag=chosen.in_bag,
        bags=() if chosen.one_bag is None else bags(chosen.one_bag, len(greens)),
        temp_c=temp_from_flags(chosen),
        rule=chosen.rule,
        note=chosen.note,
        new_style=new,
    )
    return spec, messages


def _cut_words(text: str) -> list[str]:
    """A cut that is spelled nearly like a known one is kept as typed, and that is said."""
    from curedash.domain.dosing.cuts import cut_of, near_cuts

    near = [] if not text.strip() or cut_of(text) is not None else near_cuts(text)
    if not near or any(word in near for word in text.casefold().replace(",", " ").split()):
        return []
    return [f"Cut “{text.strip()[:40]}” is stored as typed; near it: {' or '.join(near)}."]


def may_be_new(chosen: argparse.Namespace) -> bool:
    """Whether a style is made of a name that fits none: where that is said, or none was named."""
    return bool(chosen.new_style) or chosen.style == OWN


def _pieces(chosen: argparse.Namespace, greens: list[float]) -> tuple[PieceSpec, ...]:
    count = len(greens)
    names = once_or_each(chosen.piece_name, count, "--piece-name")
    sources = _roasts(chosen, count)
    counts = once_or_each([str(n) for n in chosen.count or ()], count, "--count")
    thick = thicknesses_from_flags(chosen, count)
    return tuple(
        PieceSpec(green_g, names[n] or "", thick[n], sources[n], int(counts[n] or 1))
        for n, green_g in enumerate(greens)
    )


def _roasts(chosen: argparse.Namespace, count: int) -> list[str | None]:
    """The roast of each piece; one of which only a condition or a day is said is the batch's."""
    named = once_or_each(chosen.source, count, "--source")
    if not (chosen.condition or chosen.use_by):
        return named
    return [name or chosen.name for name in named]


def _sources(
    chosen: argparse.Namespace, count: int, now: datetime, zone: tzinfo
) -> tuple[SourceSpec, ...]:
    """The roasts with how they came and their use-by day, each once."""
    conditions = once_or_each(chosen.condition, count, "--condition")
    labels = once_or_each(chosen.use_by, count, "--use-by")
    found: dict[str, SourceSpec] = {}
    for name, condition, label in zip(_roasts(chosen, count), conditions, labels, strict=True):
        if name is None or (condition is None and label is None):
            continue
        use_by = None if label is None else parse_near_day(label, now, zone).isoformat()
        made = SourceSpec(name, condition=condition or "fresh", use_by=use_by)
        before = found.setdefault(name, made)
        if before.condition != made.condition:
            raise Refused(f"{name} cannot be both {before.condition} and {made.condition}.")
        if before.use_by != made.use_by:
            raise Refused(f"{name} has one use-by day, not {before.use_by} and {made.use_by}.")
    return tuple(found.values())


def _shape(chosen: argparse.Namespace, style: Style) -> str:
    """Slab or round; a lot has no third shape."""
    return "round" if (chosen.shape or style.shape) in ("round", "sphere") else "slab"


def _salted_at(text: str | None, now: datetime, zone: tzinfo) -> datetime | None:
    if text is None:
        return None
    from curedash.domain.typed.dates import parse_when

    return parse_when(text, now, zone)


def _new_style_words(style: Style) -> str:
    low, high = style.loss_lo_pct, style.loss_hi_pct
    return f"“{style.name}” is a new style: pulled at {low:g}–{high:g} % of hang weight."
