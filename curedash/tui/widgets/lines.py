"""Lines on the screen: one line is repainted when one line changed, never the whole widget."""

from collections.abc import Callable, Hashable, Sequence

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Offset, Region
from textual.strip import Strip
from textual.widget import Widget

from curedash.present.rack.layout import LEAST_COLUMNS, LEAST_LINES
from curedash.present.signs import drawn
from curedash.present.words import SIGNS, Line, Span, cells, filled, text_of, wrapped

Styles = dict[str, Style]  # of each tone; ``@`` behind it on the row of the cursor

MARKS = " " + "".join(sign.strip() for sign in SIGNS.values())


def strip_of(line: Sequence[Span], styles: Styles, width: int, mark: str = "") -> Strip:
    """A line as the screen library wants it, exactly ``width`` cells wide."""
    base = styles[mark] if mark in styles else styles[""]
    runs: list[tuple[str, Style]] = []
    for full, tone in line:
        text = drawn(full)
        style = styles.get(tone + mark, base)
        blank = not text.strip() and runs and not runs[-1][1].reverse
        if runs and (runs[-1][1] == style or blank):
            runs[-1] = (runs[-1][0] + text, runs[-1][1])
        elif text:
            runs.append((text, style))
    return Strip([Segment(text, style) for text, style in runs]).adjust_cell_length(width, base)


def changed_cells(old: Line, new: Line, width: int) -> tuple[int, int]:
    """From which cell to which a line differs; the whole of it where a sign takes two cells.

    Example
    -------
    >>> changed_cells((("lost 31 %", ""),), (("lost 35 %", ""),), 9)
    (6, 7)
    """
    before = [(char, tone) for text, tone in old for char in text]
    after = [(char, tone) for text, tone in new for char in text]
    if len(before) != len(after) or any(cells(text) != len(text) for text, _ in (*old, *new)):
        return 0, width
    differ = [at for at, (one, other) in enumerate(zip(before, after, strict=True)) if one != other]
    return (differ[0], min(width, differ[-1] + 1)) if differ else (0, width)


CARET = "▏"
POINTER = "›"
COLUMN = 59  # cells that a line needs; a long list has as many columns as fit
TOO_SMALL = f"The window is too small: curedash needs {LEAST_COLUMNS} × {LEAST_LINES} at least."


def pointed(line: Line) -> Line:
    """The marked line with its pointer between sign and words, else in a free first cell.

    Example
    -------
    >>> pointed((("! H1", "act"),)), pointed(((" 24 Nov", ""),)), pointed((("H1", ""),))
    ((('!›H1', 'act'),), (('›24 Nov', ''),), (('H1', ''),))
    """
    if not line:
        return line
    (text, tone), *rest = line
    at = 1 if text[1:2] == " " and text[0] in MARKS else 0
    if text[at : at + 1] != " ":
        return line
    return ((text[:at] + POINTER + text[at + 1 :], tone), *rest)


class Drawn(Widget):
    """Lines drawn one by one; the terminal's own cursor stands where the caret or mark is."""

    can_focus = False

    def __init__(self, styles: Styles, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._ink = styles

    def render_line(self, y: int) -> Strip:
        """One line for the compositor; in a window that is too small a sentence instead."""
        size = self.app.size
        if size.width < LEAST_COLUMNS or size.height < LEAST_LINES:
            said = wrapped(TOO_SMALL, max(1, size.width), size.height)
            at = self.region.y + y
            text = said[at] if at < len(said) else ""
            return strip_of(((text, ""),), self._ink, self.size.width)
        line, mark = self.drawn_line(y)
        self._place_cursor(y, line, mark)
        return strip_of(pointed(line) if mark else line, self._ink, self.size.width, mark)

    def drawn_line(self, y: int) -> tuple[Line, str]:
        """A line and the mark of its tones, ``@`` under the cursor."""
        raise NotImplementedError

    def _place_cursor(self, y: int, line: Line, mark: str) -> None:
        """For a screen reader, which follows the terminal's cursor; shown only as a caret."""
        before, caret, _ = text_of(line).partition(CARET)
        here = self.region.offset + Offset(cells(before), y)
        cursor = getattr(self.app, "caret", None)
        if cursor is None:
            return
        if caret:
            cursor.put_at(here)
        elif cursor.shown and cursor.at.y == here.y:
            cursor.gone()
        elif mark and not cursor.shown:
            cursor.marks(self.region.offset + Offset(0, y))


class FixedLines(Drawn):
    """A few lines that stay where they are: a title, heads, the foot."""

    def __init__(self, styles: Styles, *, id: str | None = None, lines: int = 1) -> None:
        super().__init__(styles, id=id)
        self._lines: list[Line] = [()] * lines
        self.styles.height = lines

    def line(self, y: int) -> Line:
        """What stands on a line."""
        return self._lines[y]

    @property
    def room(self) -> int:
        """How many lines there is room for."""
        return len(self._lines)

    def make_room(self, lines: int) -> bool:
        """Have room for so many lines; True if the screen is laid out anew for that."""
        if lines == len(self._lines):
            return False
        self._lines = (self._lines + [()] * lines)[:lines]
        self.styles.height = lines
        return True

    def show(self, *lines: Line) -> None:
        """Put these lines on the screen; only those that differ are repainted."""
        for y, line in enumerate(lines):
            if y < len(self._lines) and self._lines[y] != line:
                first, last = changed_cells(self._lines[y], line, self.size.width)
                self._lines[y] = line
                self.refresh(Region(first, y, last - first, 1))

    def drawn_line(self, y: int) -> tuple[Line, str]:
        """As it was shown last."""
        return (self._lines[y] if y < len(self._lines) else ()), ""


class LineList(Drawn):
    """Many lines by key, with a cursor that stays on its key whatever is added or taken away.

    It scrolls by itself: a virtual size would lay the whole screen out again at each change.
    """

    def __init__(self, styles: Styles, *, id: str | None = None, cursor: bool = True) -> None:
        super().__init__(styles, id=id)
        self._keys: list[Hashable] = []
        self._at: dict[Hashable, int] = {}
        self._draw: Callable[[Hashable], Line] = lambda _key: ()
        self._shown: dict[Hashable, Line] = {}
        self._cursor = 0
        self._top = 0
        self._width = 0  # the width the lines shown were drawn for
        self._with_cursor = cursor
        self.least_column = 0  # cells of a column, where a long list may have several
        self._empty: tuple[str, ...] = ()
        self.owner: Callable[[Hashable], Hashable] | None = None  # whose line a further line is
        self.moved: Callable[[], None] | None = None  # called when the cursor is on another line

    @property
    def keys(self) -> list[Hashable]:
        """The keys in the order shown."""
        return self._keys

    @property
    def top(self) -> int:
        """Which line stands first on the screen."""
        return self._top

    @property
    def columns(self) -> int:
        """How many columns: one, but for a long list in a wide window."""
        wide = self.size.width // self.least_column if self.least_column else 1
        return max(1, min(wide, -(-len(self._keys) // max(1, self.size.height))))

    @property
    def column_width(self) -> int:
        """Cells of a line."""
        return (self.size.width or self.app.size.width) // self.columns

    @property
    def _seen(self) -> int:
        """How many lines are seen at once."""
        return self.size.height * self.columns

    @property
    def cursor_key(self) -> Hashable | None:
        """The key under the cursor, None on an empty list."""
        return self._keys[self._cursor] if self._keys else None

    def show(self, keys: Sequence[Hashable], draw: Callable[[Hashable], Line]) -> None:
        """Show these keys in this order; ``draw`` makes the line of a key when it is visible."""
        kept = self.cursor_key
        self._draw = draw
        same = list(keys) == self._keys
        before = [] if same else self._as_drawn()
        self._keys = list(keys)
        self._at = {key: at for at, key in enumerate(self._keys)}
        if same:
            self.redraw(self._keys)
            return
        self._shown.clear()
        self._cursor = self._at.get(kept, min(self._cursor, max(0, len(self._keys) - 1)))
        self._top = self._held(self._top)
        if self._with_cursor and self.size.height:
            lowest = max(self._top, self._cursor - self._seen + 1)
            self._top = self._held(min(lowest, self._cursor))
        self._repaint_after(before)

    def _as_drawn(self) -> list[tuple[Line, str] | None]:
        """The lines on the screen as they were drawn last; None for one that was not."""
        if self._width != self.column_width or self.columns > 1:
            return []
        found: list[tuple[Line, str] | None] = []
        for at in range(self._top, self._top + self.size.height):
            here = at < len(self._keys)
            line = self._shown.get(self._keys[at]) if here else ()
            mark = "@" if here and self._with_cursor and self._is_marked(at) else ""
            found.append(None if line is None else (line, mark))
        return found

    def _repaint_after(self, before: list[tuple[Line, str] | None]) -> None:
        """Repaint the cells that differ from those of before."""
        if not before or not self._keys:
            self.refresh()
            return
        width = self.size.width
        for y, old in enumerate(before):
            new = self.drawn_line(y)
            if old != new:
                alike = old is not None and old[1] == new[1] == ""
                first, last = changed_cells(old[0], new[0], width) if old and alike else (0, width)
                self.refresh(Region(first, y, last - first, 1))

    def show_empty(self, words: tuple[str, ...]) -> None:
        """What stands on the second line on while there are no keys."""
        if words != self._empty:
            self._empty = words
            self.refresh()

    def redraw(self, keys: Sequence[Hashable]) -> None:
        """Repaint those of these keys whose line has changed."""
        for key in keys:
            at = self._at.get(key)
            old = self._shown.pop(key, None)
            if at is None or old is None or not self._visible(at):
                continue
            line = self._shown[key] = self._draw(key)
            if line != old:
                first, last = changed_cells(old, line, self.column_width)
                column, y = divmod(at - self._top, self.size.height)
                self.refresh(Region(column * self.column_width + first, y, last - first, 1))

    def redraw_all(self) -> None:
        """Draw every visible line again, e.g. after a resize."""
        self._shown.clear()
        self.refresh()

    def move_to(self, key: Hashable) -> None:
        """Put the cursor on a key."""
        if key in self._at:
            self._go(self._at[key])

    def move(self, by: int) -> None:
        """Move the cursor by lines; it stops at the ends."""
        if self._with_cursor:
            self._go(max(0, min(len(self._keys) - 1, self._cursor + by)))
        else:
            self._begin_at(self._top + by)

    @property
    def below(self) -> int:
        """Lines out of sight below; none before the list has a height."""
        return max(0, len(self.keys) - self.top - self._seen) if self.size.height else 0

    @property
    def has_cursor(self) -> bool:
        """Whether a line is marked."""
        return self._with_cursor

    @property
    def marked_key(self) -> Hashable | None:
        """The key of the marked entry, whichever of its lines the cursor is on."""
        return self._entry_of(self._cursor) if self._keys else None

    def key_at(self, y: int, x: int = 0) -> Hashable | None:
        """The key of the entry on a line of the screen, of several lines the first one's."""
        at = y + self._top + min(x // self.column_width, self.columns - 1) * self.size.height
        return self._entry_of(at) if 0 <= at < len(self._keys) else None

    def _entry_of(self, at: int) -> Hashable:
        if self.owner is None:
            return self._keys[at]
        owner = self.owner(self._keys[at])
        return next(key for key in self._keys if self.owner(key) == owner)

    def reveal(self, keys: Sequence[Hashable]) -> None:
        """Scroll as little as brings these lines into sight; the later ones and the cursor win."""
        top = self._top
        if not self.size.height or not self._keys:
            return
        for at in (*(self._at[key] for key in keys if key in self._at), self._cursor):
            top = min(max(top, at - self._seen + 1), at)
        self._begin_at(top)

    def scroll_by_lines(self, by: int) -> None:
        """Show what is further on; the cursor goes along where it would be out of sight."""
        if not self._begin_at(self._top + by) or not self._with_cursor:
            return
        last = min(len(self._keys), self._top + self._seen) - 1
        seen = min(max(self._cursor, self._top), last)
        if seen != self._cursor:
            self.move_to(self._entry_of(seen))

    def page(self, by: int) -> None:
        """Move by screens."""
        self.move(by * max(1, self._seen - 1))

    def _go(self, at: int) -> None:
        if at == self._cursor or not self._keys:
            return
        before, self._cursor = self._cursor, at
        if self.owner is not None:
            self._follow()
            self.refresh()  # an entry of several lines is marked whole
        elif not self._follow():
            self._repaint(before)
            self._repaint(at)
        if self.moved is not None:
            self.moved()

    def _follow(self) -> bool:
        """Scroll so that the cursor is in sight; True if that repaints anyway."""
        height = self.size.height
        if not height or not self._with_cursor:
            return False
        return self._begin_at(min(max(self._top, self._cursor - self._seen + 1), self._cursor))

    def _held(self, top: int) -> int:
        """The first line to show, so that the list fills what it can."""
        return max(0, min(top, len(self._keys) - max(1, self._seen)))

    def _begin_at(self, top: int) -> bool:
        """Show the lines from this one on; True if that moved anything."""
        top = self._held(top)
        if top == self._top:
            return False
        self._top = top
        self.refresh()
        return True

    def _is_marked(self, at: int) -> bool:
        """Whether the cursor is on this line, or on the entry it belongs to."""
        if self.owner is None or at == self._cursor:
            return at == self._cursor
        return self.owner(self._keys[at]) == self.owner(self._keys[self._cursor])

    def with_cursor(self, on: bool) -> None:
        """Mark a line, or none any more."""
        if on != self._with_cursor:
            self._with_cursor = on
            self.refresh()

    def _visible(self, at: int) -> bool:
        return 0 <= at - self._top < self._seen

    def _repaint(self, at: int) -> None:
        y = (at - self._top) % max(1, self.size.height)
        self.refresh(Region(0, y, self.size.width, 1))

    def on_resize(self) -> None:
        """Keep the cursor in sight."""
        self._begin_at(self._top)
        self._follow()

    def drawn_line(self, y: int) -> tuple[Line, str]:
        """The line of the key at that place; of several columns side by side."""
        if self._width != self.column_width:
            self._width = self.column_width
            self._shown.clear()
        if self.columns == 1:
            return self._line_at(y, y + self._top)
        whole: list[Span] = []
        for column in range(self.columns):
            line, mark = self._line_at(y, y + self._top + column * self.size.height)
            line = filled(pointed(line) if mark else line, self.column_width)
            whole += [(text, tone + mark) for text, tone in line]
        return tuple(whole), ""

    def _line_at(self, y: int, at: int) -> tuple[Line, str]:
        """The line of a key, and its mark."""
        if not self._keys and 0 < y <= len(self._empty):
            return ((f"  {self._empty[y - 1]}", "quiet"),), ""
        if at >= len(self._keys):
            return (), ""
        key = self._keys[at]
        line = self._shown.get(key)
        if line is None:
            line = self._shown[key] = self._draw(key)
        return line, "@" if self._with_cursor and self._is_marked(at) else ""
