"""``curedash hold``: stop the clock of a lot, vacuum-packed and cold, or go on."""

from curedash.cli.command import AT, JSON_LOT, LOT, YES, Chosen, Command, Word, switch
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Put a lot on hold, or with --end take it where it was before."""
    from curedash.cli.typed import grams, if_given, print_lot, tare_g
    from curedash.services.curing.change_stage import Move
    from curedash.services.curing.hold import hold, resume
    from curedash.services.needs.cautions import moments_of_stage

    conn, lot = context.open(), context.lot(chosen.lot)
    how = Move(
        stage="on-hold",
        at=context.at(chosen.at),
        weight_g=if_given(grams, chosen.weight, lot),
        tare_g=if_given(tare_g, chosen.tare),
        place=chosen.place,
        note=chosen.note,
        keep_doubtful=chosen.yes,
    )
    moved = (resume if chosen.end else hold)(conn, context.by(), lot.id, how)
    context.refresh(moved.lot)
    context.about(lot.code, *moved.messages)
    moments = moments_of_stage(moved.lot.stage, moved.lot.method)
    context.caution(*moments, batch_id=lot.batch_id)
    print_lot(context, conn, moved.lot, as_json=chosen.json)


COMMAND = Command(
    "hold",
    "Pause the drying of a lot, vacuum-packed and cold; --end resumes it.",
    "curedash hold F1 --weight 1125 --place 'Pantry fridge'",
    LOT,
    switch("--end", "resume in the stage before the hold"),
    Word(
        "--weight",
        "what the scale shows, e.g. 1125; compared later to find out whether the bag leaked",
    ),
    Word("--tare", "tare (hook, net, string), e.g. 28g"),
    Word("--place", "the place it goes to"),
    Word("--note", "why, in a few words"),
    AT,
    YES,
    JSON_LOT,
    run=run,
)
