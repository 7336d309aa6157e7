"""``curedash stage``: move a lot to another stage."""

from __future__ import annotations

from curedash.cli.command import AT, JSON_LOT, YES, Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.domain.wording import listed

TYPE_CHECKING = False
if TYPE_CHECKING:
    from datetime import datetime, tzinfo

    from curedash.domain.records import LotState
    from curedash.services.curing.change_stage import Move
    from curedash.store.watching import Connection


def run(chosen: Chosen, context: Context) -> None:
    """Move lots; a move that needs a note or a weight says so and stores nothing."""
    from curedash.cli.typed import print_lots
    from curedash.services.curing.change_stage import change_stage, change_together
    from curedash.services.needs.cautions import moments_of_stage

    conn = context.open()
    lots = _lots(conn, chosen.lots)
    move = _move(chosen, lots, context.now, context.zone)
    if len(lots) > 1:
        done = change_together(conn, context.by(), [lot.id for lot in lots], move)
    else:
        done = (change_stage(conn, context.by(), lots[0].id, move),)
    context.refresh(*(moved.lot for moved in done))
    for moved in done:
        context.about(moved.lot.code, *moved.messages)
    context.caution(*moments_of_stage(move.stage, lots[0].method), batch_id=lots[0].batch_id)
    moved_lots = [moved.lot for moved in done]
    print_lots(context, conn, moved_lots, as_json=chosen.json, alone=len(lots) == 1)


def _move(chosen: Chosen, lots: list[LotState], now: datetime, zone: tzinfo) -> Move:
    """The move that was typed, read."""
    from curedash.cli.typed import tare_g
    from curedash.domain.curing.stages import parse_stage
    from curedash.domain.typed.dates import parse_until, parse_when
    from curedash.domain.typed.weights import parse_weight_g
    from curedash.services.curing.change_stage import Move

    if len(lots) > 1:
        _require_no_weight(chosen, [lot.code for lot in lots])
    last_g = lots[0].last_gross_g or lots[0].green_g
    return Move(
        stage=parse_stage(chosen.stage),
        at=now if chosen.at is None else parse_when(chosen.at, now, zone),
        weight_g=None if chosen.weight is None else parse_weight_g(chosen.weight, last_g=last_g),
        tare_g=None if chosen.tare is None else tare_g(chosen.tare),
        tare_what=chosen.tare_what,
        plus_minus_g=None if chosen.plus_minus is None else parse_weight_g(chosen.plus_minus),
        place=chosen.place,
        place_by="--place",
        note=chosen.note,
        until=None if chosen.until is None else parse_until(chosen.until, now, zone),
        keep_doubtful=chosen.yes,
        unweighed=chosen.not_weighed,
    )


def _lots(conn: Connection, names: list[str]) -> list[LotState]:
    """The lots named; a batch stands for its open lots, which must be in one stage."""
    from curedash.domain.curing.stages import OPEN, word
    from curedash.domain.errors import Refused
    from curedash.services.find import lots_named
    from curedash.store import batches

    found = {lot.id: lot for lot in lots_named(conn, names)}
    for name in names:
        batch = batches.by_code(conn, name.strip().upper())
        if batch is None:
            continue
        members = [lot for lot in found.values() if lot.batch_id == batch.id]
        still = [lot for lot in members if lot.stage in OPEN]
        stages = list(dict.fromkeys(word(lot.stage) for lot in still))
        if len(stages) > 1:
            raise Refused(
                f"Batch {batch.code} has lots {listed(stages)}; name the lots instead,"
                f" for example {still[0].code} {still[-1].code}."
            )
        if not still:
            raise Refused(f"No lot of batch {batch.code} is open any more.")
        found = {i: lot for i, lot in found.items() if lot not in members or lot in still}
    return list(found.values())


def _require_no_weight(chosen: Chosen, codes: list[str]) -> None:
    """A weight and a tare are of one lot."""
    from curedash.domain.errors import Refused

    if chosen.weight is not None or chosen.tare is not None or chosen.plus_minus is not None:
        raise Refused(
            f"A weight is for one lot, and these are {len(codes)}: move them one by one,"
            f" {codes[0]} first."
        )


COMMAND = Command(
    "stage",
    "Move a lot to another stage. Several lots can move at once where nothing is weighed: "
    "curedash stage D1 D2 equalising.",
    "curedash stage G1 drying --weight '1080 g' --tare 28g",
    Word("lots lot", "lots, or a batch for all its lots", nargs="+"),
    Word(
        "stage",
        "the next stage: in-cure, salt-rest, ferment, drying, equalising, keeping, "
        "closed, on-hold or discarded",
    ),
    AT,
    Word("--weight", "what the scale shows, e.g. '1108 g'"),
    Word("--tare", "tare (hook, net, string), e.g. 28g (default: as last, or 0 when first hung)"),
    Word("--tare-what", "what the tare is, e.g. hook and net"),
    switch("--not-weighed", "it was not weighed: hang it without a hang weight"),
    Word("--plus-minus", "the weight is an estimate, plus or minus this, e.g. 60g"),
    Word("--place", "the place it goes to (default for hanging: where such lots usually hang)"),
    Word("--until", "planned end of a rest or of equalising, e.g. '9 Dec'"),
    Word("--note", "the reason, if you are asked for one"),
    YES,
    JSON_LOT,
    run=run,
)
