"""``curedash stage``: move a lot to another stage."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """Move a lot; a move that needs a note or a weight says so and stores nothing."""
    chosen = _parser().parse_args(argv)
    from curedash.domain.stages import parse_stage
    from curedash.domain.typed_dates import parse_until, parse_when
    from curedash.domain.units import parse_weight_g
    from curedash.services import forecasts, household
    from curedash.services.cautions import moments_of_stage, say_once
    from curedash.services.change_stage import Move, change_stage
    from curedash.services.find import require_lot

    conn, now = context.open(), context.now
    lot = require_lot(conn, chosen.lot)
    zone = household.zone(conn)
    last_g = lot.last_gross_g or lot.green_g
    move = Move(
        stage=parse_stage(chosen.stage),
        at=now if chosen.at is None else parse_when(chosen.at, now, zone),
        weight_g=None if chosen.weight is None else parse_weight_g(chosen.weight, last_g=last_g),
        tare_g=None if chosen.tare is None else _tare_g(chosen.tare),
        tare_what=chosen.tare_what,
        plus_minus_g=None if chosen.plus_minus is None else parse_weight_g(chosen.plus_minus),
        place=chosen.place,
        note=chosen.note,
        until=None if chosen.until is None else parse_until(chosen.until, now, zone),
        keep_doubtful=chosen.yes,
    )
    moved = change_stage(conn, context.by(), lot.id, move)
    forecasts.refresh(conn, moved.lot, now)
    for message in moved.messages:
        context.about(lot.code, message)
    for sentence in say_once(conn, context.by(), *moments_of_stage(move.stage, lot.method)):
        context.err(sentence)
    if chosen.json:
        from curedash.present.documents import lot_document
        from curedash.services.check import needs_of_lot
        from curedash.services.rack import ferment, row_of

        needs = needs_of_lot(conn, moved.lot, now, zone)
        going = ferment(conn, moved.lot, now)
        context.json(lot_document(row_of(moved.lot, needs, now, zone, "hang", going)))
    else:
        from curedash.present.lines import moved_line

        context.out(moved_line(moved.lot, zone))
    return 0


def _tare_g(text: str) -> float:
    """A tare, which unlike a piece may weigh nothing."""
    from curedash.domain.units import parse_weight_g

    return 0.0 if text.strip() in ("0", "0g", "0 g") else parse_weight_g(text)


def _parser() -> Parser:
    parser = Parser("stage", "Move a lot to another stage.",
                    "curedash stage A1 drying --weight '1080 g' --tare 28g")  # fmt: skip
    parser.add_argument("lot")
    parser.add_argument("stage", help="in-cure, salt-rest, ferment, drying, equalising, keeping,"
                        " closed, on-hold or discarded")  # fmt: skip
    parser.add_argument("--at", help="when; else now")
    parser.add_argument("--weight", help="what the scale shows")
    parser.add_argument("--tare", help="what is on the scale that is not meat; else 0, and said")
    parser.add_argument("--tare-what", help="what that is, e.g. hook and net")
    parser.add_argument("--plus-minus", help="the weight is an estimate, give or take this")
    parser.add_argument("--place", help="where it goes")
    parser.add_argument("--until", help="planned end of a rest or of equalising")
    parser.add_argument("--note", help="why, where the move asks for a reason")
    parser.add_argument("--yes", action="store_true", help="keep it in spite of a question")
    parser.add_argument("--json", action="store_true", help="the lot as 'lots --json' lists it")
    return parser
