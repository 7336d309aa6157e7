"""``curedash batch add --stage …``: pieces under way, taken in with what is known of them."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, tzinfo

from curedash.cli.batch_flags import (
    cut_words,
    may_be_new,
    roasts_from_flags,
    sources_from_flags,
    string_counts,
    with_target,
)
from curedash.cli.command import Chosen
from curedash.cli.context import Context
from curedash.cli.dose_flags import greens_from_flags, once_or_each, thicknesses_from_flags
from curedash.domain.curing.stages import parse_stage
from curedash.domain.errors import UsageError
from curedash.domain.typed.dates import parse_day, parse_when
from curedash.domain.typed.pack_line import PacksUsed, typed_packs
from curedash.domain.typed.units import parse_length_mm
from curedash.domain.typed.weights import parse_weight_g
from curedash.services.dosing.add_batch import short_name
from curedash.services.dosing.dosing_means import dosing_defaults, find_style
from curedash.services.dosing.take_in import PieceUnderWay, UnderWay, from_roast, take_in
from curedash.services.find import lot_with_id
from curedash.services.household import household
from curedash.store.open import Connection

_EXAMPLE = "--pieces 4 --stage in-cure --since 2026-11-21"
#: flags of a dose, which has been done, and of what it is compared with
_DOSED = (
    *("salt", "cure", "wanted", "wanted_nitrate", "curing_salt", "sugar", "extra", "one_bag"),
    *("water", "pickup", "pump", "percent_of", "pack_weight", "rules", "product_class", "scale"),
    *("planned_days", "because", "eaten", "temp", "rule"),
)


def run(chosen: Chosen, context: Context) -> int:
    """Take the pieces in, and say what is not known of them."""
    conn = context.open(create=True)
    spec, messages = _spec(chosen, conn, context.now)
    taken = take_in(conn, context.by(), spec)
    context.refresh(*taken.lots)
    for message in (*messages, *taken.messages, *place_words(taken.new_places)):
        context.err(message)
    lots = [lot_with_id(conn, lot.id) for lot in taken.lots]
    if not chosen.json:
        context.out(f"batch {taken.batch.code}: {taken.batch.name}")
    from curedash.cli.typed import print_lots

    print_lots(context, conn, lots, as_json=chosen.json)
    return 0


def place_words(names: Iterable[str]) -> tuple[str, ...]:
    """What to say of places that were made just now."""
    return tuple(
        f"Place “{name}” is new and has no band yet; set one with 'curedash place set'."
        for name in names
    )


def _require_under_way(chosen: Chosen) -> None:
    """No flag of a dose still to be weighed out, and a day since when they are where they are."""
    dosed = [name for name in _DOSED if getattr(chosen, name)]
    if dosed:
        flag = "--" + dosed[0].removeprefix("product_").replace("_", "-")
        raise UsageError(
            f"{flag} is for a dose still to be weighed out; pieces under way are dosed already. "
            f"Write it with --note, or leave out --stage and give --salted-on."
        )
    if chosen.since is None:
        raise UsageError("Say since when; a day is enough: --since 2026-11-21, or --since -4d.")


def _spec(chosen: Chosen, conn: Connection, now: datetime) -> tuple[UnderWay, list[str]]:
    _require_under_way(chosen)
    zone = household.zone(conn)
    style, new = find_style(chosen.style, dosing_defaults(conn), may_be_new=may_be_new(chosen))
    style = with_target(style, chosen.target)
    if chosen.cut is not None:
        style = replace(style, cut=short_name(chosen.cut))
    pieces = _pieces(chosen)
    spec = UnderWay(
        name=chosen.name,
        style=style,
        pieces=pieces,
        sources=sources_from_flags(chosen, len(pieces), now, zone),
        stage=parse_stage(chosen.stage),
        since=parse_when(chosen.since, now, zone),
        at=now,
        species=chosen.species,
        method=chosen.method or "",
        place=chosen.place,
        salted_at=_day_or_none(chosen.salted_on, now, zone),
        shape="round" if chosen.shape in ("round", "sphere") else chosen.shape or "",
        skin=chosen.skin,
        in_bag=chosen.in_bag,
        planned_on=None if chosen.sticker is None else parse_day(chosen.sticker, now, zone),
        note=chosen.note,
        packs=_packs(chosen),
        new_style=new,
    )
    messages = [f"“{style.name}” is a new style."] if new else []
    return spec, messages + cut_words(chosen.cut or "")


def _packs(chosen: Chosen) -> PacksUsed | None:
    """The ready-mixed packs they were salted with, if they were."""
    if chosen.pack_for is None:
        if chosen.packs is not None:
            raise UsageError("Say also how much meat one pack is for: --packs 2 --pack-for 5lb.")
        return None
    return typed_packs(f"{chosen.packs or 1} packs for {chosen.pack_for}")


def _day_or_none(text: str | None, now: datetime, zone: tzinfo) -> datetime | None:
    return None if text is None else parse_when(text, now, zone)


def _pieces(chosen: Chosen) -> tuple[PieceUnderWay, ...]:
    """So many pieces, each with what is known of it."""
    greens: list[float] = greens_from_flags(chosen) if chosen.green else []
    weights = [parse_weight_g(text, marks_are_decimal=True) for text in chosen.weight or ()]
    names: list[str] = chosen.piece_name or []
    count = _count(chosen.pieces, greens, weights, names)
    if chosen.roast is not None and greens:
        raise UsageError("Give --roast or --green, not both. Green weights are better.")
    if chosen.roast is not None:
        each_g, pm_g = from_roast(parse_weight_g(chosen.roast, marks_are_decimal=True), count)
    tares = once_or_each(chosen.tare, count, "--tare")
    spread_names = once_or_each(names, count, "--piece-name")
    strings = string_counts(chosen, count)
    thick = _thick(chosen, count)
    roasts = roasts_from_flags(chosen, count)
    return tuple(
        PieceUnderWay(
            name=(spread_names[n] or "") if len(names) == count or count == 1 else _named(names, n),
            green_g=greens[n] if greens else (None if chosen.roast is None else each_g),
            green_pm_g=None if greens or chosen.roast is None else pm_g,
            thickness_mm=thick[n],
            weight_g=weights[n] if weights else None,
            tare_g=_tare_g(tares[n]),
            source=roasts[n],
            count=strings[n],
        )
        for n in range(count)
    )


def _named(names: list[str], number: int) -> str:
    """One name for all pieces gets a number for each."""
    return f"{names[0]} {number + 1}" if names else ""


def _thick(chosen: Chosen, count: int) -> list[float | None]:
    if chosen.thickness and len(chosen.thickness) == count:
        return [parse_length_mm(text) for text in chosen.thickness]
    return thicknesses_from_flags(chosen, count)


def _tare_g(text: str | None) -> float:
    if text is None or text.strip() in ("0", "0g", "0 g"):
        return 0.0
    return parse_weight_g(text, marks_are_decimal=True)


def _count(pieces: int | None, greens: list[float], weights: list[float], names: list[str]) -> int:
    """How many pieces there are; what is given for each must be for each."""
    number = pieces or len(greens) or len(weights) or max(1, len(names))
    for flag, given in (("--green", greens), ("--weight", weights)):
        if given and len(given) != number:
            raise UsageError(
                f"{number} pieces, but {flag} was given {len(given)} times: give it once per "
                f"piece, or not at all."
            )
    if number < 1:
        raise UsageError(f"Say how many pieces there are: {_EXAMPLE}.")
    return number
