"""``curedash opened``: a lot was cut open."""

from curedash.cli.command import AT, JSON, LOT, YES, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.cli.photo_flags import PHOTO, taken


def run(chosen: Chosen, context: Context) -> None:
    """Record the cut face and take the lot on; its siblings hear of it."""
    from curedash.cli.typed import grams
    from curedash.present.drying.lot_phrases import opened_document, opened_lines
    from curedash.services.drying.opened import Opening, opened

    conn, by, lot = context.open(), context.by(), context.lot(chosen.lot)
    what = Opening(
        cut_face=chosen.face,
        next=chosen.next,
        at=context.at(chosen.at),
        before_g=None if chosen.before is None else grams(chosen.before, lot),
        after_g=None if chosen.after is None else grams(chosen.after, lot),
        place=chosen.place,
        note=chosen.note,
        liked=chosen.liked,
        keep_doubtful=chosen.yes,
        photo=taken(conn, chosen),
    )
    done = opened(conn, by, lot.id, what)
    context.refresh(done.lot)
    context.about(lot.code, *done.messages)
    context.answer(chosen.json, opened_document(done), opened_lines(done))


COMMAND = Command(
    "opened",
    "Record that a lot was cut open, at any loss.",
    "curedash opened D2 'raw middle' back --before 704 --after 690",
    LOT,
    Word(
        "face",
        "the cut face: even, grey rim, case hardening, soft middle, raw middle or smells "
        "off; or two, like ‘case hardening, soft middle’",
    ),
    Word("next", "what happens next: back-to-drying, equalise, eat, put-aside or throw-away"),
    Word("--before", "what the scale showed before the cut"),
    Word("--after", "what the scale shows now, if some was eaten"),
    Word("--place", "the place it goes to"),
    Word("--note", "what you found, in your own words"),
    Word("--liked", "how you liked it, 1 to 5, if it is eaten", type=int),
    AT,
    *PHOTO,
    YES,
    JSON,
    run=run,
)
