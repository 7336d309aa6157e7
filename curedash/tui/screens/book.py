"""Book: finished lots in order, their curves over each other, and making one again."""

from collections.abc import Iterable
from typing import cast

from textual.widget import Widget

from curedash.domain.errors import Refused
from curedash.domain.household.book import ORDERS, FinishedLot, filtered, ordered
from curedash.domain.records import LotState
from curedash.present.drying.curve import LETTERS, laid_over_lines
from curedash.present.household import book as book_words
from curedash.present.household.book import Layout
from curedash.present.words import Line, cells, cut, plain
from curedash.services.drying.past_windows import Score, score_of
from curedash.services.find import lot_with_id
from curedash.services.household.book import laid_over, read_book, what_before
from curedash.services.household.undo import undo_last
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.drawn_page import FOOT_LINES
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.state import DashboardState
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.prompt import Ask
from curedash.tui.widgets.lines import LineList

AROUND = 5  # title, heads, foot
TALL = 30  # lines of a window from which the curves are below a short list
LEAST_BELOW = 12  # lines that they need there
BASE = "loss from hang weight"

#: what has nothing to work on where no lot is listed
NEEDS_A_ROW = (
    *("book.open", "book.view", "book.mark", "book.new", "book.pack", "book.price"),
    *("book.tag", "book.record", "book.undo", "book.order"),
)


class Book(ListPage):
    """Every finished lot, one line each."""

    NAME = "book"
    HEADS = 1

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self._all: list[FinishedLot] = []
        self._rows: dict[int, FinishedLot] = {}
        self._marked: dict[int, None] = {}  # in the order they were marked
        self._order = ORDERS[0]
        self._find = ""
        self._style: str | None = None
        self._drawn: list[Line] = []
        self._overlaid = False
        self._scores: dict[tuple[str, str | None], Score | None] = {}
        self.curves = LineList(house.styles, id="curves", cursor=False)
        self.curves.styles.display = "none"
        self._laid_ids: list[int] = []  # of the lots whose curves are drawn
        self.list.moved = self._curves_follow
        self._read()

    def body(self) -> Iterable[Widget]:
        """Heads, rows; the curves take their place when they are asked for."""
        yield from super().body()
        yield self.curves

    # ── reading ───────────────────────────────────────────────────────────────────────────

    def _read(self) -> None:
        self._all = self.house.read(lambda conn: read_book(conn))
        self._scores.clear()
        known = {row.id for row in self._all}
        self._marked = {lot_id: None for lot_id in self._marked if lot_id in known}

    def on_resize(self) -> None:
        """A new width draws everything again."""
        self._fill()

    def _fill(self) -> None:
        rows = ordered(filtered(self._all, text=self._find, style=self._style), self._order)
        self._rows = {row.id: row for row in rows}
        self.list.show(list(self._rows), self._line)
        self._lay_out()
        self.draw()

    def _lines_below(self) -> int:
        """Lines that a short list leaves for the curves below it; 0 where they are too few."""
        left = self.app.size.height - AROUND - len(self._rows) - 1
        tall = self.app.size.height >= TALL and self._rows
        return left if tall and left >= LEAST_BELOW else 0

    def _lay_out(self) -> None:
        """The list, the curves, or both."""
        below = 0 if self._overlaid else self._lines_below()
        self.list.styles.display = "none" if self._overlaid else "block"
        self.list.styles.height = len(self._rows) + 1 if below else "1fr"
        self.curves.styles.display = "block" if self._overlaid or below else "none"
        if self._overlaid or below:
            self._draw_curves(below or self.app.size.height - AROUND)

    def _curves_follow(self) -> None:
        """Below the list are the curves of the style under the cursor, or those marked."""
        below = 0 if self._overlaid else self._lines_below()
        if below and self._laid_ids != [row.id for row in self._laid()]:
            self._draw_curves(below)

    # ── drawing ───────────────────────────────────────────────────────────────────────────

    def draw(self) -> None:
        """Heads, title, foot."""
        layout = self._layout()
        words = "" if self._overlaid else book_words.heads_line(layout)
        self.heads.show(((words, "quiet"),))
        super().draw()

    def _layout(self) -> Layout:
        """The columns; one that is empty in every lot is left out."""
        with_cost = any(row.cost_per_kg is not None for row in self._all)
        longest = max((cells(plain(row.place or "")) for row in self._all), default=0)
        width = self.app.size.width
        return book_words.layout_for(width, with_cost=with_cost, longest_place=longest)

    def _line(self, key: object) -> Line:
        lot_id = cast(int, key)
        layout = self._layout()
        return book_words.book_row(
            self._rows[lot_id], lot_id in self._marked, layout, self.house.zone
        )

    def title_line(self, width: int) -> Line:
        """How many, in which order, which of them."""
        words = book_words.title_words(len(self._rows), len(self._all), self._order, self._find)
        if self._style is not None:
            words += f" · {plain(self._style)}"
        with_base = f"{words} · {BASE}"
        if cells(with_base) <= width - 7:
            words = with_base
        if self._overlaid:
            words = self._curves_title(width)
        return (("BOOK   ", "title"), (cut(words, max(0, width - 7)), ""))

    def _curves_title(self, width: int) -> str:
        """Which curves, and what they show."""
        which = f"{len(self._marked)} marked" if self._marked else "same style"
        words = f"{which} · loss from hang weight by days since hanging"
        return words if cells(words) <= width - 7 else f"{which} · % lost by days hung"

    def idle_lines(self, width: int) -> tuple[Line, ...]:
        """What was thought of the marked lot, and what lots like it did here before."""
        if not self._all:
            return ((_none_yet(), ""),), ()
        if not self._rows:
            return (("No lot matches; Esc shows all again.", ""),), ()
        row = self._here()
        found = self.house.read(what_before, style=row.style, species=row.species, place=row.place)
        name = f"{plain(row.style_name)} in {plain(row.place)}" if row.place else row.style_name
        about = book_words.about_lines(row, width, price_key=key_of("book.price"))
        return (*about, book_words.before_line(name, found, self._score(row), width))[:FOOT_LINES]

    def _score(self, row: FinishedLot) -> Score | None:
        """How the windows of its style did in its place; read once until something changes."""
        key = (row.style, row.place)
        if key not in self._scores:
            self._scores[key] = self.house.read(score_of, *key)
        return self._scores[key]

    def hints(self) -> list[Hint]:
        """On the curves the same key leads back to the list."""
        usual = super().hints()
        if not self._overlaid:
            return usual
        return [(key, "list" if label == "curves" else label) for key, label in usual]

    def cannot(self) -> tuple[str, ...]:
        """What needs a row, where there is none; marks are not seen on the curves."""
        if not self._rows:
            return NEEDS_A_ROW if self._all else (*NEEDS_A_ROW, "book.find", "book.alike")
        return ("book.mark",) if self._overlaid else ()

    def _draw_curves(self, height: int) -> None:
        rows = self._laid()
        self._laid_ids = [row.id for row in rows]
        house, names = self.house, {row.code: _name(row) for row in rows}
        found = house.read(laid_over, [row.id for row in rows], house.now())
        width = self.app.size.width
        head: list[Line] = (
            [] if self._overlaid else [((f"  {self._curves_title(width)}", "quiet"),)]
        )
        lines = laid_over_lines(
            [(names.get(code, code), points) for code, points in found.items()],
            width,
            height - len(head),
        )
        self._drawn = [*head, *lines]
        lines = self._drawn
        self.curves.show(range(len(lines)), lambda at: self._drawn[cast(int, at)])

    def _laid(self) -> list[FinishedLot]:
        """The marked lots, else those of the style under the cursor."""
        if self._marked:
            by_id = {row.id: row for row in self._all}
            return [by_id[lot_id] for lot_id in self._marked][: len(LETTERS)]
        style = self._here().style
        alike = [row for row in self._rows.values() if row.style == style]
        return alike[: len(LETTERS)]

    # ── moving and choosing ───────────────────────────────────────────────────────────────

    def _here(self) -> FinishedLot:
        key = self.list.cursor_key
        if key is None:
            raise Refused(_none_yet())
        return self._rows[cast(int, key)]

    def do_order(self) -> None:
        """The next order."""
        self._order = ORDERS[(ORDERS.index(self._order) + 1) % len(ORDERS)]
        self._fill()

    def do_find(self) -> None:
        """Only lots with these words."""

        def live(text: str) -> None:
            self._find = text.strip()
            self._fill()

        self.talk(
            Ask(
                self,
                "find",
                live,
                text=self._find,
                live=live,
                gone=lambda: live(""),
                help="code, name, species, cut, style, place or note; Esc shows all",
            )
        )

    def do_alike(self) -> None:
        """Only lots of this style; again: all."""
        self._style = None if self._style is not None else self._here().style_name
        self._fill()

    def do_mark(self) -> None:
        """Mark this lot for its curve, or take the mark away."""
        row = self._here()
        if row.id in self._marked:
            del self._marked[row.id]
        elif len(self._marked) >= len(LETTERS):
            raise Refused(f"At most {len(LETTERS)} curves fit together; take one mark off first.")
        else:
            self._marked[row.id] = None
        self.list.redraw([row.id])
        self.list.move(1)
        self._curves_follow()

    def do_view(self) -> None:
        """Curves over each other, or the table again."""
        self._here()
        self._overlaid = not self._overlaid
        self._lay_out()
        self.draw()

    # ── going on ──────────────────────────────────────────────────────────────────────────

    def do_open(self) -> None:
        """The page of this lot."""
        self.show("lot", lot_id=self._here().id)

    def do_pack(self) -> None:
        """Packs of this lot; of the marked lots one mixed pack."""
        from curedash.tui.flows import lot_packs

        if len(self._marked) > 1:
            codes = [row.code for row in self._all if row.id in self._marked]
            converse(self, lambda: lot_packs.mixing(self, codes), lot_packs.NOT_PACKED)
        else:
            lot = self._lot_here()
            converse(self, lambda: lot_packs.packing(self, lot), lot_packs.NOT_PACKED)

    def do_price(self) -> None:
        """What its roast cost; the cost of a kilogram follows."""
        from curedash.tui.flows import lot_ends

        lot = self._lot_here()
        converse(self, lambda: lot_ends.pricing(self, lot))

    def do_tag(self) -> None:
        """Tags of the packs of this lot or its batch."""
        from curedash.tui.flows import export_flow

        lot = self._lot_here()
        converse(self, lambda: export_flow.tags(self, lot), export_flow.NOTHING)

    def do_record(self) -> None:
        """The record of this lot or its batch."""
        from curedash.tui.flows import export_flow

        lot = self._lot_here()
        converse(self, lambda: export_flow.record(self, lot), export_flow.NOTHING)

    def do_undo(self) -> None:
        """Undo the last change of this session."""
        self.write(undo_last, lambda what: self.show_message(f"Undone: {what}.", "good"))

    def _lot_here(self) -> LotState:
        lot_id = self._here().id
        return self.house.read(lot_with_id, lot_id)

    def do_new(self) -> None:
        """A new batch from this one, with its notes in view."""
        self.show("new_batch", again=self._here().batch)

    def do_leave(self) -> None:
        """First back to the table and to all rows, then to the page below."""
        if self._overlaid:
            self.do_view()
        elif self._find or self._style is not None:
            self._find, self._style = "", None
            self._fill()
        else:
            self.leave()


def _name(row: FinishedLot) -> str:
    return plain(f"{row.code} {row.piece}").strip()


def _none_yet() -> str:
    return f"No lot is finished yet; {key_of('lot.finish')} on a lot's page finishes it."
