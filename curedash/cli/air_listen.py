"""``curedash air listen``: readings from an MQTT broker, for as long as it runs."""

from curedash.cli.command import Chosen, Command, Word, several, switch
from curedash.cli.context import Context
from curedash.cli.field_flags import FIELDS, fields_of
from curedash.domain.errors import UsageError
from curedash.store.work import By

PORT, TLS_PORT = 1883, 8883


def listen(chosen: Chosen, context: Context) -> None:
    """Listen until stopped; what arrives is stored before it is acknowledged."""
    from curedash.feeds.listening import Lock, listen_until_stopped, make_listener
    from curedash.feeds.plan import save

    conn = context.open()
    plan = _plan(chosen, context)

    def by() -> By:
        made = context.by_now()
        return By(made.now, made.actor, "broker", made.session)

    listener = make_listener(conn, by, plan, context.db_path, context.clock, context.err)
    lock = Lock(context.db_path)
    lock.take()
    if chosen.save:
        save(conn, context.by(), plan)
        context.err("Saved: 'curedash air listen' and the dashboard use it from now on.")
    try:
        counted = listen_until_stopped(listener)
    finally:
        lock.release()
    context.err(f"{counted.stored} readings saved, {counted.unreadable} unreadable.")


LISTEN = Command(
    "air listen",
    "Save readings from an MQTT broker; it reconnects by itself.",
    "curedash air listen --broker 192.0.2.7 --map 'home/fridge2=Landing fridge'",
    Word("--broker HOST", "name or address of the broker (default: the one saved with --save)"),
    Word("--port", f"port of the broker (default: {PORT}, with --tls {TLS_PORT})", type=int),
    Word("--user", "user name for the broker"),
    Word("--password-file FILE", "a file with the password in its first line"),
    switch("--tls", "encrypt the connection"),
    Word("--ca-file FILE", "the certificate of the CA that signed the broker's certificate"),
    several(
        "--map TOPIC=PLACE",
        "a topic and its place; repeatable; + and # are the wildcards of MQTT",
        default=[],
    ),
    several(
        "--map-rh TOPIC=PLACE",
        "a topic that sends humidity as plain numbers, and its place; repeatable",
        default=[],
    ),
    *FIELDS,
    switch("--confirm", "allow this machine to use the broker saved in the file"),
    switch("--save", "save the broker in the file"),
    run=listen,
)


def _plan(chosen: Chosen, context: Context) -> "Plan":
    """What was given, else what is kept in the file."""
    from curedash.feeds.plan import Plan, confirm_saved, mapped, named, saved

    if chosen.broker is None:
        if chosen.confirm and named(context.open()) is not None:
            confirm_saved(context.open())
        kept = saved(context.open())
        if kept is None:
            raise UsageError(
                "Name the broker: --broker HOST --map TOPIC=PLACE. Add --save to save it."
            )
        return kept
    maps = [mapped(text) for text in chosen.map] + [mapped(text, "rh") for text in chosen.map_rh]
    if not maps:
        raise UsageError("Say which place a topic belongs to: --map TOPIC=PLACE.")
    port = chosen.port if chosen.port is not None else TLS_PORT if chosen.tls else PORT
    if not 0 < port < 65_536:
        raise UsageError("--port is a number from 1 to 65535.")
    fields = fields_of(chosen)
    return Plan(
        chosen.broker,
        maps,
        port,
        chosen.user,
        chosen.password_file,
        chosen.tls,
        chosen.ca_file,
        fields.unit,
        fields.temp,
        fields.rh,
        fields.time,
    )


TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.feeds.plan import Plan
