"""``curedash sensor``: what measures a place by itself, its offsets, its salt test."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError
from curedash.domain.wording import listed


def run(argv: list[str], context: Context) -> int:
    """Add, list, correct, test or retire sensors."""
    words = {
        "add": _add,
        "list": _list,
        "offset": _offset,
        "salt-test": _salt_test,
        "retire": _retire,
    }
    if not argv or argv[0] not in words:
        raise UsageError(f"Say 'curedash sensor' and then {listed(words, 'or')}.")
    return words[argv[0]](argv[1:], context)


def _named(parser: Parser) -> Parser:
    parser.add_argument("place")
    parser.add_argument("sensor", help="its name, e.g. 'top shelf' or the topic it sends to")
    return parser


def _add(argv: list[str], context: Context) -> int:
    chosen = _add_parser().parse_args(argv)
    from curedash.services.places import places, sensors

    conn = context.open()
    place = places.require_place(conn, chosen.place)
    sensor = sensors.ensure_sensor(conn, context.by(), place, chosen.sensor)
    context.out(f"{place.name}: sensor {sensor.name} in use")
    return 0


def _add_parser() -> Parser:
    return _named(
        Parser(
            "sensor add",
            "Add a sensor to a place.",
            "curedash sensor add 'Landing fridge' 'top shelf'",
        )
    )


def _list(argv: list[str], context: Context) -> int:
    chosen = _list_parser().parse_args(argv)
    from curedash.present.places.air import sensor_document, sensor_line
    from curedash.services.places import places, sensors

    conn = context.open()
    found = [(p, s) for p in places.all_of(conn) for s in sensors.sensors_of(conn, p)]
    if chosen.json:
        context.json([sensor_document(place, sensor) for place, sensor in found])
    else:
        for place, sensor in found:
            context.out(sensor_line(place, sensor))
    return 0


def _list_parser() -> Parser:
    parser = Parser(
        "sensor list",
        "Every sensor with its offsets and its salt test.",
        "curedash sensor list --json",
    )
    parser.add_argument("--json", action="store_true")
    return parser


def _offset(argv: list[str], context: Context) -> int:
    chosen = _offset_parser().parse_args(argv)
    from curedash.domain.typed.instruments import parse_difference_c, parse_points
    from curedash.present.places.air import sensor_line
    from curedash.services.places import places, sensors

    if chosen.temp is None and chosen.rh is None:
        raise UsageError("Give --temp, --rh or both, e.g. --temp -0.4C.")
    conn = context.open()
    place = places.require_place(conn, chosen.place)
    sensor = sensors.set_offset(
        conn,
        context.by(),
        sensors.require_sensor(conn, place, chosen.sensor),
        temp_c=None if chosen.temp is None else parse_difference_c(chosen.temp),
        rh_pct=None if chosen.rh is None else parse_points(chosen.rh),
    )
    context.out(sensor_line(place, sensor))
    return 0


def _offset_parser() -> Parser:
    parser = _named(
        Parser(
            "sensor offset",
            "Correct a sensor: the offset is added to each reading from now on.",
            "curedash sensor offset 'Landing fridge' 'top shelf' --temp -0.4C --rh +2%",
        )
    )
    parser.add_argument("--temp", help="degrees, e.g. -0.4C or +0.7F")
    parser.add_argument("--rh", help="points of humidity, e.g. +2%%")
    return parser


def _salt_test(argv: list[str], context: Context) -> int:
    chosen = _salt_test_parser().parse_args(argv)
    from curedash.domain.typed.dates import parse_when
    from curedash.domain.typed.units import parse_rh_pct, parse_temp_c
    from curedash.present.places.air import sensor_line
    from curedash.services.household import household
    from curedash.services.places import places, sensors

    conn = context.open()
    place, zone = places.require_place(conn, chosen.place), household.zone(conn)
    sensor = sensors.salt_test(
        conn,
        context.by(),
        sensors.require_sensor(conn, place, chosen.sensor),
        shown_pct=parse_rh_pct(chosen.shown),
        temp_c=parse_temp_c(chosen.temp),
        on=parse_when(chosen.on, context.now, zone).astimezone(zone).date(),
        correct=not chosen.record_only,
    )
    context.out(sensor_line(place, sensor))
    return 0


def _salt_test_parser() -> Parser:
    parser = _named(
        Parser(
            "sensor salt-test",
            "Test a sensor: shut in a jar over wet table salt it should show about 75 %.",
            "curedash sensor salt-test 'Landing fridge' 'top shelf' --shown 79%",
        )
    )
    parser.add_argument("--shown", required=True, help="what the sensor itself shows, e.g. 79%%")
    parser.add_argument("--temp", default="25C", help="temperature of the jar (default: 25C)")
    parser.add_argument("--on", default="today", help="the day of the test")
    parser.add_argument("--record-only", action="store_true", help="leave the offset as it is")
    return parser


def _retire(argv: list[str], context: Context) -> int:
    chosen = _retire_parser().parse_args(argv)
    from curedash.services.places import places, sensors

    conn = context.open()
    place = places.require_place(conn, chosen.place)
    sensor = sensors.require_sensor(conn, place, chosen.sensor)
    sensors.retire(conn, context.by(), sensor)
    context.out(f"{place.name}: sensor {sensor.name} out of use")
    return 0


def _retire_parser() -> Parser:
    return _named(
        Parser(
            "sensor retire",
            "Take a sensor out of use; its readings stay.",
            "curedash sensor retire 'Landing fridge' 'top shelf'",
        )
    )


#: the second words, each with what it takes
PARSERS = {
    "add": _add_parser,
    "list": _list_parser,
    "offset": _offset_parser,
    "salt-test": _salt_test_parser,
    "retire": _retire_parser,
}
