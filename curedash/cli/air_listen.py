"""``curedash air listen``: readings from an MQTT broker, for as long as it runs."""

import argparse

from curedash.cli.context import Context
from curedash.cli.field_flags import add_field_flags, fields_of
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError

PORT, TLS_PORT = 1883, 8883


def listen(argv: list[str], context: Context) -> int:
    """Listen until stopped; what arrives is stored before it is acknowledged."""
    chosen = parser().parse_args(argv)
    from curedash.feeds.listening import Lock, listen_until_stopped, make_listener
    from curedash.feeds.plan import save
    from curedash.store.work import By

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
    context.err(f"{counted.stored} readings stored, {counted.unreadable} unreadable.")
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "air listen",
        "Store readings from an MQTT broker; it reconnects by itself.",
        "curedash air listen --broker 192.0.2.7 --map 'home/fridge2=Landing fridge'",
    )
    parser.add_argument(
        "--broker", metavar="HOST", help="the broker (default: the one saved with --save)"
    )
    parser.add_argument("--port", type=int, help=f"{PORT}, or {TLS_PORT} with --tls")
    parser.add_argument("--user")
    parser.add_argument(
        "--password-file", metavar="FILE", help="a file with the password in its first line"
    )
    parser.add_argument("--tls", action="store_true")
    parser.add_argument(
        "--ca-file", metavar="FILE", help="the CA certificate behind the broker's own"
    )
    parser.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="TOPIC=PLACE",
        help="repeatable; + and # mean what they do in MQTT",
    )
    parser.add_argument(
        "--map-rh",
        action="append",
        default=[],
        metavar="TOPIC=PLACE",
        help="a topic that sends humidity as plain numbers",
    )
    add_field_flags(parser)
    parser.add_argument(
        "--confirm",
        action="store_true",
        help="allow this machine to use the broker saved in the file",
    )
    parser.add_argument("--save", action="store_true", help="save the broker in the file")
    return parser


def _plan(chosen: argparse.Namespace, context: Context) -> "Plan":
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
