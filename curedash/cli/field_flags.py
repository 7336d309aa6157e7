"""Where a reading is in a message: flags that a pipe and a broker share."""

from typing import TYPE_CHECKING

from curedash.cli.command import Chosen, Word, several

if TYPE_CHECKING:
    from curedash.feeds.payload import Fields


#: what the values are called in JSON, and the unit of a bare temperature.
FIELDS = (
    Word(
        "--unit", "unit for temperatures without one (default: C)", choices=("C", "F"), default="C"
    ),
    *(
        several(
            f"--{name}-field NAME", f"name of the {what} field in JSON; a dot goes one level down"
        )
        for name, what in (("temp", "temperature"), ("rh", "humidity"), ("time", "time"))
    ),
)


def fields_of(chosen: Chosen) -> "Fields":
    """The names and the unit that were given, else the usual ones."""
    from curedash.feeds.payload import HUMIDITIES, TEMPERATURES, TIMES, Fields

    return Fields(
        tuple(chosen.temp_field or TEMPERATURES),
        tuple(chosen.rh_field or HUMIDITIES),
        tuple(chosen.time_field or TIMES),
        chosen.unit,
    )
