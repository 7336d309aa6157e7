"""Where a reading is in a message: flags that a pipe and a broker share."""

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from curedash.feeds.payload import Fields


def add_field_flags(parser: argparse.ArgumentParser) -> None:
    """What the values are called in JSON, and the unit of a bare temperature."""
    parser.add_argument(
        "--unit",
        choices=("C", "F"),
        default="C",
        help="unit for temperatures without one (default: C)",
    )
    for name, what in (("temp", "temperature"), ("rh", "humidity"), ("time", "time")):
        help_text = f"name of the {what} field in JSON; a dot goes one level down"
        parser.add_argument(f"--{name}-field", metavar="NAME", action="append", help=help_text)


def fields_of(chosen: argparse.Namespace) -> "Fields":
    """The names and the unit that were given, else the usual ones."""
    from curedash.feeds.payload import HUMIDITIES, TEMPERATURES, TIMES, Fields

    return Fields(
        tuple(chosen.temp_field or TEMPERATURES),
        tuple(chosen.rh_field or HUMIDITIES),
        tuple(chosen.time_field or TIMES),
        chosen.unit,
    )
