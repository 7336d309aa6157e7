"""The commands of the Rack: what its keys do to a lot, and which other page they open."""

from abc import abstractmethod
from collections.abc import Callable
from time import monotonic
from typing import cast

from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.present.words import plain, stage
from curedash.tui.chassis.commands import ON_ROW, key_of, of_page
from curedash.tui.chassis.line_input import starts_weight
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows.under_way import NOT_TAKEN, taking_in
from curedash.tui.flows.undo import UndoesLast
from curedash.tui.flows.weighing import weigh_here
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import Choice, Steps
from curedash.tui.screens.rack_rows import RackRows, own_groups

HELD_S = 1.0  # so soon after it left another page a key does not leave the program
REPEAT_S = 0.25  # a key that is held comes again sooner than this


class RackCommands(UndoesLast):
    """What the keys of the Rack do; the rows and their drawing are elsewhere."""

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self.rows = RackRows(house)
        self.renew = False  # put the rows in order on coming back

    def here(self) -> LotState:
        """The lot under the cursor."""
        key = self.list.cursor_key
        if key is None:
            raise Refused(f"There is no lot here; {key_of('rack.new')} salts a new batch.")
        return self.rows.row(cast(int, key)).lot

    # ── doing ─────────────────────────────────────────────────────────────────────────────

    def typed_key(self, key: str, char: str | None) -> None:  # noqa: ARG002
        """A digit starts the weigh-in of this row."""
        if starts_weight(char) and self.list.cursor_key is not None:
            self._weigh(char or "")

    def do_weigh(self) -> None:
        """Open the weigh-in line."""
        self._weigh("")

    def weigh_scanned(self, lot: LotState) -> None:
        """In its row, where it is shown."""
        if lot.id not in self.list.keys:
            super().weigh_scanned(lot)
            return
        self.list.move_to(lot.id)
        self._weigh("")

    def _weigh(self, text: str) -> None:
        weigh_here(self, self.here(), text, self.rows.lots)

    def take_up(self, lot: LotState, text: str) -> None:
        """Go on with a weight that was half typed."""
        weigh_here(self, lot, text, self.rows.lots)

    def do_round(self) -> None:
        """Weigh what is due."""
        self.renew = True
        self.show("round", ended=self.show_message)

    def do_new(self) -> None:
        """Salt a new batch."""
        self.renew = True
        self.show("new_batch")

    def do_under_way(self) -> None:
        """Take in pieces that are in the cure, or hang, already."""
        converse(self, lambda: taking_in(self), NOT_TAKEN)

    def do_open(self) -> None:
        """Open this lot."""
        self.show("lot", lot_id=self.here().id)

    def do_tag(self) -> None:
        """Tags of this lot, its batch or the rows shown."""
        self._paper("tags")

    def do_record(self) -> None:
        """The record of this lot, its batch or the rows shown."""
        self._paper("record")

    def _paper(self, name: str) -> None:
        from curedash.tui.flows import export_flow
        from curedash.tui.prompts.converse import converse

        shown = [self.rows.row(cast(int, key)).lot for key in self.list.keys]
        lot = self.here()
        converse(self, lambda: getattr(export_flow, name)(self, lot, shown), export_flow.NOTHING)

    # ── which rows ────────────────────────────────────────────────────────────────────────

    @abstractmethod
    def _filter(self, find: str | None = None) -> None:
        """Show the rows that are wanted now."""

    def toggle_only(self, kind: str, which: str) -> None:
        """Only rows of this batch, place or stage; again: all."""
        self.rows.toggle_only(kind, which)
        self._filter()

    def do_alike(self) -> None:
        """Only rows like this one; again, and Enter: all."""
        lot = self.here()
        converse(self, lambda: self._only_like(lot), "the rows stay as they were")

    def _only_like(self, lot: LotState) -> Steps:
        """What the rows have in common with this one."""
        now = self.rows.only
        words = (f"batch {lot.batch}", plain(lot.place or "no place"), stage(lot.stage))
        ways = zip(own_groups(lot).items(), words, strict=True)
        every = () if now is None else ((now, "all rows"),)
        kind, which = yield Choice("only", (*ways, *every), usual=None if now is None else 3)
        self.toggle_only(kind, which)

    def do_leave(self) -> None:
        """Leave the program, unless the same key has just left another page: it was held."""
        key, at = self.house.left_by
        if key and key == self.key_taken and monotonic() - at < HELD_S:
            again = (key, monotonic() + REPEAT_S - HELD_S)  # it repeats by itself: not an answer
            self.house.left_by = again
            self.show_message(f"{key_of('rack.leave')} again leaves curedash.")
            return
        self.app.exit(0)


Does = Callable[[RackCommands], None]


def _opens(page_name: str) -> Does:
    return lambda page: page.show(page_name)


def _on_its_page(method: str) -> Does:
    """A key of the Rack that the page of the lot answers."""
    return lambda page: page.show("lot", lot_id=page.here().id, begins=method)


def _in_its_row(verb: str) -> Does:
    """What the page of a lot does as well, asked on the Rack itself."""

    def do(page: RackCommands) -> None:
        from curedash.tui.flows.lot_actions import LOT_ACTIONS

        LOT_ACTIONS[f"lot.{verb}"](page, page.here())

    return do


def _only(kind: str) -> Does:
    return lambda page: page.toggle_only(kind, own_groups(page.here())[kind])


DOES: dict[str, Does] = {
    **{name: _opens(name) for name in ("diary", "places", "book", "settings", "history", "needs")},
    **{verb: _in_its_row(verb) for verb in ("turned", "reading", "edit", "swap", "stage")},
    **{verb: _in_its_row(verb) for verb in ("sheet", "misdose")},
    **{f"only-{kind}": _only(kind) for kind in ("batch", "place", "stage")},
}
for _command in of_page("rack"):
    _verb = _command.id.removeprefix("rack.")
    if _verb in ON_ROW:
        setattr(RackCommands, _command.method, _on_its_page(_command.method))
    elif _verb in DOES:
        setattr(RackCommands, _command.method, DOES[_verb])
