"""``curedash forecast``: the pull window of a lot or of a file, and how it was computed."""

from __future__ import annotations

import sys

from curedash.cli.command import Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.cli.dispatch import OK
from curedash.domain.errors import Refused, UsageError
from curedash.domain.quantity_text import grams, phrase

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

    from curedash.domain.drying.forecast import Evidence, Forecast
    from curedash.services.drying.lot_forecast import LotAhead
    from curedash.services.drying.past_windows import Score

Rows = tuple[tuple[float, float], ...]


#: How it hangs: for a lot what would change, for a file what the numbers leave open.
_OF_THE_PIECE = (
    Word("--hold DAYS", "for a lot: how many days on hold from now"),
    Word("--diameter LEN", "for a file: diameter as hung, e.g. 80mm (default: from the weight)"),
    Word("--length LEN", "for a file: length as hung (default: from weight and diameter)"),
    Word("--place", "for a lot: hung in another place from now on"),
    switch("--bag", "for a file: hangs in a vapour-permeable bag"),
    Word("--moisture PCT", "for a file: moisture as hung, in percent (default: 72)"),
    Word("--division G", "for a file: smallest step of the scale in g (default: 1)", type=float),
    Word("--air CSV", "for a file: readings of the place, columns day, temp_c, rh_pct"),
    Word("--history JSON", "for a file: finished pieces of the household, as JSON"),
)


def run(chosen: Chosen, context: Context) -> int:
    """Forecast a lot or a file; what comes out is the window, as text, JSON or a curve."""
    if chosen.past:
        return _past(chosen, context)
    if bool(chosen.file) == bool(chosen.lot):
        raise UsageError(
            "Name a lot, or a file of weigh-ins: curedash forecast D1, or curedash forecast --file"
            " weighs.csv --target 35."
        )
    _require_used(chosen)
    from curedash.present.drying import forecast as words

    if chosen.lot:
        found = _of_lot(chosen, context)
        rows, seen, target = found.points, found.seen, found.target_pct
        document = words.lot_forecast_document(found)
        other = found.present is not None
        lines = words.what_if_lines(found) if other else words.lot_forecast_lines(found)
    else:
        rows, seen, target, moved = file_forecast(chosen)
        document = words.forecast_document(seen, moved)
        lines = words.forecast_lines(seen, target)
    context.answer(chosen.json, document, "\n".join(lines))
    if chosen.plot and not context.plain:
        from curedash.cli.forecast_plot import plot

        plot(rows, seen, target, sys.stderr if chosen.json else sys.stdout)
    return OK


#: options that only a lot takes, and those that only a file does: a lot has its own
_OF_A_LOT = ("hold", "place")
_OF_A_FILE = ("diameter", "length", "bag", "moisture", "division", "air", "history")


def _require_used(chosen: Chosen) -> None:
    """Refuse an option that would change nothing."""
    for name in _OF_A_FILE if chosen.lot else _OF_A_LOT:
        if getattr(chosen, name) not in (None, False):
            raise UsageError(
                f"--{name} is for a file of weigh-ins: a lot has its own."
                if chosen.lot
                else f"--{name} is for a lot: leave out --file and name one."
            )


def _of_lot(chosen: Chosen, context: Context) -> LotAhead:
    """The forecast of a lot as it is, or with another target, on hold or in another place."""
    from curedash.cli.typed import if_given
    from curedash.domain.typed.numbers import days
    from curedash.domain.typed.units import parse_pct
    from curedash.services.drying.lot_forecast import ahead_of, what_if

    if chosen.target is None and chosen.hold is None and chosen.place is None:
        return ahead_of(context.open(), chosen.lot, context.now, with_evidence=chosen.json)
    target_pct, hold_days = if_given(parse_pct, chosen.target), if_given(days, chosen.hold) or 0.0
    how = {"target_pct": target_pct, "hold_days": hold_days, "place": chosen.place}
    return what_if(context.open(), chosen.lot, context.now, **how)


def _past(chosen: Chosen, context: Context) -> int:
    """What windows said before, of one lot or of the household, against what happened."""
    from curedash.present.drying import past_windows as words
    from curedash.services.drying.past_windows import past_windows_of, scores

    conn = context.open()
    if chosen.file:
        raise UsageError("--past reads the household's file; leave out --file.")
    if chosen.lot:
        windows = past_windows_of(conn, context.lot(chosen.lot))
        found: list[Score] = []
    else:
        windows, found = scores(conn)
    lines = "\n".join(words.past_lines(windows, found))
    context.answer(chosen.json, words.past_document(windows, found), lines)
    return OK


def file_forecast(chosen: Chosen) -> tuple[Rows, Forecast, float, Sequence[Evidence]]:
    """Weigh-ins (day, loss %), their forecast, the target, and for JSON what moved the window."""
    from curedash.cli.forecast_files import read_air, read_history, read_table
    from curedash.domain.drying.forecast import Basis, evidence, forecast
    from curedash.domain.typed.units import parse_length_mm, parse_pct

    net = [(day, g) for day, g in read_table(chosen.file, ("day", "net_g"))]
    if not net:
        raise Refused(f"{chosen.file} has no weigh-ins: give at least the hang weight.")
    base_g = net[0][1]
    if not 0.0 < base_g < 1e6:
        said = "The hang weight of {base} makes no sense: give the net weight."
        raise Refused(phrase(said, base=grams(base_g)))
    target = parse_pct(chosen.target or "35")
    of = Basis(
        [(day, g / base_g) for day, g in net],
        target,
        base_g=base_g,
        scale_division_g=1.0 if chosen.division is None else chosen.division,
        diameter_mm=parse_length_mm(chosen.diameter) if chosen.diameter else None,
        length_mm=parse_length_mm(chosen.length) if chosen.length else None,
        in_bag=True if chosen.bag else None,
        moisture_pct=parse_pct(chosen.moisture) if chosen.moisture else None,
        history=read_history(chosen.history) if chosen.history else (),
        air=read_air(chosen.air) if chosen.air else (),
    )
    seen = forecast(of)
    moved = evidence(of) if chosen.json else ()
    return tuple((day, 100.0 * (1.0 - g / base_g)) for day, g in net), seen, target, moved


COMMAND = Command(
    "forecast",
    "The pull window of a piece: 8 in 10 such pieces reach their target within it.",
    "curedash forecast --file weighs.csv --target 35 --diameter 80mm --json",
    Word("lot", "a lot of the household's file", nargs="?"),
    Word("--file CSV", "weigh-ins: columns day, net_g"),
    Word("--target PCT", "loss to pull at (default for a file: 35; for a lot: its own)"),
    *_OF_THE_PIECE,
    switch("--past/--kept", "earlier pull windows, and the day it really reached the target"),
    switch("--json", "one JSON document on stdout"),
    switch("--plot", "draw the curve"),
    run=run,
)
