"""``curedash pack``: packs of a lot, one pack mixed of several lots, or the list of packs."""

from __future__ import annotations

from collections.abc import Sequence

from curedash.cli.command import AT, JSON_ARRAY, YES, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.domain.records import Pack


def run(chosen: Chosen, context: Context) -> None:
    """Pack what is said, or list every pack."""
    from curedash.present.household.packs import pack_documents, pack_lines
    from curedash.services.household.packs import all_packs, codes_of

    conn = context.open()
    shown = _pack(chosen, context) if chosen.what else all_packs(conn)
    codes, every = codes_of(conn), all_packs(conn)
    if chosen.json:
        context.json(pack_documents(shown, codes))
        return
    for line in pack_lines(shown, every, codes, context.zone):
        context.out(line)
    if not shown:
        context.err("No packs yet; for example: curedash pack B1 180 180.")


def _pack(chosen: Chosen, context: Context) -> Sequence[Pack]:
    """The packs made now."""
    from curedash.domain.typed.dates import parse_day
    from curedash.domain.typed.shares import names_lots
    from curedash.domain.typed.weights import parse_weights_g
    from curedash.services.household.packs import (
        NewPack,
        add_packs,
        all_packs,
        mix_pack,
        names_for,
        shares_of,
    )

    conn, by = context.open(), context.by()
    at = context.at(chosen.at)
    until = None
    if chosen.keep_until is not None:
        until = parse_day(chosen.keep_until, context.now, context.zone)

    def new(weight_g: float, whom: str | None) -> NewPack:
        return NewPack(weight_g, at, until, whom, chosen.note)

    known = {pack.id for pack in all_packs(conn)}
    code, *words = chosen.what
    rest = " ".join(words)
    if names_lots(rest):
        shares = shares_of(conn, f"{code} {rest}")
        whole = new(sum(s.weight_g for s in shares), chosen.given_to)
        mix_pack(conn, by, shares, whole, sure=chosen.yes)
    else:
        lot, weights = context.lot(code), parse_weights_g(rest)
        names = names_for(chosen.given_to, len(weights))
        add_packs(conn, by, lot.id, list(map(new, weights, names)), sure=chosen.yes)
    context.caution("slicing", *["sharing"] * bool(chosen.given_to))
    return [pack for pack in all_packs(conn) if pack.id not in known]


COMMAND = Command(
    "pack",
    "Record packs of a lot that is keeping or finished: its code, then the net weight of "
    "each pack. Several lots, each with its weight, make one mixed pack. Without arguments, "
    "list every pack.",
    "curedash pack B1 120 A1 15",
    Word("what LOT WEIGHT", "B1 180 180, or one mixed pack: B1 120 A1 15", nargs="*"),
    Word("--given-to", "who gets it; one name for all, or one per pack, separated by commas"),
    Word("--keep-until", "day to keep it until (default: by your rule, if you have one)"),
    Word("--note", "a note on the pack"),
    AT,
    YES,
    JSON_ARRAY,
    run=run,
)
