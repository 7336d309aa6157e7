"""``curedash look``: what was felt, smelled or seen on a lot."""

import argparse

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.cli.photo_flags import add_photo_flags, taken
from curedash.domain.errors import UsageError
from curedash.domain.records import LotState
from curedash.store.watching import Connection


def run(argv: list[str], context: Context) -> int:
    """Keep the three answers at target, a mould entry, the bag's contact or a decision."""
    chosen = parser().parse_args(argv)
    felt = (chosen.rim, chosen.firmness, chosen.smell)
    others = (chosen.mould, chosen.bag, chosen.smoked, chosen.decide)
    ways = (any(felt), *map(bool, others))
    if sum(ways) != 1 or (any(felt) and not all(felt)):
        raise UsageError(
            "Give --rim, --firmness and --smell together, or one of --mould, --bag, --smoked or"
            " --decide."
        )
    from curedash.services.find import require_lot

    conn = context.open()
    lot = require_lot(conn, chosen.lot)
    lines, document = _keep(conn, context, chosen, lot)
    if chosen.json:
        context.json(document)
    else:
        for line in lines:
            context.out(line)
    return 0


def _keep(
    conn: Connection, context: Context, chosen: argparse.Namespace, lot: LotState
) -> tuple[list[str], dict[str, object]]:
    from curedash.cli.typed import when
    from curedash.present.drying import lot_phrases
    from curedash.services.drying import observe
    from curedash.services.needs.cautions import cautions_once

    at, by, photo = when(context, conn, chosen.at), context.by(), taken(conn, chosen)
    if chosen.rim:
        felt = observe.felt_from(chosen.rim, chosen.firmness, chosen.smell)
        answered = observe.answer(conn, by, lot.id, felt, at, goes_on=chosen.goes_on, photo=photo)
        return lot_phrases.answered_lines(answered), lot_phrases.answered_document(answered)
    if chosen.mould:
        mould = observe.mould_from(*chosen.mould)
        logged = observe.log_mould(conn, by, lot.id, mould, at, photo=photo)
        for sentence in cautions_once(conn, by, mould.caution, batch_id=lot.batch_id):
            context.err(sentence)
        return [lot_phrases.mould_line(logged)], lot_phrases.mould_document(logged)
    if chosen.smoked:
        observe.smoked(conn, by, lot.id, chosen.smoked, at, photo=photo)
    elif chosen.bag:
        observe.bag_contact(conn, by, lot.id, chosen.bag, at, photo=photo)
    else:
        observe.decide(conn, by, lot.id, chosen.decide, at, photo=photo)
    return [f"noted on {lot.code}"], {"lot": lot.code, "saved": True}


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "look",
        "Record what you felt, smelled or saw on a lot.",
        "curedash look D2 --rim slight --firmness springy --smell clean",
    )
    parser.add_argument("lot")
    parser.add_argument("--rim", help="none, slight or hard")
    parser.add_argument("--firmness", help="soft, springy or firm")
    parser.add_argument("--smell", help="clean, sour, ammonia or rotten")
    parser.add_argument("--goes-on", action="store_true", help="it goes on drying")
    parser.add_argument(
        "--mould",
        nargs=4,
        metavar=("COLOUR", "TEXTURE", "SPREAD", "ACTION"),
        help="e.g. white powdery spots brushed",
    )
    parser.add_argument("--bag", help="how the bag lies on the meat: good, partly or lost")
    parser.add_argument("--smoked", metavar="HOW", help="it was smoked, e.g. '6 h beech, 18 C'")
    parser.add_argument(
        "--decide",
        help="what you decided: after black or slimy growth, a bad smell, or another alarm",
    )
    parser.add_argument("--at", help="when (default: now)")
    add_photo_flags(parser)
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")
    return parser
