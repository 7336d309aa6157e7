"""``curedash sensor``: what measures a place by itself, its offsets, its salt test."""

from curedash.cli.command import JSON_BARE, PLACE, Chosen, Command, Group, Word, switch
from curedash.cli.context import Context
from curedash.domain.errors import UsageError
from curedash.domain.typed.instruments import parse_difference_c, parse_points
from curedash.domain.typed.units import parse_rh_pct, parse_temp_c
from curedash.present.places.air import sensor_document, sensor_line
from curedash.services.places import places, sensors

_NAMED = (PLACE, Word("sensor", "its name, e.g. 'top shelf' or the topic it sends to"))


def _add(chosen: Chosen, context: Context) -> None:

    conn = context.open()
    place = context.place(chosen.place)
    sensor = sensors.ensure_sensor(conn, context.by(), place, chosen.sensor)
    context.out(f"{place.name}: sensor {sensor.name} in use")


_ADD = Command(
    "sensor add",
    "Add a sensor to a place.",
    "curedash sensor add 'Landing fridge' 'top shelf'",
    *_NAMED,
    run=_add,
)


def _list(chosen: Chosen, context: Context) -> None:

    conn = context.open()
    found = [(p, s) for p in places.all_of(conn) for s in sensors.sensors_of(conn, p)]
    documents = [sensor_document(place, sensor) for place, sensor in found]
    context.answer(chosen.json, documents, [sensor_line(place, sensor) for place, sensor in found])


_LIST = Command(
    "sensor list",
    "Every sensor with its offsets and its salt test.",
    "curedash sensor list --json",
    JSON_BARE,
    run=_list,
)


def _offset(chosen: Chosen, context: Context) -> None:

    if chosen.temp is None and chosen.rh is None:
        raise UsageError("Give --temp, --rh or both, e.g. --temp -0.4C.")
    conn = context.open()
    place = context.place(chosen.place)
    sensor = sensors.set_offset(
        conn,
        context.by(),
        sensors.require_sensor(conn, place, chosen.sensor),
        temp_c=None if chosen.temp is None else parse_difference_c(chosen.temp),
        rh_pct=None if chosen.rh is None else parse_points(chosen.rh),
    )
    context.out(sensor_line(place, sensor))


_OFFSET = Command(
    "sensor offset",
    "Correct a sensor: the offset is added to each reading from now on.",
    "curedash sensor offset 'Landing fridge' 'top shelf' --temp -0.4C --rh +2%",
    *_NAMED,
    Word("--temp", "temperature offset, e.g. -0.4C or +0.7F"),
    Word("--rh", "humidity offset in points, e.g. +2%%"),
    run=_offset,
)


def _salt_test(chosen: Chosen, context: Context) -> None:

    conn = context.open()
    place, zone = context.place(chosen.place), context.zone
    sensor = sensors.salt_test(
        conn,
        context.by(),
        sensors.require_sensor(conn, place, chosen.sensor),
        shown_pct=parse_rh_pct(chosen.shown),
        temp_c=parse_temp_c(chosen.temp),
        on=context.at(chosen.on).astimezone(zone).date(),
        correct=not chosen.record_only,
    )
    context.out(sensor_line(place, sensor))


_SALT_TEST = Command(
    "sensor salt-test",
    "Test a sensor: shut in a jar over wet table salt it should show about 75 %.",
    "curedash sensor salt-test 'Landing fridge' 'top shelf' --shown 79%",
    *_NAMED,
    Word("--shown", "what the sensor itself shows, e.g. 79%%", required=True),
    Word("--temp", "temperature of the jar (default: 25C)", default="25C"),
    Word("--on", "the day of the test (default: today)", default="today"),
    switch("--record-only", "record the test but leave the offset as it is"),
    run=_salt_test,
)


def _retire(chosen: Chosen, context: Context) -> None:

    conn = context.open()
    place = context.place(chosen.place)
    sensor = sensors.require_sensor(conn, place, chosen.sensor)
    sensors.retire(conn, context.by(), sensor)
    context.out(f"{place.name}: sensor {sensor.name} out of use")


_RETIRE = Command(
    "sensor retire",
    "Take a sensor out of use; its readings stay.",
    "curedash sensor retire 'Landing fridge' 'top shelf'",
    *_NAMED,
    run=_retire,
)


COMMAND = Group(
    "Say 'curedash sensor' and then add, list, offset, salt-test or retire.",
    *(_ADD, _LIST, _OFFSET, _SALT_TEST, _RETIRE),
)
