"""``curedash freeze``: freezing pork against trichina, logged and counted by its table."""

from __future__ import annotations

from datetime import datetime, tzinfo

from curedash.cli.command import JSON_BARE, LOT, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.cli.typed import if_given
from curedash.domain.errors import NotFound, Refused
from curedash.domain.typed.dates import parse_until, parse_when
from curedash.domain.typed.units import parse_length_mm, parse_temp_c
from curedash.present.curing.freeze import freezing_document, freezing_lines
from curedash.services.curing.freeze import Freezing, current, freeze


def run(chosen: Chosen, context: Context) -> None:
    """Log a freezing step, go on with the one that runs, or show it."""

    conn, lot = context.open(), context.lot(chosen.lot)
    if all(getattr(chosen, flag) is None for flag in _FLAGS):
        step = current(conn, lot, context.now)
        if step is None:
            raise NotFound(f"{lot.code} has no freezing step; begin one with --from and --warmest.")
    else:
        step = freeze(conn, context.by(), lot.id, _freezing(chosen, context))
        context.caution("freezing", batch_id=lot.batch_id)
    context.answer(chosen.json, freezing_document(step), freezing_lines(step, context.zone))


_FLAGS = ("since", "until", "warmest", "thickness", "chilled", "place", "note")


def _freezing(chosen: Chosen, context: Context) -> Freezing:

    now, zone = context.now, context.zone
    return Freezing(
        since=if_given(parse_when, chosen.since, now, zone),
        until=if_given(_end, chosen.until, now, zone),
        warmest_c=if_given(parse_temp_c, chosen.warmest),
        thickness_mm=if_given(parse_length_mm, chosen.thickness),
        chilled_c=if_given(parse_temp_c, chosen.chilled),
        place=chosen.place,
        note=chosen.note,
    )


def _end(text: str, now: datetime, zone: tzinfo) -> datetime:
    """When it came out, or will come out."""

    try:
        return parse_when(text, now, zone)
    except Refused:
        return parse_until(text, now, zone)


COMMAND = Command(
    "freeze",
    "Log pork that is frozen because of trichina; its days are counted by the official table."
    " The count begins with pork at 4 °C or colder; only domestic pork counts.",
    "curedash freeze L1 --from 2026-11-01 --warmest -18C",
    LOT,
    Word("--from TIME", "when it went in, the meat already at 4 °C or colder", dest="since"),
    Word("--to TIME", "when it came out, or will", dest="until"),
    Word(
        "--warmest TEMP", "warmest reading of the freezer (default: from the readings of its place)"
    ),
    Word("--thickness LENGTH", "thickness at the thickest spot (default: the lot's)"),
    Word(
        "--chilled TEMP",
        "temperature of the meat when the count begins; no day counts if it is unknown or "
        "over 4 °C",
    ),
    Word("--place", "the freezer, if it is a place in curedash"),
    Word("--note", "a note in your own words"),
    JSON_BARE,
    run=run,
)
