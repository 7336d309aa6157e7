"""``curedash tick``: tick an ingredient off the dose sheet with what was weighed."""

from __future__ import annotations

from curedash.cli.command import JSON_BARE, LOT, YES, Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.cli.sheet import print_sheet
from curedash.domain.dosing.ticks import tick_doubt, wants_words
from curedash.domain.errors import Doubtful, Refused, UsageError
from curedash.domain.records import DoseLine, LotState
from curedash.domain.times import utc_text
from curedash.domain.typed.weights import parse_weight_g
from curedash.services.dosing.tick import find_line, tick_all, tick_line
from curedash.store.open import Connection


def run(chosen: Chosen, context: Context) -> None:
    """Tick one line, all open ones, or take a tick back; what is ticked already is asked about."""
    if chosen.all == (chosen.ingredient is not None) or (chosen.all and chosen.untick):
        raise UsageError("Say what was weighed, as in 'tick L1 sugar 3.7g', or --all.")
    conn, lot = context.open(), context.lot(chosen.lot)
    at = None if chosen.at is None else utc_text(context.at(chosen.at))
    if chosen.all:
        tick_all(conn, context.by(), lot.id, at=at)
    else:
        _tick(chosen, context, conn, lot, at)
    print_sheet(context, lot.code, as_json=chosen.json)


def _tick(
    chosen: Chosen, context: Context, conn: Connection, lot: LotState, at: str | None
) -> None:

    line = find_line(conn, lot, chosen.ingredient)
    if chosen.untick:
        tick_line(conn, context.by(), line.id, None)
        return
    weighed_g = _weighed_g(chosen.weight, line)
    question = _question(line, weighed_g)
    if question is not None and not chosen.yes:
        raise Doubtful(f"{lot.code}: {question}")
    if wants_words(line.planned_g, weighed_g) and not (chosen.note or "").strip():
        raise Refused(
            f"{lot.code}: {question} To record this much over the plan, add --yes and a --note"
            " on how it happened."
        )
    tick_line(conn, context.by_now(), line.id, weighed_g, at=at, note=chosen.note, seen=line)


def _question(line: DoseLine, weighed_g: float) -> str | None:

    if line.ticked_at is not None:
        return (
            f"{line.name} was ticked already ({line.weighed_g:g} g, {line.ticked_at}); give the"
            " whole amount that is in, or untick it with --untick."
        )
    return tick_doubt(line.name, line.planned_g, weighed_g)


def _weighed_g(text: str | None, line: DoseLine) -> float:
    if text is None:
        return line.planned_g

    return parse_weight_g(text, allow_zero=True, marks_are_decimal=True)


COMMAND = Command(
    "tick",
    "Tick an ingredient off the dose sheet with what was weighed.",
    "curedash tick L1 sugar 3.7g",
    LOT,
    Word("ingredient", "the ingredient: its name, or salt, curing-salt, sugar …", nargs="?"),
    Word("weight", "what the scale showed, e.g. 3.7g (default: as planned)", nargs="?"),
    switch("--all", "tick everything still open, as planned"),
    switch("--untick", "untick this ingredient"),
    Word("--at", "when it went in (default: now)"),
    Word("--note", "a note on how it happened; needed over 1.5 times the plan"),
    YES,
    JSON_BARE,
    run=run,
)
