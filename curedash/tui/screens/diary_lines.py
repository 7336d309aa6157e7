"""How the diary is drawn: the days to come, a month at a glance, a report, a text."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import cast

from curedash.domain.needs.days_away import Away
from curedash.domain.needs.diary import AwayLot, DiaryItem
from curedash.present.needs.diary import away_words, details, group_words, in_groups, is_at_target
from curedash.present.needs.month import (
    day_cells,
    heads,
    legend,
    month_days,
    month_line,
    name_cells,
)
from curedash.present.rack.meat import piece_words, whole_name
from curedash.present.words import (
    SIGNS,
    Line,
    below_words,
    cells,
    count,
    cut,
    days,
    left,
    plain,
    text_of,
    weekday,
    wrapped,
)
from curedash.services.needs import away
from curedash.services.needs.diary import AGENDA_DAYS, Diary, read_diary
from curedash.tui.chassis.commands import key_of, of_page
from curedash.tui.chassis.drawn_page import FOOT_LINES
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.state import DashboardState
from curedash.tui.widgets.lines import COLUMN

AGENDA, MONTH, REPORT, TEXT = "agenda", "month", "report", "text"
MONTH_DAYS, MOST_DAYS = 70, 60
NAMED_FROM = 100  # columns from which an entry names the meat of its lot
CODE_CELLS, MEAT_CELLS = 6, 32
WIDEST_TEXT = 100  # cells; longer lines are hard to read
STAND_IN = "the page for your stand-in"
BEFORE_ITEM = 4  # cells before what an entry says
HANGING = 4  # more of them before its further lines
MOST_LINES = 3  # of an entry
AROUND = 6  # title, heads, foot


class DiaryLines(ListPage):
    """The four views of the diary and the cursor in them."""

    HEADS = 2

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self.view = AGENDA
        self.block: Away | None = None  # the days a report is about
        self._report: list[AwayLot] = []
        self._text: list[str] = []
        self._text_for: Callable[[int], Sequence[str]] = lambda _width: ()
        self._left_at: object = None  # the line of the days one comes back to
        self._about = ""
        self._weighs_too = False  # who stands in weighs on days away too
        self._groups: list[tuple[DiaryItem, ...]] = []  # the entries, a line each
        self._diary = self._read_days(AGENDA_DAYS)

    def _read_days(self, length: int) -> Diary:
        return self.house.read(read_diary, self.house.now(), days=length)

    # ── filling and drawing ───────────────────────────────────────────────────────────────

    def _begin(self) -> None:
        """Put the cursor on the first entry."""
        self._on_an_entry(1)

    def on_resize(self) -> None:
        """Another width: what is broken into lines is broken anew."""
        self._fill()

    def changed(self, lots: set[int]) -> None:  # noqa: ARG002
        """Whatever was written may move a day."""
        self._fill()

    def minute_passed(self) -> None:
        """A new day moves everything."""
        if self._diary.today != self.house.today():
            self._fill()

    def _fill(self) -> None:
        self._diary = self._read_days(AGENDA_DAYS if self.view == AGENDA else MONTH_DAYS)
        if self.view == REPORT and self.block is not None:
            block, now = self.block, self.house.now()
            self._report = self.house.read(away.report, block, now)
        keys = {
            AGENDA: self._agenda_keys,
            MONTH: self._month_keys,
            REPORT: self._report_keys,
            TEXT: self._text_keys,
        }[self.view]()
        self.list.least_column = COLUMN if self.view == AGENDA else 0
        self.list.owner = _entry_of if self.view == AGENDA else None
        self.list.with_cursor(self.view != TEXT)
        self.list.show(keys, self._line)
        self.draw()

    def draw(self) -> None:
        """Heads for the width, and the rest."""
        width = self.app.size.width
        first, second = "", ""
        if self.view == MONTH:
            first, second = heads(
                month_days(self._diary.today, width), name_cells(width), day_cells(width)
            )
        elif self.view == REPORT and self.block is not None:
            first = f" away {days(self.block.first, self.block.last)}: what to do before"
        elif self.view == AGENDA:
            first = f" {count(AGENDA_DAYS, 'day')}, including today"
        self.heads.show(((cut(first, width), "quiet"),), ((cut(second, width), "quiet"),))
        super().draw()
        self.list.redraw_all()

    def _agenda_keys(self) -> list[object]:
        keys: list[object] = []
        seen, width = None, self._column_width()
        self._groups = in_groups(self._diary.items)
        for n, group in enumerate(self._groups):
            on = max(group[0].first, self._diary.stretch.first)
            if on != seen:
                keys.append(("day", on))
                seen = on
            further = range(1, len(self._entry(group, width)))
            keys += [("item", n), *(("item", n, line) for line in further)]
        return keys

    def _column_width(self) -> int:
        """Cells of an entry: the days have several columns in a wide window."""
        size = self.app.size
        lines = len(self._groups) + len({group[0].first for group in self._groups})
        columns = -(-lines // max(1, size.height - AROUND))
        return size.width // max(1, min(size.width // COLUMN, columns))

    def _entry(self, group: tuple[DiaryItem, ...], width: int) -> list[str]:
        """What an entry says, in as many lines as it takes; with its meat where there is room."""
        room = width - BEFORE_ITEM
        words = group_words(group, named=self.app.size.width >= NAMED_FROM)
        if cells(words) > room:
            words = group_words(group)
        first, *more = wrapped(words, room, MOST_LINES)
        if not more:
            return [first]
        rest = words[len(first) :].strip()
        return [first, *wrapped(rest, room - HANGING, MOST_LINES - 1)]

    def _month_keys(self) -> list[object]:
        lots = {item.lot.id: item.lot for item in self._diary.items if item.lot is not None}
        ordered = sorted(lots.values(), key=lambda lot: lot.position)
        return [("lot", lot.id) for lot in ordered]

    def _report_keys(self) -> list[object]:
        """A line a lot, or more where the words are long."""
        room = _clause_room(self.app.size.width)
        return [(row.lot.id, n) for row in self._report for n, _ in enumerate(_clauses(row, room))]

    def _text_keys(self) -> list[object]:
        self._text = list(self._text_for(min(self.app.size.width, WIDEST_TEXT)))
        return list(range(len(self._text)))

    def _line(self, key: object) -> Line:
        width = self.list.column_width
        draw: Callable[[object, int], Line] = {
            AGENDA: self._agenda_line,
            MONTH: self._month_line,
            REPORT: self._report_line,
            TEXT: lambda at, width: ((cut(plain_line(self._text[cast(int, at)]), width), ""),),
        }[self.view]
        return draw(key, width)

    def _agenda_line(self, key: object, width: int) -> Line:
        _, value, *further = cast("tuple[str, date | int] | tuple[str, int, int]", key)
        if isinstance(value, date):
            today = " (today)" if value == self._diary.today else ""
            return ((f"  {weekday(value)}{today}", "title"),)
        group = self._groups[value]
        item = group[0]
        reached = item.kind == "pull" and item.lot is not None and is_at_target(item.lot)
        level = "today" if reached and item.level not in SIGNS else item.level
        sign = SIGNS.get(level, " ")
        tone = level if level in ("act", "today") else "quiet"
        if tone == "today" and item.first > self._diary.today:
            tone = ""  # amber is for today
        lines, at = self._entry(group, width), further[0] if further else 0
        before = " " * (BEFORE_ITEM + HANGING) if further else f"  {sign} "
        return ((before + lines[at], tone),) if at < len(lines) else ()

    def _month_line(self, key: object, width: int) -> Line:
        _, lot_id = cast(tuple[str, int], key)
        lot = next(i.lot for i in self._diary.items if i.lot is not None and i.lot.id == lot_id)
        shown = month_days(self._diary.today, width)
        away = self._diary.stretch.away
        name, each = name_cells(width), day_cells(width)
        return ((month_line(lot, self._diary.items, shown, away, name, each), ""),)

    def _report_line(self, key: object, width: int) -> Line:
        lot_id, number = cast(tuple[int, int], key)
        row = next(row for row in self._report if row.lot.id == lot_id)
        words = _clauses(row, _clause_room(width))[number]
        tone = {
            "out-before": "act",
            "stand-in": "act",
            "pull-or-hold": "today",
            "open": "today",
            "due-before": "today",
            "weigh": "today",
        }.get(row.asks, "quiet")
        sign = SIGNS.get(tone, " ") if number == 0 else " "
        room = _name_room(width)
        name = row.lot.code
        if room > CODE_CELLS:
            name = f"{name} {piece_words(row.lot, room - cells(name) - 2)}"
        name = left(name if number == 0 else "", room)
        said = "" if tone == "today" else tone  # amber is for today
        return ((f" {sign} ", tone), (name, "strong"), (words, said))

    def title_line(self, width: int) -> Line:
        """Which view, and how much there is."""
        blocks = self._diary.stretch.away
        gone = "" if not blocks else f" · away {', '.join(days(b.first, b.last) for b in blocks)}"
        items = count(len(self._diary.items), "entry", "entries")
        more = below_words(self.list.below)
        words = {
            AGENDA: f"{items}{gone}",
            MONTH: f"month{gone}",
            REPORT: "days away",
            TEXT: self._about,
        }[self.view]
        room = max(0, width - 8 - cells(more) - 1)
        return (("DIARY   ", "title"), (left(words, room) + " ", ""), (more, "quiet"))

    def draw_foot(self) -> None:
        """The title follows what is in sight."""
        self.draw_heading()
        super().draw_foot()

    def idle_lines(self, width: int) -> tuple[Line, ...]:
        """The legend of the month, or what the marked line is about."""
        if self.view == MONTH and self.list.keys:
            shown = "".join(text_of(self._line(key))[name_cells(width) :] for key in self.list.keys)
            return tuple(((line, "quiet"),) for line in legend(width, shown))
        if self.view == REPORT:
            return (), ()
        if self.view == TEXT:
            return (), ()
        if not self._diary.items:
            return (
                (
                    "Nothing is planned for these days. What cures or hangs will be listed here.",
                    "quiet",
                ),
            ), ()
        group = self._group_here()
        if not group or group[0].lot is None:
            return (), ()
        item, lot = group[0], group[0].lot
        if group[1:]:
            all_of = f"{group_words(group)} · {plain(lot.place or '')}".rstrip(" ·")
            return tuple(((line, "quiet"),) for line in wrapped(all_of, width))
        name, more = f"{lot.code} {whole_name(lot)}", details(item)[1:]
        while more and len(wrapped(" · ".join([name, *more]), width, FOOT_LINES + 1)) > FOOT_LINES:
            more.pop()  # whole or not at all
        said = wrapped(" · ".join([name, *more]), width)
        return tuple(((line, "quiet"),) for line in said)

    def hints(self) -> list[Hint]:
        """The keys of what is shown: days, month, days away, a text."""
        verbs = {
            AGENDA: ("open", "view", "new", "record", "what-if")
            if self._diary.items
            else ("new", "record", "what-if"),
            MONTH: ("open", "view", "new", "record") if self.list.keys else ("view", "new"),
            REPORT: ("open", "save", "record", "new"),
            TEXT: ("save",) if self._about == STAND_IN else ("what-if",),
        }[self.view]
        words = {"view": "days"} if self.view == MONTH else {}
        by_id = {command.id: command.label for command in of_page(self.NAME)}
        verbs = ("keys", "leave", *verbs)
        return [
            (key_of(f"diary.{verb}"), words.get(verb, by_id[f"diary.{verb}"])) for verb in verbs
        ]

    # ── moving ────────────────────────────────────────────────────────────────────────────

    def step(self, by: int) -> None:
        """The next entry: a day is only a heading."""
        super().step(by)
        self._on_an_entry(by)
        self.draw_foot()

    def after_leap(self, by: int) -> None:
        """A leap ends on an entry."""
        self._on_an_entry(by)
        self.draw_foot()

    def _on_an_entry(self, by: int) -> None:
        """From the name of a day, or a further line, on to the first line of an entry."""
        if self.view != AGENDA or not self.list.keys:
            return
        keys, by = self.list.keys, 1 if by >= 0 else -1
        at = keys.index(self.list.cursor_key)
        shown = [n for n, key in enumerate(keys) if _is_first_line(key)]
        ahead = [n for n in shown if (n - at) * by >= 0] or shown
        if ahead:
            self.list.move_to(keys[min(ahead, key=lambda n: abs(n - at))])

    def _here(self) -> DiaryItem | None:
        """The entry under the cursor of the agenda; of several lots the first."""
        group = self._group_here()
        return group[0] if group else None

    def _group_here(self) -> tuple[DiaryItem, ...]:
        key = self.list.cursor_key
        if self.view != AGENDA or not isinstance(key, tuple) or key[0] != "item":
            return ()
        return self._groups[key[1]]

    def do_leave(self) -> None:
        """Back to the days, then back to where one came from."""
        if self.view == AGENDA:
            self.leave()
        else:
            self._turn_to(AGENDA)

    def do_view(self) -> None:
        """The month at a glance; again: the days."""
        self._turn_to(AGENDA if self.view == MONTH else MONTH)

    def _turn_to(self, view: str) -> None:
        """Another view from its first line on; the days again where they were left."""
        if self.view == AGENDA:
            self._left_at = self.list.cursor_key
        changes, self.view = view != self.view, view
        self._fill()
        if changes:
            self.list.move(-len(self.list.keys))
        if changes and view == AGENDA:
            self.list.move_to(self._left_at)
            self.draw_foot()


def _entry_of(key: object) -> object:
    """What a line of the days belongs to."""
    return key[:2] if isinstance(key, tuple) else key


def _is_first_line(key: object) -> bool:
    """Whether the cursor may stand on a line of the days."""
    return isinstance(key, tuple) and key[0] == "item" and len(key) == 2


def _name_room(width: int) -> int:
    """Cells of the lot in a report: its code, and its meat where there is room for both."""
    return MEAT_CELLS if width >= NAMED_FROM else CODE_CELLS


def _clause_room(width: int) -> int:
    """Cells of what is said beside it."""
    return min(width - 4 - _name_room(width), WIDEST_TEXT)


def _clauses(row: AwayLot, room: int) -> list[str]:
    """What days away mean for a lot, a clause a line."""
    return [line for part in away_words(row).split("; ") for line in wrapped(part, room, most=3)]


def plain_line(line: str) -> str:
    """A line of a paper with its indent."""
    indent = len(line) - len(line.lstrip(" "))
    return " " * indent + plain(line.lstrip(" "))
