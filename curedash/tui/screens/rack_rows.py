"""The rows of the Rack: every open lot as it was read last, its order, and which are wanted."""

from collections.abc import Iterable, Sequence

from curedash.domain.needs.lot_needs import LEVELS, Need, gathered
from curedash.domain.record import replace
from curedash.domain.records import LotState, StoredNeed
from curedash.domain.wording import listed
from curedash.present.rack.around import Asked, need_words
from curedash.present.rack.columns import far_words
from curedash.present.rack.state import is_over
from curedash.present.words import cells, plain, stage, without_brackets
from curedash.services.rack import RackRow, in_rack_order, read_rack, read_row, snoozed
from curedash.tui.chassis.need_keys import BY_DIGIT, rack_key, rack_words, together
from curedash.tui.chassis.state import DashboardState

REACHED = "target-reached"  # its lots may share a line


def own_groups(lot: LotState) -> dict[str, str]:
    """What it shares with other lots: its batch, place and stage."""
    return {"batch": lot.batch, "place": lot.place or "", "stage": lot.stage}


class RackRows:
    """What the Rack shows, without a cell of it."""

    def __init__(self, house: DashboardState) -> None:
        self.house = house
        self.needs: list[Need] = []
        self.asleep: list[StoredNeed] = []
        self.day = house.today()
        self.fresh = True  # the rows stand in their order
        self.find = ""
        self.only: tuple[str, str] | None = None  # batch, place or stage; and which
        self._rows: dict[int, RackRow] = {}
        self._order: list[int] = []
        self.read(anew=True)

    # ── reading ───────────────────────────────────────────────────────────────────────────

    def read(self, *, anew: bool) -> None:
        """Read every lot; rows keep their places unless the order is wanted anew."""
        house = self.house
        rack = house.read(read_rack, house.now(), base=house.base)
        self._rows = {row.lot.id: row for row in rack.rows}
        self.needs = gathered(rack.needs, [row.lot for row in rack.rows])
        self.asleep = []
        if not self.needs:
            self.asleep = house.read(snoozed, house.now())
        self.day = house.today()
        fresh = [row.lot.id for row in rack.rows]
        if anew:
            self._order = fresh
        else:
            known = set(self._order)
            self._order = [lot_id for lot_id in self._order if lot_id in self._rows]
            self._order += [lot_id for lot_id in fresh if lot_id not in known]
        self.fresh = self._order == fresh
        self.code_cells = max([cells(row.lot.code) for row in rack.rows], default=0)
        self._order_needs()

    def read_one(self, lot_id: int) -> bool:
        """Read one lot again; True if it is shown."""
        house = self.house
        row = house.read(read_row, lot_id, house.now(), base=house.base)
        if row is None or lot_id not in self._rows:
            return False
        self._rows[lot_id] = row
        return True

    def put_in_order(self) -> None:
        """What needs somebody first, then the soonest ready."""
        self._order = [row.lot.id for row in in_rack_order(list(self._rows.values()))]
        self.fresh = True
        self._order_needs()

    def _order_needs(self) -> None:
        """What must not wait first, then as the rows are; places behind the lots."""
        at = {lot_id: n for n, lot_id in enumerate(self._order)}
        first: dict[tuple[str, int], int] = {}
        for row in self._rows.values():
            for need in row.needs if row.lot.place_id is not None else ():
                group = (need.cause, row.lot.place_id or 0)
                first[group] = min(at[row.lot.id], first.get(group, len(at)))
        behind = len(at)

        def key(need: Need) -> tuple[int, int]:
            group = (need.cause, need.place_id or 0)
            own = first.get(group, behind) if together(need) else at.get(need.lot_id or 0, behind)
            return LEVELS.index(need.level), own

        self.needs.sort(key=key)

    def in_lines(self, lines: int) -> list[list[Need]]:
        """The needs for so many lines, in the order of the rows, the worst first.

        Where not all have a line, the lots that reached their target share one.
        """
        if len(self.needs) <= lines:
            return [[need] for need in self.needs]
        found: dict[object, list[Need]] = {}
        for n, need in enumerate(self.needs):
            found.setdefault(REACHED if need.cause == REACHED else n, []).append(need)
        return list(found.values())

    def asked_lines(self, lines: int, far_cells: int, width: int) -> tuple[list[Asked], int]:
        """The needs in so many lines, and how many needs have none.

        Where one line is missing, the lots that reached their target are told before the next
        need, in its line.
        """
        told = self.in_lines(lines)
        shown = [self.asked(needs, far_cells) for needs in told]
        at = next((n for n, needs in enumerate(told[:-1]) if needs[0].cause == REACHED), None)
        if len(shown) == lines + 1 and at is not None:
            after = shown[at + 1]
            room = width - cells(f"{after.key} {after.does}" if after.key else "")
            both = replace(
                after, words=without_brackets(f"{shown[at].words} · {after.words}", room)
            )
            if cells(both.words) <= room:
                return [*shown[:at], both, *shown[at + 2 :]], 0
        return shown[:lines], sum(len(needs) for needs in told[lines:])

    def asked(self, needs: Sequence[Need], far_cells: int) -> Asked:
        """One line below the rows; one about several lots begins with them, and has the key that
        answers it from any row. How far is said in ``far_cells``, as in its row.

        Parameters
        ----------
        needs : of one line, as :meth:`in_lines` gives them
        far_cells : of the column
        """
        need = needs[0]
        if len(needs) > 1:
            codes = ", ".join(each.lot or "" for each in needs)
            over = any(is_over(self._rows[each.lot_id or 0]) for each in needs)
            return Asked(need.level, f"{codes}: {'target reached' if over else 'ready'}")
        words = self._together_words(need) if together(need) else need_words(need)
        row = self._rows.get(need.lot_id or 0)
        if need.cause == REACHED and row is not None:
            words = f"{row.lot.code}: {far_words(row, far_cells)}: target reached"
        if need.lot_id is not None:
            return Asked(need.level, words)  # its key acts on the marked row: it is in the row
        return Asked(need.level, words, rack_key(need), rack_words(need))

    def _together_words(self, need: Need) -> str:
        """``D1 3 d late, F1 1 d late: to weigh``; of alike ones ``D1, F1: weigh-in 1 d late``."""
        found = [
            (row.lot.code, each.late_days, each.message)
            for lot_id in self._order
            if (row := self._rows[lot_id]).lot.place_id == need.place_id
            for each in row.needs
            if each.cause == need.cause
        ]
        codes = ", ".join(code for code, _, _ in found)
        if not found or need.cause != BY_DIGIT:
            return plain(f"{codes}: {found[0][2]}") if found else need_words(need)
        if len({days for _, days, _ in found}) == 1:
            return f"{codes}: {found[0][2]}"
        late = [f"{code} {days} d late" if days else f"{code} today" for code, days, _ in found]
        return f"{listed(late)}: to weigh"

    # ── what there is ─────────────────────────────────────────────────────────────────────

    def __len__(self) -> int:
        return len(self._order)

    def row(self, lot_id: int) -> RackRow:
        """One of them."""
        return self._rows[lot_id]

    @property
    def every(self) -> list[RackRow]:
        """All of them, filtered or not."""
        return list(self._rows.values())

    @property
    def lots(self) -> list[LotState]:
        """Their lots."""
        return [row.lot for row in self._rows.values()]

    # ── which are wanted ──────────────────────────────────────────────────────────────────

    def wanted(self) -> list[int]:
        """The rows that pass the filter, in their order."""
        return [lot_id for lot_id in self._order if self._is_wanted(self._rows[lot_id].lot)]

    def toggle_only(self, kind: str, which: str) -> None:
        """Only this batch, place or stage; the same again: all."""
        self.only = None if self.only == (kind, which) else (kind, which)

    def _is_wanted(self, lot: LotState) -> bool:
        if self.only is not None:
            kind, which = self.only
            if own_groups(lot)[kind] != which:
                return False
        words = (
            lot.code,
            lot.piece,
            lot.batch,
            lot.batch_name,
            lot.species,
            lot.place or "",
            stage(lot.stage),
            lot.style_name,
        )
        return self.find.casefold() in " ".join(words).casefold()

    def filter_words(self, shown: Sequence[object]) -> str:
        """What is filtered, and how many of how many rows are left."""
        parts = []
        if self.only is not None:
            kind, which = self.only
            words = {"batch": f"batch {which}", "stage": stage(which)}.get(kind, which)
            parts.append(plain(words) or "no place")
        if self.find:
            lots = [row.lot for key, row in self._rows.items() if key in set(shown)]
            parts.append(f"“{plain(self.find)}”{self._unseen(lots)}")
        return f"{' + '.join(parts)}: {len(shown)} of {len(self._rows)}" if parts else ""

    def _unseen(self, lots: Iterable[LotState]) -> str:
        """Which style or animal holds the letters, where no row shows any of them."""
        lots, find = list(lots), self.find.casefold()
        seen = " ".join(
            f"{lot.code} {lot.batch_name} {lot.piece} {stage(lot.stage)}" for lot in lots
        )
        if find in seen.casefold():
            return ""
        for kind, names in (
            ("style", {lot.style_name for lot in lots}),
            ("animal", {lot.species for lot in lots}),
        ):
            name = names.pop() if len(names) == 1 else ""
            if find in name.casefold():
                return f" in {kind} {plain(name)}"
        return ""
