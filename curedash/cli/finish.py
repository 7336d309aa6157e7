"""``curedash finish``: the end of a lot, its packs, and how it was liked."""

from functools import partial

from curedash.cli.command import AT, JSON, LOT, YES, Chosen, Command, Word, several
from curedash.cli.context import Context
from curedash.cli.typed import grams, if_given, tare_g
from curedash.domain.typed.units import parse_pct
from curedash.domain.typed.weights import parse_weight_g
from curedash.services.drying.finish import Finishing, finish
from curedash.services.household.packs import NewPack, names_for


def run(chosen: Chosen, context: Context) -> None:
    """Close a lot with its final weight; on a finished one put right what is given."""
    from curedash.present.drying.lot_phrases import finish_document, finished_line

    conn, lot = context.open(), context.lot(chosen.lot)
    what = Finishing(
        at=context.at(chosen.at),
        weight_g=if_given(grams, chosen.weight, lot),
        tare_g=if_given(tare_g, chosen.tare),
        cut_face=chosen.cut_face,
        liked=chosen.liked,
        liked_at_pct=if_given(partial(parse_pct, hi_pct=89.9), chosen.liked_at),
        note=chosen.note,
        packs=_packs(chosen, context),
        keep_doubtful=chosen.yes,
    )
    done = finish(conn, context.by(), lot.id, what)
    context.about(lot.code, *done.messages)
    given = any(pack.given_to for pack in done.packs)
    context.caution("slicing", *["sharing"] * given, batch_id=lot.batch_id)
    document = finish_document(done.lot.code, done.finish, done.packs) | {"saved": True}
    context.answer(chosen.json, document, finished_line(done))


def _packs(chosen: Chosen, context: Context) -> tuple[NewPack, ...]:
    from curedash.domain.typed.dates import parse_day

    at = context.at(chosen.at)
    until = if_given(parse_day, chosen.keep_until, context.now, context.zone)
    weights = [parse_weight_g(text) for text in chosen.pack or ()]
    names = names_for(chosen.given_to, len(weights))
    pairs = zip(weights, names, strict=True)
    return tuple(NewPack(weight_g, at, until, whom) for weight_g, whom in pairs)


COMMAND = Command(
    "finish",
    "Finish a lot with its final weight. On a finished lot, the values you give replace the "
    "old ones.",
    "curedash finish D2 704 --cut-face even --liked 4",
    LOT,
    Word("weight", "what the scale shows, e.g. 704 (default: the last weigh-in)", nargs="?"),
    Word("--tare", "tare (hook, net, string), e.g. 28g"),
    Word(
        "--cut-face",
        "cut face: even, grey rim, case hardening, soft middle or raw middle; or two of "
        "them, like ‘case hardening, soft middle’",
    ),
    Word("--liked", "how you liked it, 1 (not at all) to 5 (very well)", type=int),
    Word("--liked-at", "the loss at which it tasted best, e.g. 38%% (default: the final loss)"),
    Word("--note", "a note for next time"),
    several("--pack", "net weight of a pack, e.g. 180g; once per pack"),
    Word("--keep-until", "day to keep the packs until (default: by your rule, if you have one)"),
    Word(
        "--given-to", "who gets the packs; one name for all, or one per pack, separated by commas"
    ),
    AT,
    YES,
    JSON,
    run=run,
)
