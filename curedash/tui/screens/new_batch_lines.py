"""A new batch on the screen: its fields, what stands beside them, the pinned table of doses."""

from collections.abc import Iterable, Sequence
from typing import cast

from textual.widget import Widget

from curedash.present.dosing.batch_cells import ends_pieces, joined, rare
from curedash.present.dosing.batch_field import NO, YES
from curedash.present.dosing.batch_fields import field, label, options, shown_words, value_of
from curedash.present.dosing.batch_follows import effective, taken_words
from curedash.present.dosing.batch_layout import rows
from curedash.present.dosing.batch_lines import (
    below_cells,
    cells_line,
    field_line,
    heads_line,
    help_lines,
    lines_below,
    open_words,
    title,
    waits_words,
)
from curedash.present.dosing.batch_reading import Read, read_form
from curedash.present.dosing.batch_texts import scales_words, whole_weight
from curedash.present.dosing.dose_table import DoseTable, dose_table
from curedash.present.words import Line, cells, cut, plain
from curedash.services.dosing.batch_start import start_batch
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.form import OPEN, Form
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows.draft_form import DraftForm
from curedash.tui.widgets.lines import FixedLines, LineList

AROUND = 5  # lines of title, buttons and foot
LEAST_WORDS = 3
ALL_HINTS = 80  # columns that hold every key at the foot


class TableLines(FixedLines):
    """Lines whose number may change; a change lays the page out anew, so it is kept rare."""

    def hold(self, lines: int) -> None:
        """Have this many lines."""
        if lines != len(self._lines):
            self._lines = (self._lines + [()] * lines)[:lines]
            self.styles.height = lines


class BatchForm(DraftForm):
    """The form as it is computed and drawn; what its keys do is in :mod:`.new_batch`."""

    def __init__(self, house: DashboardState, *, again: str | None = None) -> None:
        super().__init__(house)
        self._again = again
        now = house.now()
        self._start = house.read(lambda conn: start_batch(conn, again, now))
        self._values: dict[str, str] = {}
        self._read: Read | None = None
        self._table: DoseTable | None = None
        self._scroll = 0  # lines of the table scrolled past: lots, then sentences
        self._before: dict[str, str] = {}  # what stood there before it was emptied
        self._tried = False  # to save: what is still wanted is said in earnest then
        self._more = ""  # of the doses, that has no room: the key for it, beside the buttons
        self._left = False  # a field was left just now: the lines may take another room
        self._notes: list[str] = [] if self._start.again is None else list(self._start.again.notes)
        self.form = Form(
            lambda field_id: field(field_id).kind,
            lambda field_id: options(field_id, self._values, self._start),
            lambda field_id: value_of(field_id, self._values),
            rare=rare,
            ends=lambda field_id: ends_pieces(field_id, self._values),
        )
        self.list = LineList(house.styles, id="body")
        self.table = TableLines(house.styles, id="table")
        self.compute()

    def body(self) -> Iterable[Widget]:
        """Fields, doses, buttons."""
        yield from (self.list, self.table, self.buttons)

    def buttons_line(self) -> Line:
        """The buttons, and at their right the key for what of the doses has no room."""
        line = super().buttons_line()
        room = self.app.size.width - sum(cells(text) for text, _tone in line)
        more = self._more if cells(self._more) <= room else self._more[:4]
        return (*line, (" " * max(0, room - cells(more)), ""), (more, "key"))

    def compute(self) -> None:
        """Read the form and compute the doses; what a field offers may change with it."""
        house = self.house
        self._as_one_field()
        self._values = effective(self.form.touched, self._start)
        self._read = read_form(self._values, self._start, house.now(), house.zone)
        self.form.lay_out(rows(self._values, len(self._read.greens), self._read.sources))

    def _as_one_field(self) -> None:
        """Pieces that are all alike again: their weights stand in one field."""
        touched = self.form.touched
        weights = [field_id for field_id in touched if field_id.startswith("green:")]
        if weights and touched.get("each") == NO and self._values.get("each") == YES:
            touched["pieces"] = joined(self._values)
            for field_id in weights:
                del touched[field_id]

    def show_form(self) -> None:
        """Doses first: their number decides how much room the fields have."""
        self._show_table()
        keys: list[object] = [("!note", n) for n in range(len(self._notes))]
        cells = ""  # what the line above begins with
        for row in self.form.rows:
            of, many, _ = row[0].partition(":")
            if many and of != cells:
                keys.append(("!heads", *row))
            cells = of
            keys.append(tuple(row))
            keys += [("!below", n, *row) for n in range(len(self._below(row)))]
        self.list.show(keys, self._line)
        self.list.move_to(next(tuple(row) for row in self.form.rows if self.form.at in row))
        self.call_after_refresh(self.draw_heading)  # by then the fields have their room

    def _line(self, key: object) -> Line:
        width = self.app.size.width
        ids = cast(tuple[str, ...], key)
        if ids[0] == "!note":
            return ((cut("  " + plain(self._notes[cast(int, ids[1])]), width), "today"),)
        if ids[0] == "!heads":
            return heads_line(ids[1:], width)
        if ids[0] == "!below":
            below, n = self._below(ids[2:]), cast(int, ids[1])
            return below[n] if n < len(below) else ()
        focus = self.form.at if self.button is None else None
        read = cast(Read, self._read)
        shown = {field_id: self._shown(field_id, focus) for field_id in ids}
        if len(ids) > 1:
            return cells_line(
                ids, shown, self._values, read, self._start.code, focus, width, self._ink()
            )
        field_id = ids[0]
        return field_line(
            field_id,
            shown[field_id],
            label(field_id, self._values),
            self._values,
            read,
            width,
            focused=focus == field_id,
            earnest=self._tried,
            tone=self._ink(),
            taken=taken_words(field_id, self._values, self.form.touched, self._start),
        )

    def _below(self, ids: Sequence[str]) -> tuple[Line, ...]:
        """The lines under a line of fields: what had no room on it."""
        focus = self.form.at if self.button is None else None
        read = cast(Read, self._read)
        if len(ids) > 1:
            return below_cells(ids, read, focus, self.app.size.width)
        field_id = ids[0]
        shown = self._shown(field_id, focus)
        return lines_below(field_id, shown, read, self.app.size.width, focused=field_id == focus)

    def _ink(self) -> str:
        """How the field with the focus is drawn; a choice is gone through, never typed over."""
        return "typed" if field(self.form.at).kind == "choice" else self.form.typed.tone

    def _shown(self, field_id: str, focus: str | None) -> str:
        """A field's value; with its caret while it is typed."""
        if field_id == focus and field(field_id).kind != "choice":
            text = self.form.typed.shown
            words = shown_words(field_id, self.form.typed.text, self._values, self._start)
            extra = words[len(self.form.typed.text) :]
            return plain(text) + plain(extra)
        text = value_of(field_id, self._values)
        if field_id.startswith(("green:", "bought:")):
            text = whole_weight(text)
        if field_id == "scale":
            return plain(scales_words(text))
        return plain(shown_words(field_id, text, self._values, self._start))

    def _show_table(self) -> None:
        """Head, lots, sum and sentences, in the lines there are."""
        house, read, width = self.house, cast(Read, self._read), self.app.size.width
        room = max(2, self.app.size.height - AROUND)
        most = max(2, room - max(6, room * 11 // 20))
        keep = 0 if self._left else min(len(self.table._lines), most)  # typing moves no line
        self._left = False
        self._more = ""
        if not read.planned:
            self._table = None
            self.table.hold(1 if read.troubles else max(1, keep))
            self.table.show(((cut(waits_words(read), width), "quiet"),), *[()] * most)
            return
        day = read.spec.salted_at if read.spec and read.spec.salted_at else house.now()
        table = self._table = dose_table(read.planned, self._start.code, day, house.zone, width)
        fixed = 1 + (table.total is not None)
        least = min(
            len(table.messages), LEAST_WORDS, max(1, most - fixed - min(len(table.lots), 4))
        )
        lots = max(1, min(len(table.lots), most - fixed - least))
        text = min(len(table.messages), most - fixed - lots)
        self._scroll = max(
            0, min(self._scroll, len(table.lots) - lots + len(table.messages) - text)
        )
        top = min(self._scroll, len(table.lots) - lots)
        first = self._scroll - top
        self.table.hold(max(fixed + lots + text, keep))
        head, total = table.head, table.total
        if lots < len(table.lots):
            self._more = f"PgDn: lots {top + 1}–{top + lots} of {len(table.lots)}"
        elif text < len(table.messages):
            self._more = "PgDn: more" if first + text < len(table.messages) else "PgUp: back"
        shown = [head, *table.lots[top : top + lots]]
        shown += [total] if total is not None else []
        self.table.show(*shown, *table.messages[first : first + text], *[()] * most)

    def title_line(self, width: int) -> Line:
        """What the batch will be, and how far the form is."""
        read = cast(Read, self._read)
        return title(self._start.code, read, self._again, width, self.list.below)

    def idle_lines(self, width: int) -> tuple[Line, ...]:
        """What is wrong with the field, else what it wants."""
        read = cast(Read, self._read)
        if self.button is not None:
            open_ones = read.wanted or read.troubles
            words = f"{open_words(read)}." if open_ones else "Enter does it."
            return ((words, "quiet"),), ()
        return help_lines(
            self.form.at, self._values, self._start, read, self.form.typed.text, width
        )

    def hints(self) -> list[Hint]:
        """What the keys do at this field."""
        found: list[Hint] = [("F10", "save"), ("Esc", "leave")]
        of_line = self.button is None and ":" in self.form.at
        chosen = self.button is None and field(self.form.at).kind in ("choice", *OPEN)
        accepted = self._read is not None and bool(self._read.accepted)
        if accepted:
            found.append(("F5", "accepted"))
        elif of_line and not chosen:
            found.append(("Enter", "next"))
        if not accepted or self.app.size.width >= ALL_HINTS:
            found += [("Tab", "each"), ("↓", "line")] if of_line else [("Tab ↑↓", "fields")]
        if chosen:
            found.append(("←→", "choose"))
        elif of_line and self.app.size.width >= ALL_HINTS:
            found.append(("↑", "back"))
        return [*found, ("F1", "keys")]

    def changed(self, lots: set[int]) -> None:
        """Somebody else wrote; places and jars may be new."""

    def shown_again(self) -> None:
        """Back from the keys: what was typed stands."""

    def do_table_down(self) -> None:
        """Further down in the dose table and what is said under it."""
        self._scroll += 3
        self.draw()

    def do_table_up(self) -> None:
        """Further up in the dose table."""
        self._scroll = max(0, self._scroll - 3)
        self.draw()
