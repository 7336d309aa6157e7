"""What every command is given: where the file is, what time it is, where output goes."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import UTC, datetime, tzinfo

from curedash.domain.errors import UsageError
from curedash.domain.fast_json import pretty
from curedash.domain.times import utc_text
from curedash.store import paths
from curedash.store.log import last_change_id
from curedash.store.open import Connection, open_db
from curedash.store.work import By, login_name, note_stored

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import Any, TypeVar

    from curedash.cli.progress import Working
    from curedash.domain.records import LotState, Place
    from curedash.present.aloud import Aloud

    T = TypeVar("T")

#: Opens the full-screen front on a file with a clock; the exit code. Handed in from above, since
#: the two fronts never import each other.
Dashboard = Callable[[str, Callable[[], datetime]], int]


class Globals:
    """The options that stand before or after any command."""

    def __init__(self) -> None:
        self.db: str | None = None
        self.now: str | None = None
        self.version = False
        self.help = False
        self.json_schema = False
        self.plain = bool(os.environ.get("CUREDASH_PLAIN"))

    def set(self, name: str, value: str) -> None:
        """Keep --db or --now; the port of a scale goes to the dashboard by the environment."""
        if name == "db":
            self.db = value
        elif name == "scale-from":
            os.environ["CUREDASH_SCALE"] = value
        else:
            self.now = value


class Context:
    """One run of one command."""

    def __init__(self, chosen: Globals, dashboard: Dashboard) -> None:
        self.open_dashboard = dashboard
        self.plain = chosen.plain  # worded to be read aloud
        self._aloud: Aloud | None = None
        self.db_path = chosen.db or os.environ.get("CUREDASH_DB") or default_db_path()
        self._now_text = chosen.now or os.environ.get("CUREDASH_NOW")
        self._frozen: datetime | None = None
        if self._now_text:
            self._frozen = _frozen_now(self._now_text)
        self._conn: Connection | None = None
        self._seen: int | None = None  # the newest line of the log when it was opened
        self._working: Working | None = None

    def works(self, what: str) -> None:
        """Work begins that may take its time: say so, should somebody be looking."""
        if sys.stderr is None or not sys.stderr.isatty():
            return
        from curedash.cli.progress import Working, somebody_looks

        if somebody_looks():
            self._working = Working(what)

    def _answers(self) -> None:
        """The work has led to something to print."""
        if self._working is not None:
            self._working.end()
            self._working = None

    @property
    def clock(self) -> Callable[[], datetime]:
        """Gives the present moment (aware), frozen by --now."""
        return lambda: self.now

    @property
    def now(self) -> datetime:
        """The present moment (aware)."""
        return self._frozen if self._frozen is not None else datetime.now(UTC)

    def open(self, *, create: bool = False) -> Connection:
        """The household's file; NotFound if it is missing and must not be made."""
        if self._conn is None:
            self._conn = open_db(self.db_path, create=create)
            self._seen = last_change_id(self._conn)
        return self._conn

    def close(self) -> None:
        """Let go of the file, so that its log is written back into it."""
        self._answers()
        if self._conn is not None:
            self._conn.close()
            self._conn = None

    def open_if_there(self) -> Connection | None:
        """The household's file, None where there is none; for what also stands without one."""
        return self.open() if os.path.exists(self.db_path) else None

    def by(self) -> By:
        """Who changes something in this run: this login, from the shell, on the file as opened.

        What another program changes of the same after that is found inside the transaction that
        saves, and nothing is stored.
        """
        return self._by(self._seen)

    def by_now(self) -> By:
        """The same for what compares by itself, or goes on long after the file was opened."""
        return self._by(None)

    def _by(self, seen: int | None) -> By:
        return By(utc_text(self.now), login_name(), "shell", f"shell-{os.getpid()}", seen)

    def stored(self) -> None:
        """What was asked for is written, whatever becomes of the answer."""
        note_stored()

    # ── what most commands do ─────────────────────────────────────────────────────────────────

    def lot(self, code: str) -> LotState:
        """The lot of this code; NotFound if there is none."""
        from curedash.services.find import require_lot

        return require_lot(self.open(), code)

    def place(self, name: str) -> Place:
        """The place of this name; NotFound if there is none."""
        from curedash.services.places.places import require_place

        return require_place(self.open(), name)

    @property
    def zone(self) -> tzinfo:
        """The household's zone."""
        from curedash.services.household.household import zone

        return zone(self.open())

    def at(self, text: str | None) -> datetime:
        """The moment typed after --at, else now."""
        if text is None:
            return self.now
        from curedash.domain.typed.dates import parse_when

        return parse_when(text, self.now, self.zone)

    def refresh(self, *lots: LotState) -> None:
        """Compute the pull windows of lots that were changed."""
        from curedash.services.drying import forecasts

        for lot in lots:
            forecasts.refresh(self.open(), lot, self.now)

    def caution(self, *moments: str, batch_id: int | None = None) -> None:
        """Say what is to be said at these moments, once each."""
        from curedash.services.needs.cautions import cautions_once

        for sentence in cautions_once(self.open(), self.by(), *moments, batch_id=batch_id):
            self.err(sentence)

    def answer(self, as_json: bool, document: Any, lines: str | Iterable[str]) -> None:
        """What came out, as one JSON document or as lines."""
        if as_json:
            self.json(document)
            return
        for line in (lines,) if isinstance(lines, str) else lines:
            self.out(line)

    def each(
        self,
        as_json: bool,
        found: Iterable[T],
        document: Callable[[T], object],
        line: Callable[[T], str],
    ) -> None:
        """What was found, as one JSON array or a line each."""
        if as_json:
            self.json([document(one) for one in found])
            return
        for one in found:
            self.out(line(one))

    def out(self, text: str) -> None:
        """Data, to stdout; control characters in names are shown, never sent."""
        self._answers()
        if self.plain:
            for line in self._spoken().lines(visible(text)):
                print(line)
        else:
            print(visible(text))

    def lines(self, texts: list[str]) -> None:
        """Lines of data in one go; what is read aloud goes by ``record``."""
        self._answers()
        print("\n".join([visible(text) for text in texts]))

    def record(self, lines: list[str]) -> None:
        """One record to be read aloud, its lines as sentences of one paragraph."""
        self._answers()
        for line in self._spoken().record([visible(line) for line in lines]):
            print(line)

    def data(self, text: str) -> None:
        """What a program reads on (a script, a calendar, TOML): never worded anew."""
        self._answers()
        print(visible(text))

    def _spoken(self) -> Aloud:
        if self._aloud is None:
            from curedash.present.aloud import Aloud

            self._aloud = Aloud()
        return self._aloud

    def err(self, text: str) -> None:
        """Talk, to stderr."""
        self._answers()
        talk(visible(text))

    def about(self, code: str, *messages: str) -> None:
        """Talk about one lot."""
        for message in messages:
            self.err(f"{code}: {visible(message)}")

    def json(self, document: Any) -> None:
        """One JSON document on stdout."""
        self._answers()
        print(escaped(pretty(document)))


def talk(text: str) -> None:
    """A line to stderr; whether anybody can read it changes nothing."""
    try:
        print(text, file=sys.stderr, flush=True)
    except (OSError, ValueError):
        return


def visible(text: str) -> str:
    """Text in the units shown, control characters (but for line ends) replaced by a sign."""
    if type(text) is not str:
        from curedash.present.words import in_own_units

        text = in_own_units(text)
    if text.isprintable():
        return text
    return "".join(
        ch if ch.isprintable() or ch == "\n" else "\N{REPLACEMENT CHARACTER}" for ch in text
    )


def escaped(document: str) -> str:
    r"""JSON with whatever could steer a terminal as escapes (the encoder leaves some as they are).

    Example
    -------
    >>> escaped('"a\x9b31m"')
    '"a\\u009b31m"'
    """
    if document.isascii() and "\x7f" not in document:
        return document
    return "".join(
        ch if ch.isprintable() or ch == "\n" or ord(ch) > 0xFFFF else f"\\u{ord(ch):04x}"
        for ch in document
    )


def default_db_path() -> str:
    """The file in the user data folder (XDG)."""
    return os.path.join(paths.data_folder(), "curedash.db")


FIRST_YEAR, LAST_YEAR = 1990, 2199  # design values: nothing was kept here before, nor so far ahead


def _frozen_now(text: str) -> datetime:
    """An ISO time; a naive one is in this machine's zone, a date alone is noon."""
    from curedash.domain.times import zone_of
    from curedash.services.household.household import machine_zone

    try:
        parsed = datetime.fromisoformat(text.strip())
    except ValueError:
        raise UsageError(
            f"--now takes an ISO time like 2026-11-20T18:00, not “{text[:40]}”."
        ) from None
    if len(text.strip()) == 10:
        parsed = parsed.replace(hour=12)
    if parsed.tzinfo is None:
        parsed = parsed.replace(tzinfo=zone_of(machine_zone()))
    if not FIRST_YEAR <= parsed.year <= LAST_YEAR:
        raise UsageError(f"--now takes a year from {FIRST_YEAR} to {LAST_YEAR}, not {parsed.year}.")
    return parsed.astimezone(UTC)
