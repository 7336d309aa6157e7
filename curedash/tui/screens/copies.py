"""Copies: those beside the household file, what each holds; make one now, bring one back."""

import os
from functools import partial
from typing import cast

from curedash.domain.errors import Refused
from curedash.papers.acceptance import workable
from curedash.present.household.copies import counts_words, held_words, made_words
from curedash.present.words import Line, cells, count, cut, left, plain
from curedash.services.file.backup import KINDS, Held, copies, held
from curedash.services.file.restore import Restored, restore
from curedash.services.household import household
from curedash.store.open import OtherHousehold
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows import export_flow
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import Choice, Save, Steps

WHEN_CELLS = 19


class Copies(ListPage):
    """The copies there are, newest first."""

    NAME = "copies"

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self._there: dict[str, Held] = {}
        self._read()

    def _read(self) -> None:
        """Only what is new is opened: a copy never changes."""
        there = copies(self.house.db_path)
        self._there = {copy.path: self._there.get(copy.path) or held(copy) for copy in there}

    def _fill(self) -> None:
        self.list.show(list(self._there), self._line)
        self.draw()

    def draw(self) -> None:
        """A new width draws every line again."""
        super().draw()
        self.list.redraw_all()

    # ── drawing ───────────────────────────────────────────────────────────────────────────

    def title_line(self, width: int) -> Line:
        """Of which file."""
        return (("COPIES   ", "title"), (cut(f"of {plain(self.house.db_path)}", width - 9), ""))

    def _line(self, key: object) -> Line:
        found, zone = self._there[str(key)], self.house.zone
        when = left(" " + made_words(found.copy, zone), WHEN_CELLS)
        room_for_kind = 2 + max(cells(KINDS[one.copy.kind]) for one in self._there.values())
        kind = left(KINDS[found.copy.kind], room_for_kind)
        room = max(0, self.app.size.width - WHEN_CELLS - room_for_kind)
        words = found.trouble or counts_words(found.contents)
        if cells(words) > room and found.contents is not None:
            words = count(found.contents.lots, "lot")
        tone = "act" if found.trouble else ""
        return (when, "strong"), (kind, "quiet"), (cut(plain(words), room), tone)

    def idle_lines(self, width: int) -> tuple[Line, Line]:
        """The file under the cursor."""
        if not self._there:
            words = f"No copies yet: one is made each day, {key_of('copies.new')} makes one now."
            return ((words, ""),), ()
        found = self._here()
        holds = plain(held_words(found, self.house.zone))
        name = plain(os.path.basename(found.copy.path))
        return ((cut(holds, width), ""),), ((cut(name, width), "quiet"),)

    def cannot(self) -> tuple[str, ...]:
        """Without a copy there is nothing to bring back."""
        return () if self._there else ("copies.bring-back",)

    # ── moving and doing ──────────────────────────────────────────────────────────────────

    def _here(self) -> Held:
        key = self.list.cursor_key
        if key is None:
            raise Refused(f"There is no copy yet; {key_of('copies.new')} makes one.")
        return self._there[cast(str, key)]

    def step(self, by: int) -> None:
        """The next copy, and what the foot says of it."""
        super().step(by)
        self.draw_foot()

    def after_leap(self, by: int) -> None:  # noqa: ARG002
        """What the foot says of the copy."""
        self.draw_foot()

    def do_new(self) -> None:
        """A copy now."""
        converse(self, self._making, export_flow.NOTHING)

    def _making(self) -> Steps:
        yield from export_flow.back_up(self)
        self.changed(set())

    def do_bring_back(self) -> None:
        """Bring the marked copy back; what is there now is kept."""
        found = self._here()
        converse(self, lambda: self._bringing_back(found))

    def _bringing_back(self, found: Held) -> Steps:
        if found.trouble is not None:
            raise Refused(plain(found.trouble))
        house = self.house
        words = (
            f"Go back to {made_words(found.copy, house.zone)} ({counts_words(found.contents)})?"
            " All later changes are removed; a copy of the present file is saved first."
        )
        yield Choice(words, ((True, "restore it"),))
        at, before = house.now(), _number(house.db_path)
        back = partial(restore, house.db_path, found.copy.path, at, workable(at))
        done = yield Save(lambda _: lambda _conn, _by: back())
        self._brought_back(done, same_file=_number(house.db_path) == before)

    def _same_household(self) -> bool:
        try:
            self.house.read(lambda _: self.house.reader.require_household())
        except OtherHousehold:
            return False
        return True

    def _brought_back(self, done: Restored, *, same_file: bool) -> None:
        """Go on with what is there now; opened anew where it is another file or household."""
        if not same_file or not self._same_household():
            self.house.navigator.open_file(self.house.db_path)
            return
        self.house.zone = self.house.read(household.zone)
        self.house.went_back += 1
        self.changed(set())
        kept = "" if done.kept is None else plain(os.path.basename(done.kept))
        self.show_message(f"Restored. The file as it was is saved as {kept}", "good")


def _number(path: str) -> int:
    """Which file this name stands for."""
    return os.stat(path).st_ino
