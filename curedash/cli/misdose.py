"""``curedash misdose``: what really went into a lot, kept on it."""

from curedash.cli.command import AT, JSON_BARE, LOT, WENT_IN, Chosen, Command, Word, switch
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Keep what went in as an event of the lot, and show the bench; or only show it."""
    from curedash.cli.dose import given_from_flag
    from curedash.domain.dosing import resolve_curing_salt
    from curedash.domain.typed.weights import parse_weight_g
    from curedash.present.dosing import dose_sheet as words
    from curedash.services.dosing import jars
    from curedash.services.dosing.misdose import KeptMisDose, WentIn, bench_of, keep_misdose

    conn, lot = context.open(), context.lot(chosen.lot)
    salt, lost = chosen.given_salt, chosen.lost_liquid
    went_in = WentIn(
        dict(given_from_flag(text) for text in chosen.given or ()),
        None if salt is None else resolve_curing_salt(salt, jars.shelf(conn)),
        0.0 if lost is None else parse_weight_g(lost, allow_zero=True, marks_are_decimal=True),
    )
    if chosen.look:
        bench, dose = bench_of(conn, lot, went_in, context.now)
        kept = KeptMisDose(lot, bench, dose)
    else:
        at = context.at(chosen.at)
        kept = keep_misdose(conn, context.by(), lot.id, went_in, at, note=chosen.note)
    saved = not chosen.look
    document = words.misdose_document(kept) | {"saved": saved}
    context.answer(chosen.json, document, words.misdose_lines(kept, saved=saved))


COMMAND = Command(
    "misdose",
    "Record what really went into a lot; its figures are recomputed.",
    "curedash misdose G1 --given curing-salt=7g",
    LOT,
    *WENT_IN,
    Word("--note", "a note on how it happened"),
    AT,
    switch("--look", "only show the result; save nothing"),
    JSON_BARE,
    run=run,
)
