"""A page that is one list: how its cursor moves."""

from collections.abc import Hashable, Iterable
from typing import ClassVar

from textual.widget import Widget

from curedash.present.words import filled, text_of, wrapped
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import DashboardState
from curedash.tui.widgets.lines import FixedLines, LineList

MOST = 4  # lines of one sentence of an empty list


class ListPage(Page):
    """A page with a list, its cursor moved by the same commands everywhere."""

    HEADS: ClassVar[int] = 0  # lines above the list that never scroll
    CURSOR: ClassVar[bool] = True
    COLUMN: ClassVar[int] = 0  # cells of a column, where a long list may have several

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self.heads = FixedLines(house.styles, id="heads", lines=self.HEADS)
        self.list = LineList(house.styles, id="body", cursor=self.CURSOR)
        self.list.least_column = self.COLUMN

    def body(self) -> Iterable[Widget]:
        """The heads, if it has any, and the list."""
        yield from ((self.heads, self.list) if self.HEADS else (self.list,))

    def on_mount(self) -> None:
        """Fill the list."""
        self._fill()
        self._begin()

    def _begin(self) -> None:
        """What follows when the list is filled for the first time."""

    def changed(self, lots: set[int]) -> None:  # noqa: ARG002
        """Whatever was written may be shown here."""
        self._read()
        self._fill()

    def _read(self) -> object:
        """Read what the page shows."""

    def _fill(self) -> None:
        """Show it in the list."""

    def draw_foot(self) -> None:
        """What an empty list has to say stands near its head, quiet, and not far below it."""
        super().draw_foot()
        empty = self.is_mounted and not self.list.keys
        width = self.app.size.width
        words = self.idle_lines(width * MOST) if empty else ()  # cut nowhere: it is broken below
        said = (text_of(line).strip() for line in words)
        self.list.show_empty(tuple(row for text in said for row in wrapped(text, width - 2, MOST)))
        if empty and self.talking is None and not self._said and not self._busy:
            self.foot.show(filled((), width), filled((), width))

    def go_to(self, key: Hashable) -> None:
        """Put the cursor on a line."""
        self.list.move_to(key)

    def step(self, by: int) -> None:
        """The next line the cursor may stand on."""
        self.list.move(by)

    def after_leap(self, by: int) -> None:
        """After a leap up or down: to a line the cursor may stand on, where not every one is."""

    def do_up(self) -> None:
        """One line up."""
        self.step(-1)

    def do_down(self) -> None:
        """One line down."""
        self.step(1)

    def do_page_up(self) -> None:
        """One screen up."""
        self.list.page(-1)
        self.after_leap(-1)

    def do_page_down(self) -> None:
        """One screen down."""
        self.list.page(1)
        self.after_leap(1)

    def do_first(self) -> None:
        """To the first line."""
        self.list.move(-len(self.list.keys))
        self.after_leap(-1)

    def do_last(self) -> None:
        """To the last line."""
        self.list.move(len(self.list.keys))
        self.after_leap(1)
