"""``curedash correct``: put a weigh-in, the start weight, the green weight or the tare right."""

from curedash.cli.command import JSON_LOT, LOT, YES, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.domain.errors import NotFound, UsageError
from curedash.domain.records import LotState
from curedash.store.watching import Connection
from curedash.store.work import By


def run(chosen: Chosen, context: Context) -> None:
    """Put one thing right; every figure that rests on it follows."""
    given = (chosen.weight, chosen.start, chosen.green, chosen.tare)
    if sum(value is not None for value in given) != 1:
        raise UsageError("Say what to correct: give a weight, --start, --green or --tare.")
    from curedash.cli.typed import print_lot

    conn, by, lot = context.open(), context.by(), context.lot(chosen.lot)
    after = _corrected(conn, context, by, chosen, lot)
    context.refresh(after)
    print_lot(context, conn, after, as_json=chosen.json)


def _corrected(
    conn: Connection, context: Context, by: By, chosen: Chosen, lot: LotState
) -> LotState:
    from curedash.cli.typed import grams, tare_g
    from curedash.domain.typed.weights import parse_weight_g
    from curedash.services.weighing import correct

    if chosen.start is not None:
        pm_g = None if chosen.plus_minus is None else parse_weight_g(chosen.plus_minus)
        start_g = parse_weight_g(chosen.start, last_g=lot.hang_g)
        return correct.correct_start(
            conn, by, lot.id, start_g, plus_minus_g=pm_g, keep_doubtful=chosen.yes
        )
    if chosen.green is not None:
        green_g = parse_weight_g(chosen.green, last_g=lot.green_g)
        return correct.correct_green(conn, by, lot.id, green_g, keep_doubtful=chosen.yes)
    if chosen.tare is not None:
        tare = tare_g(chosen.tare)
        return correct.put_tare_right(conn, by, lot.id, tare, what=chosen.tare_what)
    row = correct.weigh_in_of(conn, lot, chosen.weigh_in)
    if row is None:
        raise NotFound(f"{lot.code} has no such weigh-in.")
    right = correct.Right(
        grams(chosen.weight, lot),
        at=None if chosen.at is None else context.at(chosen.at),
        note=chosen.note,
        keep_doubtful=chosen.yes,
    )
    return correct.correct_weigh_in(conn, by, row.id, right)


COMMAND = Command(
    "correct",
    "Correct a weigh-in, the hang weight, the green weight or the tare.",
    "curedash correct D1 781",
    LOT,
    Word(
        "weight",
        "what the scale really showed, e.g. 781 (default: at the newest weigh-in)",
        nargs="?",
    ),
    Word("--weigh-in", "number of the weigh-in, if it is not the newest", type=int),
    Word("--start", "the hang weight, as the scale showed it, e.g. 1137g"),
    Word("--plus-minus", "the hang weight is an estimate, plus or minus this, e.g. 60g"),
    Word("--green", "the green weight, e.g. 1134g"),
    Word("--tare", "the tare since it last changed, e.g. 34g; weigh-ins since then are recomputed"),
    Word("--tare-what", "what the tare is, e.g. hook and net"),
    Word("--at", "when it was really weighed"),
    Word("--note", "a note on the correction"),
    YES,
    JSON_LOT,
    run=run,
)
