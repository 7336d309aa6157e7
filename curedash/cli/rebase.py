"""``curedash rebase``: a weight that changed without drying."""

from curedash.cli.command import AT, JSON, LOT, YES, Chosen, Command, Either, Word, switch
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Record meat taken off, or something else put on or taken off; the loss stays the same."""
    from curedash.cli.typed import grams
    from curedash.present.drying.lot_phrases import rebased_document, rebased_line
    from curedash.services.weighing.rebase import Rebasing, rebase

    conn, by, lot = context.open(), context.by(), context.lot(chosen.lot)
    what = Rebasing(
        reason=chosen.reason,
        after_g=grams(chosen.after, lot),
        at=context.at(chosen.at),
        before_g=None if chosen.before is None else grams(chosen.before, lot),
        kind="removed" if chosen.meat else "tare" if chosen.not_meat else None,
        tare_what=chosen.tare_what,
        count=chosen.count,
        keep_doubtful=chosen.yes,
    )
    done = rebase(conn, by, lot.id, what)
    context.refresh(done.lot)
    context.answer(chosen.json, rebased_document(done), rebased_line(done))


COMMAND = Command(
    "rebase",
    "Record a weight change that is not drying. Meat taken off changes the"
    " base, everything else the tare.",
    "curedash rebase D1 'end tasted' --before 762 --after 740",
    LOT,
    Word("reason", "what changed: end tasted, trimmed, casing off, larded, re-bagged …"),
    Word("--before", "what the scale showed before (default: the weigh-in just taken)"),
    Word("--after", "what the scale shows now, e.g. 740", required=True),
    Either(
        switch("--meat", "meat was taken off; needed if the reason does not show it"),
        switch("--not-meat", "it was not meat; needed if the reason does not show it"),
    ),
    Word("--tare-what", "what is on it now, e.g. net and lard"),
    Word("--count", "how many pieces are left on a string weighed as one", type=int),
    AT,
    YES,
    JSON,
    run=run,
)
