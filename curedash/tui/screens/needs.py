"""Needs: everything that needs somebody, with its number and the usual next action."""

from collections.abc import Callable, Iterable
from datetime import timedelta
from typing import cast

from textual.widget import Widget

from curedash.domain.errors import NotFound, Refused
from curedash.domain.needs import Need
from curedash.domain.records import StoredNeed
from curedash.domain.times import moment
from curedash.present.rack import need_words
from curedash.present.view import retold
from curedash.present.words import (
    SIGNS,
    Line,
    cells,
    count,
    cut,
    moment_words,
    plain,
    without_brackets,
)
from curedash.services.check import current_needs, key_of, remembered, snooze
from curedash.services.find import lot_with_id
from curedash.services.places import all_of
from curedash.store.watching import Connection
from curedash.tui.house import House
from curedash.tui.list_page import ListPage
from curedash.tui.talk import Ask
from curedash.tui.widgets.lines import LineList

Key = tuple[str, int, int]
LONGEST_DAYS = 60
CLEARED_SHOWN = 12
LEAST_SAID = 30  # cells the need itself keeps beside a long reason


class Needs(ListPage):
    """What needs somebody, what is kept quiet, and what cleared itself lately."""

    NAME = "needs"

    def __init__(self, house: House, *, go_to: Callable[[int], None] | None = None) -> None:
        super().__init__(house)
        self._go_to = go_to
        self._needs: dict[Key, Need] = {}
        self._asleep: list[StoredNeed] = []
        self._cleared: list[StoredNeed] = []
        self._where: dict[int, str] = {}
        self.list = LineList(house.styles, id="body")
        self._read()

    def body(self) -> Iterable[Widget]:
        """The list."""
        yield self.list

    def _read(self) -> None:
        house = self.house
        now = house.now()
        found = house.read(lambda conn: current_needs(conn, now))
        self._needs = {key_of(need): need for need in found}
        stands, cleared = house.read(remembered)
        self._asleep = [
            need for need in stands
            if need.snoozed_until is not None and moment(need.snoozed_until) > now
        ]  # fmt: skip
        self._cleared = cleared[:CLEARED_SHOWN]
        shown = (*self._asleep, *self._cleared)
        self._where = house.read(lambda conn: {need.id: where_of(conn, need) for need in shown})

    def changed(self, lots: set[int]) -> None:  # noqa: ARG002
        """Anything written may clear a need."""
        self._read()
        self._fill()

    def minute_passed(self) -> None:
        """Needs come with time."""
        self.changed(set())

    def on_mount(self) -> None:
        """Fill the list."""
        self._fill()

    def draw(self) -> None:
        """A new width draws every line again."""
        super().draw()
        self.list.redraw_all()

    def _fill(self) -> None:
        keys: list[object] = []
        for key in self._needs:
            keys += [key, ("then", key)]
        for head, stored in (("Kept quiet", self._asleep), ("Cleared lately", self._cleared)):
            if stored:
                keys += [("head", head), *(("stored", need.id) for need in stored)]
        self.list.show(keys, self._line)
        self.draw()

    # ── drawing ───────────────────────────────────────────────────────────────────────────

    def title_line(self, width: int) -> Line:  # noqa: ARG002
        """How many of which."""
        act = sum(need.level == "act" for need in self._needs.values())
        counts = f"{act} act · {len(self._needs) - act} today"
        quiet = f" · {len(self._asleep)} kept quiet" if self._asleep else ""
        return (("NEEDS   ", "title"), (counts + quiet, ""))

    def idle_lines(self, width: int) -> tuple[Line, Line]:  # noqa: ARG002
        """What can be done here."""
        if not self._needs:
            return (("Nothing needs you now.", "quiet"),), ()
        return (), ()

    def _line(self, key: object) -> Line:
        width = self.app.size.width
        kind, *rest = cast(tuple[object, ...], key)
        if kind == "then":
            need = self._needs[cast(Key, rest[0])]
            return ((cut(f"    → {plain(retold(need.action))}", width), "quiet"),)
        if kind == "head":
            return ((f"  {rest[0]}", "title"),)
        if kind == "stored":
            return self._stored_line(cast(int, rest[0]), width)
        need = self._needs[cast(Key, key)]
        words = without_brackets(need_words(need), width - 2)
        return ((cut(f"{SIGNS.get(need.level, ' ')} {words}", width), need.level),)

    def _stored_line(self, need_id: int, width: int) -> Line:
        need = next(n for n in (*self._asleep, *self._cleared) if n.id == need_id)
        if need.cleared_at is not None:
            when = moment_words(need.cleared_at, self.house.zone)
        else:
            until = need.snoozed_until or ""
            when = f"until {moment_words(until, self.house.zone)}"
            when += f", {plain(need.reason)}" if need.reason else ""
        where = self._where.get(need.id)
        said = plain(f"{where}: {retold(need.message)}" if where else need.message)
        said = cut(said, max(LEAST_SAID, width - 7 - cells(when)))
        return ((cut(f"    {said} · {when}", width), "quiet"),)

    # ── moving and doing ──────────────────────────────────────────────────────────────────

    def _here(self) -> Need:
        key = self.list.cursor_key
        if isinstance(key, tuple) and key[0] == "then":
            key = key[1]
        need = self._needs.get(cast(Key, key))
        if need is None:
            raise Refused("Put the cursor on a need first.")
        return need

    def step(self, by: int) -> None:
        """The next need; the line of what to do then is stepped over."""
        self.list.move(by)
        key = self.list.cursor_key
        if isinstance(key, tuple) and key[0] == "then":
            self.list.move(by)
            if self.list.cursor_key == key:
                self.list.move_to(key[1])

    def do_open(self) -> None:
        """Back to the row this need is about."""
        need = self._here()
        if need.lot_id is None or self._go_to is None:
            raise Refused("This need is about a place, not a lot.")
        self.leave()
        self._go_to(need.lot_id)

    def do_snooze(self) -> None:
        """Keep this need quiet, with a reason."""
        need = self._here()
        self.talk(Ask(
            self, "quiet for a day because", lambda text: self._snooze_for(need, text),
            help="the reason; begin with a number for more days: 3 waiting for the weekend",
        ))  # fmt: skip

    def _snooze_for(self, need: Need, text: str) -> str | None:
        """Keep it quiet; where only days were typed the reason is asked once."""
        days, reason = days_and_reason(text)
        if not 1 <= days <= LONGEST_DAYS:
            return f"Between 1 and {LONGEST_DAYS} days."
        if text and not reason:
            question = f"quiet for {count(days, 'day')} because"
            self.talk(Ask(
                self, question, lambda why: self._snooze(need, days, why),
                help="the reason, shown beside it; Enter: without one",
            ))  # fmt: skip
            return None
        return self._snooze(need, days, reason)

    def _snooze(self, need: Need, days: int, reason: str) -> str | None:
        now = self.house.now()
        until = now + timedelta(days=days)
        self.write(
            lambda conn, _by: snooze(conn, need, until, reason or None, now),
            lambda _: self.say(f"Quiet for {count(days, 'day')}.", "good"),
        )
        return None


def where_of(conn: Connection, need: StoredNeed) -> str:
    """The lot or the place a remembered need is about; nothing where it is about neither."""
    if need.lot_id is not None:
        try:
            return lot_with_id(conn, need.lot_id).code
        except NotFound:
            return ""
    return next((place.name for place in all_of(conn) if place.id == need.place_id), "")


def days_and_reason(text: str) -> tuple[int, str]:
    """How many days and why, from one line; one day if no number leads.

    Example
    -------
    >>> days_and_reason("3 waiting for the weekend"), days_and_reason("new battery ordered")
    ((3, 'waiting for the weekend'), (1, 'new battery ordered'))
    """
    first, _, rest = text.strip().partition(" ")
    number = first.removesuffix("d")
    if number.isascii() and number.isdecimal() and len(number) < 4:
        return int(number), rest.strip().removeprefix("d ").strip()
    return 1, text.strip()
