"""``curedash divide``: divide a lot; the parts inherit its loss."""

from typing import TypeVar

from curedash.cli.command import AT, JSON, LOT, YES, Chosen, Command, Word, several
from curedash.cli.context import Context
from curedash.domain.errors import UsageError
from curedash.domain.records import LotState
from curedash.services.weighing.divide import Cut, Part, divide

T = TypeVar("T")


def run(chosen: Chosen, context: Context) -> None:
    """Divide a lot; the whole closes, the parts inherit its curve."""
    from curedash.cli.typed import grams
    from curedash.present.drying.lot_phrases import divided_document, divided_lines

    conn, lot = context.open(), context.lot(chosen.lot)
    cut = Cut(
        parts=_parts(chosen, lot),
        at=context.at(chosen.at),
        before_g=None if chosen.before is None else grams(chosen.before, lot),
        reason=chosen.reason,
        keep_doubtful=chosen.yes,
    )
    done = divide(conn, context.by(), lot.id, cut)
    context.refresh(*done.parts)
    context.answer(chosen.json, divided_document(done), divided_lines(done))


def _parts(chosen: Chosen, lot: LotState) -> tuple[Part, ...]:
    from curedash.cli.typed import grams, if_given, tare_g

    number = len(chosen.parts)
    tares = _each(chosen.tare, number, "--tare")
    names = _each(chosen.name, number, "--name")
    counts = _each(chosen.count, number, "--count")
    eaten = set(chosen.eaten or ())
    if not eaten <= set(range(1, number + 1)):
        raise UsageError(f"--eaten takes the number of a part, 1 to {number}.")
    parts = []
    each = zip(chosen.parts, tares, names, counts, strict=True)
    for part, (text, tare, name, count) in enumerate(each, 1):
        tared_g = if_given(tare_g, tare) or 0.0
        parts.append(Part(grams(text, lot), tared_g, chosen.tare_what, name, count, part in eaten))
    return tuple(parts)


def _each(given: list[T] | None, number: int, option: str) -> list[T | None]:
    """One value for all parts, or one for each."""
    if not given:
        return [None] * number
    if len(given) not in (1, number):
        raise UsageError(f"Give {option} once for all parts, or {number} times, once for each.")
    return list(given) if len(given) == number else [given[0]] * number


COMMAND = Command(
    "divide",
    "Divide a lot. The parts inherit its loss; the lot itself closes.",
    "curedash divide D2 400 272 --before 704",
    LOT,
    Word("parts", "what the scale shows for each part, e.g. 400 272", nargs="+"),
    Word(
        "--before", "weight of the whole before (default: as just weighed, or the sum of the parts)"
    ),
    several("--tare", "tare of a part: hook, net or string, e.g. 28g (default: 0)"),
    Word("--tare-what", "what the tare is, e.g. hook and net"),
    several("--name", "what a part is called"),
    several("--count", "how many pieces of a string are in a part", type=int),
    several("--eaten N", "part N was eaten: it closes with its weight", type=int),
    Word("--reason", "why, in a few words", default="divided"),
    AT,
    YES,
    JSON,
    run=run,
)
