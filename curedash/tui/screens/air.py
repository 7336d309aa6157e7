"""The air of one place, a week or a year: temperature, humidity, dew point, what dries."""

from datetime import datetime, timedelta

from curedash.domain.errors import Refused
from curedash.domain.records import Place
from curedash.present.places import air_curve
from curedash.present.weighing.on_scale import dated_window
from curedash.present.words import Line, cells, cut, day, month, plain, wrapped
from curedash.services.places.air_view import AirPoint, Failure, curves, failures, long_curves
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.state import DashboardState

NO_DAYS = "No daily means yet; they are made while the program runs."
SPANS = (7, 91, 365)  # days; beyond a week the days that were boiled down
AROUND = 4  # lines of a screen that are not the curve


class AirPage(ListPage):
    """The curves of one place."""

    NAME = "air"
    CURSOR = False

    def __init__(self, house: DashboardState, *, place: Place) -> None:
        super().__init__(house)
        self._place = place
        self._panel = "temp"
        self._span = 0  # which of SPANS
        self._back = 0  # how many spans back
        self._sensor = 0
        self._curves: dict[str, list[AirPoint]] = {}
        self._failed: list[Failure] = []
        self._lines: list[str] = []
        self._read()

    def _read(self) -> None:
        place, until, days = self._place, self._until, SPANS[self._span]
        self._failed = self.house.read(
            lambda conn: [] if self._span else failures(conn, place, until)
        )
        self._curves = self.house.read(
            lambda conn: (
                long_curves(conn, place, until, days) if self._span else curves(conn, place, until)
            )
        )

    @property
    def _until(self) -> datetime:
        return self.house.now() - timedelta(days=self._back * SPANS[self._span])

    @property
    def _sensor_name(self) -> str:
        names = sorted(self._curves)
        return names[self._sensor % len(names)] if names else ""

    def _fill(self) -> None:
        size = self.app.size
        self._lines = air_curve.curve_lines(
            self._curves.get(self._sensor_name, []),
            self._panel,
            self._place,
            self.house.zone,
            size.width,
            size.height - AROUND,
            self._failed,
            (self._until - timedelta(days=SPANS[self._span]), self._until),
        )
        if self._span and not self._curves:
            self._lines = ["", *(f"  {line}" for line in wrapped(NO_DAYS, size.width - 2))]
        self.list.show(range(len(self._lines)), self._line)
        self.list.redraw_all()
        self.draw()

    def _line(self, key: object) -> Line:
        return tuple(air_curve.toned(self._lines[key])) if isinstance(key, int) else ()

    def on_resize(self) -> None:
        """Draw it for the new size."""
        self._fill()

    def title_line(self, width: int) -> Line:
        """Place, sensor, days."""
        until = self._until.astimezone(self.house.zone).date()
        since = until - timedelta(days=SPANS[self._span])
        sensor = f" · {plain(self._sensor_name) or 'by hand'}" if len(self._curves) > 1 else ""
        span = f"{day(since)}–{day(until)}" if self._span < 2 else dated_window(since, until)
        name = f"{plain(self._place.name)}   "
        room = max(0, width - cells(name))
        head = air_curve.head_of(self._panel)
        words = f"{head} · {span}{sensor}"
        if cells(words) > room:
            words = f"{head.partition(',')[0]} · {span}{sensor}"
        if cells(words) > room:
            words = f"{head.partition(' [')[0]} · {span}"
        if cells(words) > room:
            what = head.partition(" [")[0].removeprefix("relative ")
            words = f"{what} · {month(since)}–{month(until)}"
        return ((name, "title"), (cut(words, room), ""))

    def idle_lines(self, width: int) -> tuple[Line, Line]:
        """What a person said of these days."""
        words = (
            air_curve.failed_words(self._failed, self.house.zone) if self._panel == "temp" else ""
        )
        if not words and self._curves:
            return ((cut(air_curve.signs_words(self._place, self._panel), width), "quiet"),), ()
        first, *more = wrapped(words, width)
        return ((first, "today"),), ((more[0] if more else "", "today"),)

    def do_view(self) -> None:
        """Draw something else."""
        self._panel = air_curve.next_panel(self._panel)
        self._fill()

    def do_sensor(self) -> None:
        """The next sensor."""
        if len(self._curves) < 2:
            raise Refused("No second sensor measured in these days.")
        self._sensor += 1
        self._fill()

    def do_span(self) -> None:
        """A week, three months, a year, and again."""
        self._span, self._back = (self._span + 1) % len(SPANS), 0
        self.changed(set())

    def do_earlier(self) -> None:
        """The one before."""
        self._back += 1
        self.changed(set())

    def do_later(self) -> None:
        """The one after, up to now."""
        if self._back == 0:
            raise Refused("These are the newest days.")
        self._back -= 1
        self.changed(set())
