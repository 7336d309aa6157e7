"""The doses of a new batch: the pinned table, and beside the form what is said of them."""

from collections.abc import Sequence
from typing import cast

from curedash.present.dosing.dose_table import DoseTable, dose_table
from curedash.present.dosing.form.batch_lines import MOST_BELOW, waiting_lines
from curedash.present.dosing.form.batch_reader import Read
from curedash.present.dosing.limit_bars import GAP, pane_lines
from curedash.present.words import Line, cells, filled, plain, wrapped
from curedash.services.dosing.batch_start import Start
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows.draft_form import DraftForm
from curedash.tui.widgets.lines import FixedLines

AROUND = 5  # lines of title, buttons and foot
LEAST_WORDS = 3
WIDE, TALL = 110, 30  # from here on there is a pane beside the form
PANE, FORM = 46, 100  # columns of it at least; of the fields at most
ROOMY, FIELDS = 50, 70  # columns that hold an ingredient more; those the fields keep meanwhile
LEAST_TABLE, SMALL = 7, 22  # lines of the table that the fields never take, in a small window
AROUND_LOTS = 3  # lines around the lots of the table beside the form: head, sum, a blank one
NOTES, NOTES_OF = 5, 4  # lines of notes above the fields, and their share of the window, at most
MORE, BACK = "PgDn: more", "PgUp: back"


class TableLines(FixedLines):
    """Lines whose number may change; a change lays the page out anew, so it is rare."""

    def hold(self, lines: int) -> None:
        """Have this many lines."""
        if lines != len(self._lines):
            self._lines = (self._lines + [()] * lines)[:lines]
            self.styles.height = lines

    def fill(self, lines: Sequence[Line], least: int) -> None:
        """Show these lines, and no fewer than so many."""
        self.hold(max(len(lines), least))
        self.show(*lines, *[()] * max(0, least - len(lines)))


class DoseArea(DraftForm):
    """What follows from the fields; the fields themselves are in :mod:`.new_batch_lines`."""

    _start: Start

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self._values: dict[str, str] = {}
        self._read: Read | None = None
        self._table: DoseTable | None = None
        self._scroll = 0  # lines scrolled past: of the lots, then of the sentences
        self._more = ""  # of the doses, that has no room: the key for it
        self._sources = False  # whether the texts the limits are from are said
        self._left = False  # a field was left just now: the lines may take another room
        self._once: list[str] = []  # cautions; above the fields until the first one is left
        self._notes: list[str] = []  # what was learned of the batch that is made again
        self.table = TableLines(house.styles, id="table")
        self.pane = FixedLines(house.styles, id="pane", lines=0)

    @property
    def pane_width(self) -> int:
        """Columns of the pane beside the fields; none in a small window."""
        size = self.app.size
        beside = size.width >= WIDE and size.height >= TALL
        return max(PANE, min(ROOMY, size.width - FIELDS), size.width - FORM) if beside else 0

    @property
    def form_width(self) -> int:
        """Columns of the fields."""
        return self.app.size.width - self.pane_width

    def buttons_line(self) -> Line:
        """The buttons, and at their right the key for what of the doses has no room."""
        line = super().buttons_line()
        room = self.app.size.width - sum(cells(text) for text, _tone in line)
        more = next((way for way in (self._more, self._more[:4]) if cells(way) <= room), "")
        return (*line, (" " * max(0, room - cells(more)), ""), (more, "key"))

    @property
    def more_in_foot(self) -> str:
        """What the key for more does, where it has no room beside the buttons."""
        return "" if not self._more or self._more[:4] in self.buttons_line()[-1][0] else self._more

    def do_table_down(self) -> None:
        """Further down in the dose table and what is said under it."""
        self._scroll += 3
        self.draw()

    def do_table_up(self) -> None:
        """Further up in the dose table."""
        self._scroll = max(0, self._scroll - 3)
        self.draw()

    # ── notes and cautions ────────────────────────────────────────────────────────────────

    def _note_lines(self) -> tuple[list[str], list[str]]:
        """The cautions and what was learned last time, each whole: above the fields, and later."""
        if self.pane_width:
            return [], []
        most = max(NOTES, self.app.size.height // NOTES_OF)
        above: list[str] = []
        later: list[str] = []
        for note in self._once + self._notes:
            lines = ["  " + line for line in wrapped(plain(note), self.form_width - 2, MOST_BELOW)]
            fits = not later and len(above) + len(lines) <= most
            (above if fits else later).extend(lines)
        return above, later

    # ── the table ─────────────────────────────────────────────────────────────────────────

    def _show_doses(self, fields: int) -> None:
        """Doses first: their number decides how much room so many lines of fields have."""
        if self.pane_width:
            self._left, self._more = False, ""
            self._table = self._computed()
            self.table.hold(0)
            self._show_pane()
            return
        self.pane.display = False
        room = max(2, self.app.size.height - AROUND)
        planned = cast(Read, self._read).planned
        refused = any(lot.dose.verdict == "refused" for lot in planned)
        half = room - max(6, room * 11 // 20)
        least = max(LEAST_TABLE, half if refused or room > SMALL else 0)
        most = max(2, min(half, max(least, room - fields)))
        keep = 0 if self._left else min(len(self.table._lines), most)  # typing moves no line
        self._left, self._more = False, ""
        self._table = self._computed()
        if self._table is None:
            self._show_waiting(keep)
        else:
            self._show_table(self._table, most, keep, refused=refused)

    def _computed(self) -> DoseTable | None:
        """The doses as a table; None while something is missing."""
        read, house = cast(Read, self._read), self.house
        if not read.planned:
            return None
        day = read.spec.salted_at if read.spec and read.spec.salted_at else house.now()
        width = self.pane_width - GAP if self.pane_width else self.app.size.width
        return dose_table(
            read.planned, self._start.code, day, house.zone, width, sources=self._sources
        )

    def _show_waiting(self, keep: int) -> None:
        """In place of doses what they wait for, then the notes that have no room above."""
        read = cast(Read, self._read)
        waiting = waiting_lines(read, self._values, self.app.size.width)
        later: list[Line] = [((line, ""),) for line in self._note_lines()[1]]
        words = [*waiting, *later]
        room = min(len(words), max(len(waiting), LEAST_WORDS))
        self._scroll = max(0, min(self._scroll, len(words) - room))
        self._mark_more(self._scroll, len(words) - room)
        shown = words[self._scroll : self._scroll + room]
        self.table.fill(shown, 1 if read.troubles else keep)

    def _show_table(self, table: DoseTable, most: int, keep: int, *, refused: bool) -> None:
        """Head, lots, sum and sentences."""
        head, total = table.head, table.total
        later: list[Line] = [((line, ""),) for line in self._note_lines()[1]]
        words = [*table.messages, *later]
        fixed = 1 + (total is not None)
        verdict = LEAST_WORDS if refused else min(LEAST_WORDS, _as_first(words))
        rest = max(verdict, most - fixed - min(len(table.lots), 4))
        least = min(len(words), LEAST_WORDS, rest)
        lots = max(1, min(len(table.lots), most - fixed - least))
        text = max(0, min(len(words), most - fixed - lots))
        passed, over = len(table.lots) - lots, len(words) - text
        self._scroll = max(0, min(self._scroll, passed + over))
        top = min(self._scroll, passed)
        first = min(over, self._scroll - top)
        self.table.hold(max(fixed + lots + text, keep))
        if passed:
            self._more = _lots_in_sight(top, lots, table)
        else:
            self._mark_more(first, over)
        shown = [head, *table.lots[top : top + lots]]
        shown += [total] if total is not None else []
        self.table.show(*shown, *words[first : first + text], *[()] * most)

    def _mark_more(self, first: int, over: int) -> None:
        """That lines are out of sight, and where, unless lots are."""
        if over > 0 and not self._more:
            self._more = MORE if first < over else BACK

    # ── the pane ──────────────────────────────────────────────────────────────────────────

    def _show_pane(self) -> None:
        """Doses, limits, days and warnings beside the form, where there is room; notes below them.

        The doses stay where they are while what is said of them scrolls.
        """
        width, height = self.pane_width, max(1, self.app.size.height - AROUND)
        self.pane.display = True
        self.pane.styles.width = width
        self.pane.make_room(height)
        said = self._pane_lines(width - GAP)
        lots = len(self._table.lots) if self._table is not None else 0
        kept = min(lots, max(LEAST_TABLE, height // 3))
        over = max(0, len(said) - (height - kept - AROUND_LOTS if lots else height))
        self._scroll = max(0, min(self._scroll, lots - kept + over))
        top = min(self._scroll, lots - kept)
        first = self._scroll - top
        if self._table is not None:
            table = [*self._table.lots[top : top + kept], self._table.total or (), ()]
            shown = [self._table.head, *table, *said[first:]]
        else:
            shown = said[first:]
        if self._table is not None and lots > kept:
            self._more = _lots_in_sight(top, kept, self._table)
        else:
            self._mark_more(first, over)
        seen = [*shown, *[()] * height][:height]
        self.pane.show(*(filled(((" " * GAP, ""), *line), width) for line in seen))

    def _pane_lines(self, room: int) -> list[Line]:
        """What is said of the doses, then the notes."""
        read, house = cast(Read, self._read), self.house
        if self._table is not None:
            day = read.spec.salted_at if read.spec and read.spec.salted_at else house.now()
            salted, out = (day, house.zone), self._table.left_out
            lines = pane_lines(
                read.planned, self._start.code, salted, room, out, sources=self._sources
            )
        else:
            lines = waiting_lines(read, self._values, room, indent=0)
        notes: list[Line] = [
            ((line, ""),)
            for note in self._once + self._notes
            for line in wrapped(plain(note), room, MOST_BELOW)
        ]
        return [*lines, *([()] if notes else []), *notes]


def _lots_in_sight(top: int, lots: int, table: DoseTable) -> str:
    """``PgDn: lots 1–3 of 4``."""
    return f"PgDn: lots {top + 1}–{top + lots} of {len(table.lots)}"


def _as_first(words: Sequence[Line]) -> int:
    """How many lines at the beginning have the tone of the first: those of the verdict."""
    tones = [line[0][1] for line in words]
    return next((n for n, tone in enumerate(tones) if tone != tones[0]), len(tones))
