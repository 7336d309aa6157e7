"""How the needs are read and drawn, and where the cursor stands."""

from collections.abc import Iterable
from typing import cast

from textual.containers import Horizontal
from textual.widget import Widget

from curedash.domain.errors import NotFound, Refused
from curedash.domain.needs.lot_needs import Need
from curedash.domain.records import StoredNeed
from curedash.present.display_units import retold
from curedash.present.rack.around import need_words, needs_counts, nothing_words
from curedash.present.rack.layout import pane_columns
from curedash.present.rack.meat import whole_name
from curedash.present.rack.pane import EDGE, pane_lines
from curedash.present.signs import key_drawn
from curedash.present.words import (
    SIGNS,
    Line,
    cells,
    filled,
    fitting,
    left,
    moment_words,
    plain,
    without_brackets,
    wrapped,
)
from curedash.services.find import lot_with_id
from curedash.services.needs.check import asleep, current_needs, remembered
from curedash.services.needs.check import key_of as need_key
from curedash.services.places.places import all_of
from curedash.services.rack import read_row
from curedash.store.watching import Connection
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows.undo import UndoesLast
from curedash.tui.widgets.lines import FixedLines

Key = tuple[str, int, int]
CLEARED_SHOWN = 12
STORED, MORE = "stored", "+"  # key of a remembered need; in the key of a further line of any
ONE_LINE_FROM = 100  # columns from which what to do follows what happened
MOST_LINES = 6  # of one need or reason
AROUND = 4  # title and foot


class NeedsLines(UndoesLast):
    """What needs somebody, each entry in as many lines as it takes."""

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self._asked_at = house.seen  # the newest line of the log when a snooze was asked for
        self._needs: dict[Key, Need] = {}
        self._asleep: list[StoredNeed] = []
        self._cleared: list[StoredNeed] = []
        self._where: dict[int, str] = {}
        self._lines: dict[Key, Line] = {}
        self.list.owner = _entry
        self.list.moved = self._draw_pane
        self.pane = FixedLines(house.styles, id="pane", lines=0)
        self._read()

    def body(self) -> Iterable[Widget]:
        """The needs, and where there is room the lot of the marked one beside them."""
        yield Horizontal(self.list, self.pane)

    def _read(self) -> None:
        house = self.house
        now = house.now()
        found = house.read(current_needs, now)
        self._needs = {need_key(need): need for need in found}
        stands, cleared = house.read(remembered)
        self._asleep = asleep(stands, now)
        self._cleared = cleared[:CLEARED_SHOWN]
        shown = (*self._asleep, *self._cleared)
        self._where = house.read(lambda conn: {need.id: where_of(conn, need) for need in shown})

    def minute_passed(self) -> None:
        """Needs come with time."""
        self.changed(set())

    def draw(self) -> None:
        """A new width breaks every line again."""
        super().draw()
        self._lines = self._broken(self.app.size.width - beside(self.app.size.width))
        self.list.show(list(self._lines), lambda key: self._lines[cast(Key, key)])
        self.list.redraw_all()
        self._draw_pane()

    def _draw_pane(self) -> None:
        """The lot of the marked need: how far it is, and its curve."""
        width = beside(self.app.size.width)
        height = max(0, self.app.size.height - AROUND) if width else 0
        self.pane.display = bool(width)
        self.pane.styles.width = width
        self.pane.make_room(height)
        if not height:
            return
        lot_id = self._lot_here()
        lines: list[Line] = [filled([(EDGE, "quiet")], width)] * height
        house = self.house
        row = None if lot_id is None else house.read(read_row, lot_id, house.now())
        if row is not None:
            lines = pane_lines(row, [], width, height, house.today(), house.zone)
        self.pane.show(*lines)

    def _lot_here(self) -> int | None:
        """The lot, or the first of the lots, that the marked need is about."""
        key = cast(Key | None, self.list.cursor_key)
        need = None if key is None else self._needs.get(key)
        if need is None:
            return None
        return need.lot_id if need.lot_id is not None else next(iter(need.lot_ids), None)

    def _fill(self) -> None:
        self.draw()

    def _broken(self, width: int) -> dict[Key, Line]:
        """Every line by its key: the cursor stands on the first line of a need only."""
        lines: dict[Key, Line] = {}

        def put(key: Key, drawn: list[Line]) -> None:
            for n, line in enumerate(drawn):
                lines[key if n == 0 else (f"{key[0]}{MORE}{n}", *key[1:])] = line

        at = self._then_at(width)
        for key, need in self._needs.items():
            put(key, self._need_lines(need, width, at))
        for head, stored in (("Snoozed", self._asleep), ("Cleared lately", self._cleared)):
            if stored:
                lines[(f"{MORE}{head}", 0, 0)] = ((f"  {head}", "title"),)
            for kept in stored:
                put((STORED, kept.id, 0), self._stored_lines(kept, width))
        return lines

    # ── drawing ───────────────────────────────────────────────────────────────────────────

    def title_line(self, width: int) -> Line:  # noqa: ARG002
        """How many of which."""
        counts = needs_counts(list(self._needs.values()))
        quiet = f" · {len(self._asleep)} snoozed" if self._asleep else ""
        return (("NEEDS   ", "title"), (counts + quiet, ""))

    def idle_lines(self, width: int) -> tuple[Line, Line]:  # noqa: ARG002
        """What can be done here."""
        if not self._needs:
            return ((nothing_words(self._asleep, self.house.zone), "quiet"),), ()
        more = 0 < self.list.size.height < len(self.list.keys)
        below = key_drawn("↓ for the rest") if more else ""
        return ((self._name_here(), "quiet"),), ((below, "quiet"),)

    def _name_here(self) -> str:
        """The marked lot by its whole name, and where it is."""
        need = self._needs.get(cast(Key, self.list.cursor_key))
        if need is None or need.lot_id is None or need.lot_ids[1:]:
            return ""
        lot_id = need.lot_id
        lot = self.house.read(lambda conn: lot_with_id(conn, lot_id))
        named = f"{lot.code} {whole_name(lot)}"
        return fitting([named, plain(lot.place or "")], self.app.size.width)

    def _then_at(self, width: int) -> int:
        """Cells before what is done, under each other on a wide screen; 0 where there are none."""
        if width < ONE_LINE_FROM:
            return 0
        room = width - max((cells(_then(need)) for need in self._needs.values()), default=0)
        said = [cells(_whole(need)) for need in self._needs.values()]
        return max((one for one in said if one <= room), default=0)

    def _need_lines(self, need: Need, width: int, at: int) -> list[Line]:
        """What happened, whole, and what is usually done then; on a wide screen in one line."""
        whole, then = _whole(need), _then(need)
        if at and cells(whole + then) <= width:
            return [((left(whole, max(at, cells(whole))), need.level), (then, ""))]
        words = without_brackets(need_words(need), width - 2)
        first, *more = wrapped(words, width - 2, MOST_LINES)
        lines: list[Line] = [((f"{SIGNS.get(need.level, ' ')} {first}", need.level),)]
        lines += [((f"  {text}", need.level),) for text in more]
        action, *rest = wrapped(plain(retold(need.action)), width - 6, MOST_LINES)
        return [
            *lines,
            ((f"    → {action}", "quiet"),),
            *(((f"      {text}", "quiet"),) for text in rest),
        ]

    def _stored_lines(self, need: StoredNeed, width: int) -> list[Line]:
        """A need snoozed or cleared; until or since when and why on a line of its own."""
        where = self._where.get(need.id)
        said = plain(f"{where}: {retold(need.message)}" if where else need.message)
        if need.cleared_at is not None:
            when = f"cleared {moment_words(need.cleared_at, self.house.zone)}"
        else:
            when = f"until {moment_words(need.snoozed_until or '', self.house.zone)}"
            when += f", {plain(need.reason)}" if need.reason else ""
        lines = wrapped(said, width - 4, MOST_LINES)
        return [
            *(((f"    {text}", "quiet"),) for text in lines),
            *(((f"      {text}", "quiet"),) for text in wrapped(when, width - 6, MOST_LINES)),
        ]

    # ── moving and doing ──────────────────────────────────────────────────────────────────

    def _here(self) -> Need:
        key = cast(Key | None, self.list.cursor_key)
        need = None if key is None else self._needs.get(key)
        if need is None:
            raise Refused(self._why_not(key))
        return need

    def _why_not(self, key: Key | None) -> str:
        """Why nothing can be snoozed on this line."""
        kept = self._stored_at(key)
        if kept is None:
            return "Nothing needs you now: there is nothing to snooze."
        return "That is over; it cleared by itself."

    def _stored_at(self, key: Key | None) -> StoredNeed | None:
        if key is None or key[0] != STORED:
            return None
        return next((n for n in (*self._asleep, *self._cleared) if n.id == key[1]), None)

    def _is_shown(self, key: object) -> bool:
        return key in self._needs or cast(Key, key)[0] == STORED

    def step(self, by: int) -> None:
        """The next need; further lines of one and the heads are stepped over."""
        self._to_need(by, self.list.cursor_key)

    def do_page_up(self) -> None:
        """One screen up."""
        self._page(-1)

    def do_page_down(self) -> None:
        """One screen down."""
        self._page(1)

    def _page(self, by: int) -> None:
        before = self.list.cursor_key
        self.list.page(by)
        if not self._is_shown(self.list.cursor_key):
            self._to_need(-by, before)

    def after_leap(self, by: int) -> None:
        """A leap ends on a need."""
        if self.list.keys and not self._is_shown(self.list.cursor_key):
            self._to_need(-by, self.list.cursor_key)

    def _to_need(self, by: int, before: object) -> None:
        """On to a line the cursor may stand on, all lines of it in sight; else back."""
        while (here := self.list.cursor_key) is not None:
            self.list.move(by)
            if self.list.cursor_key == here:
                self.list.move_to(cast(Key, before))
                break
            if self._is_shown(self.list.cursor_key):
                break
        self._see_whole()

    def _see_whole(self) -> None:
        """Scroll so far that what belongs to this line is in sight below it."""
        here = self.list.cursor_key
        if here is None:
            return
        keys = self.list.keys
        last = at = keys.index(here)
        while last + 1 < len(keys) and not self._is_shown(keys[last + 1]):
            last += 1
        self.list.move_to(keys[last])
        self.list.move_to(keys[at])


def _entry(key: object) -> object:
    """The need a line belongs to: its first line's key."""
    name, *rest = cast(Key, key)
    return (name.partition(MORE)[0], *rest)


def _whole(need: Need) -> str:
    """What happened, with its sign."""
    return f"{SIGNS.get(need.level, ' ')} {need_words(need)}"


def _then(need: Need) -> str:
    """What is usually done."""
    return f" → {plain(retold(need.action))}"


def beside(columns: int) -> int:
    """Cells of the lot beside the needs; 0 where there is no room."""
    return pane_columns(columns) if columns - pane_columns(columns) >= ONE_LINE_FROM else 0


def where_of(conn: Connection, need: StoredNeed) -> str:
    """The lot or the place a remembered need is about; nothing where it is about neither."""
    if need.lot_id is not None:
        try:
            return lot_with_id(conn, need.lot_id).code
        except NotFound:
            return ""
    return next((place.name for place in all_of(conn) if place.id == need.place_id), "")
