"""What every page shares: the reader, the writer, the clock, the look, and what was seen last."""

import os
from collections.abc import Callable
from contextlib import suppress
from datetime import date, datetime, tzinfo
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, Protocol, TypeVar

from curedash.domain.errors import CuredashError, FileTrouble
from curedash.domain.times import utc_text
from curedash.domain.typed.dates import parse_day, parse_when
from curedash.present.words import day, moment_words
from curedash.services.household import household
from curedash.store import settings
from curedash.store.log import last_change_id
from curedash.store.open import SCREEN_TIMEOUT_S, Held, open_db
from curedash.store.rescue import BACK, shown
from curedash.store.watching import Connection, data_version, lots_changed_since, reading
from curedash.tui.chassis.notifier import Notifier
from curedash.tui.chassis.theme import styles_for, theme_for
from curedash.tui.chassis.writer import Writer
from curedash.tui.widgets.lines import Styles

if TYPE_CHECKING:
    from textual.screen import Screen

    from curedash.feeds.listening import BackgroundFeed

T = TypeVar("T")
P = ParamSpec("P")
FEED = "air-feed"
FEED_STOPS_S = 0.2


class Navigator(Protocol):
    """What only the program on top can do for a page: it knows every screen and every flow."""

    def open_page(self, name: str, **given: Any) -> None:
        """Put the page with this name on top."""

    def open_instead(self, name: str, **given: Any) -> None:
        """Put the page with this name in the place of the one on top."""

    def write_file(self, page: "Screen[Any]", kind: str) -> None:
        """Ask on a page where a file of this kind goes, and write it there."""

    def open_file(self, path: str) -> None:
        """Go on with another household file."""

    def look_like(self, theme: str | None) -> None:
        """Change the look on every page."""

    def use_mouse(self, *, on: bool) -> None:
        """Take clicks and the wheel, or leave the mouse to the terminal."""


class DashboardState:
    """One open household file as the screens use it."""

    navigator: Navigator  # given by the program that shows the pages

    def __init__(
        self,
        db_path: str,
        now: Callable[[], datetime],
        *,
        theme: str | None = None,
        view_troubles: tuple[str, ...] = (),
    ) -> None:
        self.db_path, self.now = db_path, now
        self.theme = theme_for(theme)
        self.styles: Styles = styles_for(self.theme)
        self.view_troubles = view_troubles  # what of the person's view could not be used
        self.base = "hang"
        self.faults: list[Exception] = []  # of derived data; told when the program is left
        self.reader: Held = open_db(db_path, create=True, timeout_s=SCREEN_TIMEOUT_S)
        self.writer = Writer(db_path, now, self.reader.household)
        self.notifier = Notifier()
        self.left_by = ("", 0.0)  # the key that left a page last, and when [s]
        self.went_back = 0  # how often the file became an earlier one: a copy was brought back
        self.added_lot: int | None = None  # first of a batch just saved; the Rack marks it
        self.feed_said = ""  # what the broker's listener said last
        self._feed: BackgroundFeed | None = None
        self.zone: tzinfo = self.read(household.zone)
        self._version = self.read(data_version)
        self._last_change = self.read(last_change_id)

    def listen(self) -> None:
        """Listen to the broker of the file beside the screen, if it has one."""
        if self.read(settings.get, FEED) is None:
            return
        from curedash.feeds.listening import BackgroundFeed

        def remember(sentence: str) -> None:
            self.feed_said = sentence

        self._feed = BackgroundFeed(self.db_path, self.writer.by_broker, self.now, remember)
        self._feed.start()

    def read(
        self, ask: Callable[Concatenate[Connection, P], T], *given: P.args, **more: P.kwargs
    ) -> T:
        """Ask the file something; a locked or broken file becomes one sentence (FileTrouble)."""
        with reading(self.db_path):
            return ask(self.reader, *given, **more)

    def today(self) -> date:
        """The calendar day in the file's zone."""
        return self.now().astimezone(self.zone).date()

    def day(self, text: str) -> date:
        """A day as typed, counted from today in the file's zone."""
        return parse_day(text, self.now(), self.zone)

    def moment(self, text: str) -> datetime:
        """A moment as typed, counted from now in the file's zone."""
        return parse_when(text, self.now(), self.zone)

    def moment_words(self, at: datetime) -> str:
        """A moment in local words, with its year where it is not this one."""
        return moment_words(utc_text(at), self.zone, self.today())

    def day_words(self, at: datetime) -> str:
        """Its day, with the year where it is not this one."""
        return day(at.astimezone(self.zone).date(), self.today())

    def look(self) -> set[int] | None:
        """Lots touched since the last look; None if nobody has written to the file.

        Raises
        ------
        FileTrouble: the file lost its name, or holds another household now
        """
        if not self.reader.is_at_its_path():
            return self._follow()
        version = self.read(data_version)
        if version == self._version:
            return None
        self._version = version
        self.read(lambda _: self.reader.require_household())
        since = self._last_change
        self._last_change, touched = self.read(lots_changed_since, since)
        self.went_back += self._last_change < since
        return touched

    def _follow(self) -> set[int]:
        """Go on with the file that bears the name now, if it is the same household."""
        fresh: Held | None = None
        with suppress(CuredashError):
            fresh = open_db(self.db_path, timeout_s=SCREEN_TIMEOUT_S)
        if fresh is None or fresh.household != self.reader.household:
            if fresh is not None:
                fresh.close()
            rescue = self.writer.rescue
            where = shown(rescue, self.db_path) if rescue else "a rescue file beside it"
            raise FileTrouble(
                f"{os.path.basename(self.db_path)} was removed or replaced. What you save goes to"
                f" {where}; {BACK}."
            )
        self.reader.close()
        self.reader = fresh
        self._version = self.read(data_version)
        self._last_change = self.read(last_change_id)
        self.zone = self.read(household.zone)
        self.went_back += 1
        if self._feed is not None:
            self._feed.stop(FEED_STOPS_S)
            self.listen()
        return set()

    @property
    def seen(self) -> int:
        """The newest line of the log that the screen shows."""
        return self._last_change

    def look_like(self, theme: str | None) -> None:
        """Another look; the widgets keep the styles they were given, so these are changed."""
        self.theme = theme_for(theme)
        self.styles.update(styles_for(self.theme))

    def close(self) -> None:
        """Finish what is being written and close both connections."""
        if self._feed is not None:
            self._feed.stop()
            self._feed = None
        self.writer.close()
        self.reader.close()
