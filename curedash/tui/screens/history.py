"""History: every change of the file or of one lot, taken back or done again step by step."""

from typing import cast

from curedash.domain.errors import Refused
from curedash.domain.times import utc_text
from curedash.present.household.history import change_line, detail_words, heads_line, words_of
from curedash.present.words import Line, cells, cut, left, moment_words, plain
from curedash.services.find import lot_with_id
from curedash.services.household.history import HistoryLine, details, history
from curedash.services.household.undo import undo_change
from curedash.services.places.places import all_of
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.state import DashboardState
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import Choice, Steps, save
from curedash.tui.widgets.lines import COLUMN

AT_ONCE = 200  # changes read at first, and more each time the end is reached


class History(ListPage):
    """Who did what, when and from where."""

    NAME = "history"
    HEADS = 1
    COLUMN = COLUMN

    def __init__(self, house: DashboardState, *, lot_id: int | None = None) -> None:
        super().__init__(house)
        self._lot_id = lot_id
        self._most = AT_ONCE
        self._lines: dict[int, HistoryLine] = {}
        self._about = "the whole household"
        if lot_id is not None:
            lot = house.read(lot_with_id, lot_id)
            self._about = plain(f"{lot.code} {lot.piece}").strip()
        self._read()

    def _read(self) -> None:
        found = self.house.read(history, limit=self._most, lot_id=self._lot_id)
        self._lines = {line.id: line for line in found}

    def _fill(self) -> None:
        self.list.show(list(self._lines), self._line)
        self.draw()

    # ── drawing ───────────────────────────────────────────────────────────────────────────

    def draw(self) -> None:
        """Heads over each column, and the rest."""
        width = self.list.column_width
        heads = left(heads_line(width, self.house.zone), width) * self.list.columns
        self.heads.show(((cut(heads, self.app.size.width), "quiet"),))
        super().draw()

    def cannot(self) -> tuple[str, ...]:
        """Without a change there is none to undo."""
        return () if self.list.keys else ("history.undo", "history.lot")

    def _line(self, key: object) -> Line:
        return change_line(self._lines[cast(int, key)], self.house.zone, self.list.column_width)

    def title_line(self, width: int) -> Line:
        """Whose history, and which day and zone it is."""
        now = moment_words(utc_text(self.house.now()), self.house.zone)
        room = max(0, width - 10)
        parts = (f"{self._about}, newest first", f"now {now}, {self.house.zone}")
        words = " · ".join(parts)
        if cells(words) > room:
            words = f"{self._about} · now {now}"
        if cells(words) > room:
            words = f"now {now}" if self._lot_id is None else self._about
        return (("HISTORY   ", "title"), (cut(words, room), ""))

    def idle_lines(self, width: int) -> tuple[Line, Line]:
        """What the marked change set."""
        if not self.list.keys:
            return (
                ("Nothing has been changed yet; each change will be listed here.", "quiet"),
            ), ()
        line = self.here()
        found = self.house.read(details, line.id)
        first = f"{words_of(line)} · happened {moment_words(line.at, self.house.zone)}"
        names = {place.id: place.name for place in self.house.read(all_of)}
        second = detail_words(found, width, self.house.zone, names)
        return ((cut(first, width), ""),), ((second, "quiet"),)

    # ── moving and doing ──────────────────────────────────────────────────────────────────

    def here(self) -> HistoryLine:
        """The marked change."""
        key = self.list.cursor_key
        if key is None:
            raise Refused("Nothing has been changed yet.")
        return self._lines[cast(int, key)]

    def do_down(self) -> None:
        """One change down; at the end older ones are read."""
        self.list.move(1)
        self._older()

    def do_page_down(self) -> None:
        """One screen down; at the end older ones are read."""
        self.list.page(1)
        self._older()

    def do_last(self) -> None:
        """To the last line; older ones are read."""
        self.list.move(len(self.list.keys))
        self._older()

    def _older(self) -> None:
        at_end = self.list.keys and self.list.cursor_key == self.list.keys[-1]
        if at_end and len(self._lines) >= self._most:
            self._most += AT_ONCE
            self.changed(set())

    def do_lot(self) -> None:
        """Open the lot of this change."""
        lots = sorted(self.here().lot_ids)
        if not lots:
            raise Refused("That change is not about a lot.")
        self.show("lot", lot_id=lots[0])

    def do_undo(self) -> None:
        """Take the marked change back, or do it again if it is taken back."""
        line = self.here()
        converse(self, lambda: self._turn(line))

    def _turn(self, line: HistoryLine) -> Steps:
        target = line
        if line.undone:
            standing = [o for o in self._lines.values() if o.undoes == line.id and not o.undone]
            if not standing:
                raise Refused(
                    "The change that undid it is not listed here; page down for older ones."
                )
            target = standing[0]
        again = target.undoes is not None
        words = "redo it" if again else "undo it"
        yield Choice(
            f"{words[0].upper()}{words[1:]}? {words_of(line)}, by {plain(line.actor)}",
            ((True, words),),
        )
        said = yield save(undo_change, target.id)
        self.show_message(f"{'Redone' if again else 'Undone'}: {plain(said)}.", "good")
