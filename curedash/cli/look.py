"""``curedash look``: what was felt, smelled or seen on a lot."""

from curedash.cli.command import AT, JSON, LOT, Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.cli.photo_flags import PHOTO, taken
from curedash.domain.errors import UsageError
from curedash.domain.records import LotState
from curedash.store.watching import Connection


def run(chosen: Chosen, context: Context) -> None:
    """Keep the three answers at target, a mould entry, the bag's contact or a decision."""
    felt = (chosen.rim, chosen.firmness, chosen.smell)
    others = (chosen.mould, chosen.bag, chosen.smoked, chosen.decide)
    ways = (any(felt), *map(bool, others))
    if sum(ways) != 1 or (any(felt) and not all(felt)):
        raise UsageError(
            "Give --rim, --firmness and --smell together, or one of --mould, --bag, --smoked or"
            " --decide."
        )
    conn, lot = context.open(), context.lot(chosen.lot)
    lines, document = _keep(conn, context, chosen, lot)
    context.answer(chosen.json, document, lines)


def _keep(
    conn: Connection, context: Context, chosen: Chosen, lot: LotState
) -> tuple[list[str], dict[str, object]]:
    from curedash.present.drying import lot_phrases
    from curedash.services.drying import observe

    at, by, photo = context.at(chosen.at), context.by(), taken(conn, chosen)
    if chosen.rim:
        felt = observe.felt_from(chosen.rim, chosen.firmness, chosen.smell)
        answered = observe.answer(conn, by, lot.id, felt, at, goes_on=chosen.goes_on, photo=photo)
        return lot_phrases.answered_lines(answered), lot_phrases.answered_document(answered)
    if chosen.mould:
        mould = observe.mould_from(*chosen.mould)
        logged = observe.log_mould(conn, by, lot.id, mould, at, photo=photo)
        context.caution(mould.caution, batch_id=lot.batch_id)
        return [lot_phrases.mould_line(logged)], lot_phrases.mould_document(logged)
    if chosen.smoked:
        observe.smoked(conn, by, lot.id, chosen.smoked, at, photo=photo)
    elif chosen.bag:
        observe.bag_contact(conn, by, lot.id, chosen.bag, at, photo=photo)
    else:
        observe.decide(conn, by, lot.id, chosen.decide, at, photo=photo)
    return [f"saved for {lot.code}"], {"lot": lot.code, "saved": True}


COMMAND = Command(
    "look",
    "Record what you felt, smelled or saw on a lot.",
    "curedash look D2 --rim slight --firmness springy --smell clean",
    LOT,
    Word("--rim", "how hard the rim is: none, slight or hard"),
    Word("--firmness", "how it feels when pressed: soft, springy or firm"),
    Word("--smell", "how it smells: clean, sour, ammonia or rotten"),
    switch("--goes-on", "the lot goes on drying after the look"),
    Word(
        "--mould",
        "mould: e.g. white powdery spots brushed",
        nargs=4,
        metavar=("COLOUR", "TEXTURE", "SPREAD", "ACTION"),
    ),
    Word("--bag", "how the bag lies on the meat: good, partly or lost"),
    Word("--smoked HOW", "it was smoked, e.g. '6 h beech, 18 C'"),
    Word(
        "--decide", "what you decided: after black or slimy growth, a bad smell, or another alert"
    ),
    AT,
    *PHOTO,
    JSON,
    run=run,
)
