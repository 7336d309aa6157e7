"""``curedash ph``: log a pH, or show the ferment of a lot."""

from curedash.cli.command import JSON_BARE, LOT, YES, Chosen, Command, Word
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Keep a pH, or show the pH log and the degree-hours of a lot."""
    from curedash.domain.typed.instruments import parse_ph
    from curedash.present.curing.ferment import ferment_document, ferment_words, ph_line
    from curedash.services.curing.ferment import ferment_of, ph_log
    from curedash.services.curing.log_ph import log_ph

    conn, now = context.open(), context.now
    lot, zone = context.lot(chosen.lot), context.zone
    if chosen.ph is not None:
        at = context.at(chosen.at)
        ph, more = parse_ph(chosen.ph), {"note": chosen.note, "keep_doubtful": chosen.yes}
        log_ph(conn, context.by(), lot.id, ph, at, **more)
        context.caution("ph", batch_id=lot.batch_id)
    state, log = ferment_of(conn, lot, now), ph_log(conn, lot)
    lines = [ph_line(event, zone) for event, _ in log]
    if state is not None:
        lines.append(f"{lot.code}: {ferment_words(state)}")
    ferment = None if state is None else ferment_document(state)
    measured = [{"at": event.at, "ph": ph} for event, ph in log]
    document = {"lot": lot.code, "log": measured, "ferment": ferment}
    context.answer(chosen.json, document, lines or f"{lot.code}: no pH yet")


COMMAND = Command(
    "ph",
    "Log a pH. Without a value, show the pH log and the degree-hours.",
    "curedash ph J1 5.2",
    LOT,
    Word("ph", "the pH you measured, e.g. 5.2", nargs="?"),
    Word("--at", "when it was measured (default: now)"),
    Word("--note", "a note: meter or strip, and where you measured"),
    YES,
    JSON_BARE,
    run=run,
)
