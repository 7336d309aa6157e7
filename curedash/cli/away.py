"""``curedash away``: days nobody is at home, and what they mean for each lot."""

from __future__ import annotations

from curedash.cli.command import JSON, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.domain.errors import UsageError
from curedash.domain.needs.diary import parse_away
from curedash.domain.typed.dates import parse_day
from curedash.domain.typed.numbers import whole_number
from curedash.present.needs.diary import away_document, away_words, block_line
from curedash.services.needs import away
from curedash.services.needs.away import Block, remove_away

_EXAMPLE = 'curedash away add "12-19 Dec"'


def run(chosen: Chosen, context: Context) -> int:
    """List days away, keep some, look what they would mean, or take them back."""
    if chosen.what == "list":
        return _list(chosen, context)
    if not chosen.days:
        raise UsageError(f"Say which days, e.g. {_EXAMPLE}.")
    return _remove(chosen, context) if chosen.what == "remove" else _look(chosen, context)


COMMAND = Command(
    "away",
    "Days nobody is at home: what reaches its target then, what to pull or hold first, what "
    "can wait.",
    _EXAMPLE,
    Word(
        "what",
        "look shows what the days mean, add saves them, remove deletes them (default: list)",
        nargs="?",
        default="list",
        choices=("list", "add", "look", "remove"),
    ),
    Word("days", "12-19 Dec, or a first and a last day; for remove, a number", nargs="*"),
    Word("--note", "a note, e.g. where you are, or your stand-in"),
    JSON,
    run=run,
)


def _list(chosen: Chosen, context: Context) -> int:

    conn = context.open()
    today = context.now.astimezone(context.zone).date()
    known = away.blocks(conn, today)
    context.each(chosen.json, known, _document, block_line)
    if not known and not chosen.json:
        context.err(f"No days away yet; for example: {_EXAMPLE}.")
    return 0


def _document(saved: Block) -> dict[str, object]:
    first, last = saved.block.first.isoformat(), saved.block.last.isoformat()
    return {"id": saved.id, "first": first, "last": last, "note": saved.note}


def _remove(chosen: Chosen, context: Context) -> int:

    if len(chosen.days) != 1 or not chosen.days[0].isdecimal():
        raise UsageError("Give the number that 'curedash away' lists, e.g. away remove 1.")
    gone = remove_away(context.open(), context.by(), whole_number(chosen.days[0]))
    context.out(f"deleted: {block_line(gone)}")
    return 0


def _look(chosen: Chosen, context: Context) -> int:
    """What the days mean, and with 'add' kept first."""

    conn, now = context.open(), context.now
    zone = context.zone
    words = chosen.days if len(chosen.days) != 2 else [" to ".join(chosen.days)]
    block = parse_away(" ".join(words), lambda text: parse_day(text, now, zone))
    if chosen.what == "add":
        kept = away.add_away(conn, context.by(), block, now, chosen.note)
        context.err(f"kept: {block_line(kept)}")
    found = away.report(conn, block, now)
    days = {"first": block.first.isoformat(), "last": block.last.isoformat()}
    lots = {"saved": chosen.what == "add", "lots": [away_document(row) for row in found]}
    lines = (f"{row.lot.code:<5} {away_words(row)}" for row in found)
    context.answer(chosen.json, days | lots, lines)
    return 0
