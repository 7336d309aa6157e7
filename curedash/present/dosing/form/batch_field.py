"""One field of a new batch as one record: how it is called, shown, filled, read and begun.

The list of all of them is in :mod:`curedash.present.dosing.form.batch_fields`.
"""

from collections.abc import Callable, Sequence
from datetime import datetime, tzinfo
from typing import Any

from curedash.domain.curing.stages import GROUND, RAW
from curedash.domain.record import record
from curedash.present.display_units import in_pounds
from curedash.present.dosing.form.batch_cells import Values
from curedash.services.dosing.batch_start import Start

Option = tuple[str, str]  # its id, and the words for it
YES, NO = "yes", "no"
PARTIAL = ("immersion", "injection")
WHOLE = ("equilibrium", "equilibrium-brine", "ground")
#: which batches have a field: those salted new, those that are under way already, or both
NEW, UNDER_WAY, ALWAYS = "new", "under-way", "always"


@record
class Context:
    """What a text is read against: the moment, the zone of the days, the shelf, the pieces."""

    start: Start
    now: datetime
    zone: tzinfo
    pieces: int = 0  # how many green weights could be read


@record
class Shape:
    """What decides which fields there are: the values, and how many pieces can be read."""

    values: Values
    pieces: int

    @property
    def method(self) -> str:
        """How it is salted."""
        return self.values["method"]

    @property
    def ground(self) -> bool:
        """Whether its salt is mixed in: a sausage, with a path of its own."""
        return self.method == GROUND

    @property
    def under_way(self) -> bool:
        """Whether the pieces are in the cure, or further, already."""
        return is_under_way(self.values)

    @property
    def one_by_one(self) -> bool:
        """Whether each piece has a line of its own."""
        return self.values["each"] == YES and not self.under_way


def is_under_way(values: Values) -> bool:
    """Whether the form is of pieces that are in the cure, or further, already."""
    return values.get("now", RAW) != RAW


Read = Callable[[str, Context], object]
Offer = Callable[[Values, Start | None], list[Option]]
NO_YES: tuple[Option, ...] = ((NO, "no"), (YES, "yes"))


@record
class Field:
    """A field of the form.

    ``kind`` is text, choice (one of a few), combo or search (see ``tui/chassis/form.py``).
    ``read`` turns a text into a value, or refuses it in a sentence; ``read_in`` does where the
    moment or the shelf matters. ``wanted`` says what to type where it must not stay empty.
    ``usual`` is its value while nothing else decides it; ``when`` says which batches have it.
    """

    id: str
    help: str
    label: str
    kind: str = "text"
    visible: Callable[[Shape], bool] = lambda _shape: True
    options: Offer | tuple[Option, ...] = ()
    read: Callable[[str], object] = lambda text: text
    read_in: Read | None = None
    wanted: Callable[[Values], str] | str = ""
    usual: Callable[[Start], str] | str = ""
    unit: Callable[[Values], str] | str = ""
    when: str = NEW

    def is_there(self, shape: Shape) -> bool:
        """Whether a form of this shape has it."""
        mine = ALWAYS, UNDER_WAY if shape.under_way else NEW
        return self.when in mine and self.visible(shape)

    def value(self, text: str, context: Context) -> object:
        """What was typed, as it is meant."""
        return self.read(text) if self.read_in is None else self.read_in(text, context)


def entry(field_id: str, help: str, *, label: str = "", **more: Any) -> Field:
    """A field one types into, called as its id unless it has a label."""
    return Field(field_id, help, label or field_id.replace("_", " "), **more)


def choice(
    field_id: str, help: str, options: Offer | tuple[Option, ...], *, label: str = "", **more: Any
) -> Field:
    """A field of a few answers."""
    return entry(field_id, help, label=label, kind="choice", options=options, **more)


def in_time(parse: Callable[[str, datetime, tzinfo], object]) -> Read:
    """A reader of days or moments, which count from now in the zone of the household."""
    return lambda text, context: parse(text, context.now, context.zone)


def places(_values: Values, start: Start | None) -> list[Option]:
    """The places there are."""
    return [] if start is None else [(place, place) for place, _warm in start.places]


def grams(_values: Values) -> str:
    """The unit of a bare weight; in pounds a bare number may be ounces."""
    return "" if in_pounds() else "g"


def fitting(offered: Sequence[Option], typed: str) -> list[Option]:
    """The options that begin with what was typed, else those that have it somewhere."""
    wanted = typed.strip().casefold()
    return beginning(offered, typed) or [
        one for one in offered if wanted in f"{one[0]} {one[1]}".casefold()
    ]


def beginning(offered: Sequence[Option], typed: str) -> list[Option]:
    """The options whose id or words begin with what was typed; none while nothing is."""
    wanted = typed.strip().casefold()
    return [
        one for one in offered if wanted and any(way.casefold().startswith(wanted) for way in one)
    ]
