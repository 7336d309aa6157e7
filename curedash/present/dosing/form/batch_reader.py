"""One reading of the form of a new batch: the fields read one by one, and what came of it."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, tzinfo
from typing import Any, TypeVar

from curedash.domain.errors import CuredashError
from curedash.domain.record import record
from curedash.domain.typed.unit_sizes import Ambiguous
from curedash.present.dosing.form.batch_cells import Values, above
from curedash.present.dosing.form.batch_field import Context
from curedash.present.dosing.form.batch_fields import field, wanted
from curedash.present.numbers import parts
from curedash.present.words import day, in_own_units
from curedash.services.dosing.add_batch import BatchSpec, PlannedLot, SourceSpec
from curedash.services.dosing.batch_start import Start
from curedash.services.dosing.sausage import Stuffed
from curedash.services.dosing.take_in import UnderWay

T = TypeVar("T")
LABELS = ("use_by", "packed")  # days on a label, read as ISO text


@record
class Read:
    """One reading of the whole form."""

    greens: tuple[float, ...]
    sources: tuple[str, ...]
    lines: Mapping[int, int]  # the number of the piece that a line of its own is for
    wanted: Mapping[str, str]  # empty fields that must be filled, and how
    troubles: Mapping[str, str]  # what is refused, beside its field
    hints: Mapping[str, str]  # what can be kept but is worth a word
    accepted: Mapping[str, str]  # what would be accepted instead, as one would type it
    echoes: Mapping[str, str]  # how a value was understood, where that is worth a line
    spec: BatchSpec | None = None
    pieces: int = 0  # where some are weighed together: more than green weights
    planned: tuple[PlannedLot, ...] = ()
    stuffed: Stuffed | None = None  # a sausage that is in its casing already
    under_way: UnderWay | None = None  # pieces under way instead of a batch to be salted
    known: tuple[str, ...] = ()  # what there is to say of them, in place of doses

    @property
    def ready(self) -> bool:
        """Whether it can be saved."""
        return self.spec is not None or self.under_way is not None

    def first_open(self, rows: Sequence[Sequence[str]]) -> str | None:
        """The first field of these lines that is still wanted or refused."""
        every = (field_id for row in rows for field_id in row)
        return next((one for one in every if one in self.wanted or one in self.troubles), None)


class Reader:
    """Reads fields one after another and notes what is wrong."""

    def __init__(self, values: Values, start: Start, now: datetime, zone: tzinfo) -> None:
        self.values, self.start, self.now, self.zone = values, start, now, zone
        self.wanted: dict[str, str] = {}
        self.troubles: dict[str, str] = {}
        self.hints: dict[str, str] = {}
        self.accepted: dict[str, str] = {}
        self.echoes: dict[str, str] = {}
        self.lines: dict[int, int] = {}
        self.pieces, self.green_g = 0, 0.0

    @property
    def context(self) -> Context:
        """What a text is read against."""
        return Context(self.start, self.now, self.zone, self.pieces)

    def text(self, field_id: str) -> str:
        """The text of a field, without blanks around it."""
        return self.values.get(field_id, "").strip()

    def repeated(self, field_id: str) -> str:
        """The text of a cell, else what it repeats of the one above."""
        return self.text(field_id) or above(field_id, self.values)

    def read(self, field_id: str) -> Any:
        """The field's value; None while it is empty or cannot be read."""
        text = self.text(field_id)
        if not text:
            if asked := wanted(field_id, self.values):
                self.wanted[field_id] = asked
            return None
        value = self.tried(field_id, lambda: field(field_id).value(text, self.context))
        self._echo_year(field_id, value)
        return value

    def _echo_year(self, field_id: str, value: Any) -> None:
        """Which year a day was read in, where it is not this one."""
        if field_id in LABELS and value:
            value = date.fromisoformat(value)
        if isinstance(value, datetime):
            value = value.astimezone(self.zone).date()
        today = self.now.astimezone(self.zone).date()
        if isinstance(value, date) and value.year != today.year:
            self.echoes[field_id] = day(value, today)

    def tried(self, field_id: str, read: Callable[[], T]) -> T | None:
        """What was read; None where it is refused, which is noted beside the field."""
        try:
            return read()
        except CuredashError as trouble:
            self.troubles[field_id] = in_own_units(str(trouble))
            if isinstance(trouble, Ambiguous) and trouble.typed:
                self.accepted[field_id] = trouble.typed
            return None

    @property
    def is_open(self) -> bool:
        """Whether a field is refused, or still empty that must not be."""
        return bool(self.wanted or self.troubles)

    def result(
        self, sources: Sequence[SourceSpec], greens: tuple[float, ...], **found: Any
    ) -> Read:
        """What came of the whole form.

        Parameters
        ----------
        greens : the green weights that could be read [g]
        found : the other fields of the record
        """
        names = tuple(source.name for source in sources)
        said = parts(self, "wanted", "troubles", "hints", "accepted", "echoes")
        return Read(greens=greens, sources=names, lines=dict(self.lines), **said, **found)
