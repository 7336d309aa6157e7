"""``curedash divide``: divide a lot; the parts inherit its loss."""

import argparse
from typing import TypeVar

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError
from curedash.domain.records import LotState
from curedash.services.weighing.divide import Cut, Part, divide

T = TypeVar("T")


def run(argv: list[str], context: Context) -> int:
    """Divide a lot; the whole closes, the parts inherit its curve."""
    chosen = parser().parse_args(argv)
    from curedash.cli.typed import grams, when
    from curedash.present.drying.lot_phrases import divided_document, divided_lines
    from curedash.services.drying import forecasts
    from curedash.services.find import require_lot

    conn = context.open()
    lot = require_lot(conn, chosen.lot)
    cut = Cut(
        parts=_parts(chosen, lot),
        at=when(context, conn, chosen.at),
        before_g=None if chosen.before is None else grams(chosen.before, lot),
        reason=chosen.reason,
        keep_doubtful=chosen.yes,
    )
    done = divide(conn, context.by(), lot.id, cut)
    for part in done.parts:
        forecasts.refresh(conn, part, context.now)
    if chosen.json:
        context.json(divided_document(done))
    else:
        for line in divided_lines(done):
            context.out(line)
    return 0


def _parts(chosen: argparse.Namespace, lot: LotState) -> tuple[Part, ...]:
    from curedash.cli.typed import grams, tare_g

    number = len(chosen.parts)
    tares = _each(chosen.tare, number, "--tare")
    names = _each(chosen.name, number, "--name")
    counts = _each(chosen.count, number, "--count")
    eaten = set(chosen.eaten or ())
    if not eaten <= set(range(1, number + 1)):
        raise UsageError(f"--eaten takes the number of a part, 1 to {number}.")
    return tuple(
        Part(
            grams(text, lot),
            0.0 if tare is None else tare_g(tare),
            chosen.tare_what,
            name,
            count,
            index + 1 in eaten,
        )
        for index, (text, tare, name, count) in enumerate(
            zip(chosen.parts, tares, names, counts, strict=True)
        )
    )


def _each(given: list[T] | None, number: int, option: str) -> list[T | None]:
    """One value for all parts, or one for each."""
    if not given:
        return [None] * number
    if len(given) not in (1, number):
        raise UsageError(f"Give {option} once for all parts, or {number} times, once for each.")
    return list(given) if len(given) == number else [given[0]] * number


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "divide",
        "Divide a lot. The parts inherit its loss; the lot itself closes.",
        "curedash divide D2 400 272 --before 704",
    )
    parser.add_argument("lot")
    parser.add_argument("parts", nargs="+", help="what the scale shows for each part")
    parser.add_argument(
        "--before",
        help="weight of the whole before (default: as just weighed, or the sum of the parts)",
    )
    parser.add_argument(
        "--tare", action="append", help="tare of a part: hook, net or string (default: 0)"
    )
    parser.add_argument("--tare-what", help="what the tare is, e.g. hook and net")
    parser.add_argument("--name", action="append", help="what a part is called")
    parser.add_argument("--count", action="append", type=int, help="pieces in a part of a string")
    parser.add_argument(
        "--eaten",
        action="append",
        type=int,
        metavar="N",
        help="part N was eaten: it closes with its weight",
    )
    parser.add_argument("--reason", default="divided", help="why, in a few words")
    parser.add_argument("--at", help="when (default: now)")
    parser.add_argument("--yes", action="store_true", help="save it even if it looks doubtful")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")
    return parser
