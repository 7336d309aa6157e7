"""What a lot's weights rest on at a moment: the tare on the scale and the share of the hang weight.

What people entered is primary: what the scale showed and when, what it showed before and after a
cut or a change of tare, with which tare it was hung. Everything else follows from these in the
order in which they happened, never in the order in which they were entered.
"""

from __future__ import annotations

from curedash.domain.errors import Refused
from curedash.domain.record import record, replace
from curedash.domain.weighing.rebase_reasons import REMOVED, TARE
from curedash.domain.weighing.weights import net_from_gross, rebase_factor, tare_after

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from curedash.domain.records import Rebase, StageEntry, WeighIn

    Order = tuple[str, float]
    TareStep = tuple[Order, float, Rebase | None]  # since when, the tare [g], what changed it

SAME_G = 1e-6  # two weights that differ by less are one weight
AFTER_ALL = float("inf")  # the place of something entered now among what happened at that moment
#: kinds of weigh-ins whose net weight was computed, so that no tare belongs to them
COMPUTED = ("inherited", "green")


def same_g(one_g: float, other_g: float) -> bool:
    """Whether two weights are one weight [g]."""
    return abs(one_g - other_g) <= SAME_G


def relative(change: Rebase) -> bool:
    """Whether a change of tare is a difference weighed before and after, not a tare by itself."""
    return same_g(change.tare_after_g - change.tare_before_g, change.after_g - change.before_g)


def wears_lots(row: WeighIn) -> bool:
    """Whether the tare of a weigh-in may be that of its lot: neither computed nor its own."""
    return row.kind not in COMPUTED and not row.own_tare


@record
class WeightHistory:
    """The primary facts of one lot, in the order in which they happened."""

    hang_at: str | None
    tare_g: float  # the lot's tare where nothing else says what it was [g]
    rows: tuple[WeighIn, ...]  # weigh-ins that count, oldest first
    rebases: tuple[Rebase, ...]  # cuts and changes of tare, oldest first
    stages: tuple[StageEntry, ...]  # oldest first
    entered: Mapping[int, int]  # id of a weigh-in → id of the one it first replaced
    own: Mapping[int, int]  # id of a re-base → place of the weight after it, 0 without one
    unrecorded: tuple[tuple[Order, float], ...] = ()  # tares [g] that no re-base tells of, since

    # ── order ─────────────────────────────────────────────────────────────────────────────

    def order(self, row: WeighIn) -> Order:
        """The place of a weigh-in: at one moment, in the order of entering."""
        return row.at, self.entered.get(row.id, row.id)

    def order_of(self, change: Rebase) -> Order:
        """The place of a re-base: with the weight after it."""
        return change.at, self.own[change.id]

    def hung(self) -> WeighIn | None:
        """The weight it was hung at; a part that was cut off has none of its own."""
        return next((row for row in self.rows if row.kind == "hang"), None)

    # ── tare ──────────────────────────────────────────────────────────────────────────────

    def tare_steps(self) -> list[TareStep]:
        """From when on which tare was on the scale [g], oldest first, with what changed it."""
        changes = [change for change in self.rebases if change.kind == TARE]
        hung = self.hung()
        marks: list[TareStep] = [(self.order_of(c), c.tare_after_g, c) for c in changes]
        marks += [(when, given_g, None) for when, given_g in self.unrecorded]
        if hung is not None:
            marks.append((self.order(hung), hung.tare_g, None))
        tare_g = self._first_tare_g(changes, hung)
        steps: list[TareStep] = [(("", 0.0), tare_g, None)]
        for when, given_g, change in sorted(marks, key=lambda mark: mark[0]):
            if change is not None and relative(change):
                tare_g = tare_after(tare_g, change.before_g, change.after_g)
            else:
                tare_g = given_g
            steps.append((when, tare_g, change))
        return steps

    def with_unrecorded(self) -> WeightHistory:
        """The same with the tares that its weights show, though no re-base tells of them.

        Some moves into another stage once set a tare without a line of their own. Only of facts
        that agree with each other, before any of them is changed.
        """
        found: list[tuple[Order, float]] = []
        since: Order = ("", 0.0)
        known_g = self.tare_g
        for when, tare_g, change in self.tare_steps():
            if change is not None and not same_g(change.tare_before_g, known_g):
                found.append(
                    (self._first_worn(since, when, change.tare_before_g), change.tare_before_g)
                )
            since, known_g = when, tare_g if change is None else change.tare_after_g
        if not same_g(known_g, self.tare_g):
            found.append((self._first_worn(since, ("9999", 0.0), self.tare_g), self.tare_g))
        return replace(self, unrecorded=tuple(found))

    def _first_worn(self, since: Order, until: Order, tare_g: float) -> Order:
        """The first weight with a tare between two changes, else just before the second one."""
        between = [row for row in self.rows if since < self.order(row) < until]
        first = next(
            (row for row in between if not row.own_tare and same_g(row.tare_g, tare_g)), None
        )
        if first is not None:
            return self.order(first)
        return (until[0], until[1] - 0.5) if until[0] < "9999" else (since[0], since[1] + 0.5)

    def _first_tare_g(self, changes: Sequence[Rebase], hung: WeighIn | None) -> float:
        if hung is None:
            return changes[0].tare_before_g if changes else self.tare_g
        before = [change for change in changes if self.order_of(change) < self.order(hung)]
        if before:
            return before[0].tare_before_g
        weighed = [row for row in self.rows if self.order(row) < self.order(hung)]
        return next((row.tare_g for row in reversed(weighed) if wears_lots(row)), 0.0)

    def tare_at(self, when: Order) -> float:
        """The tare on the scale at a moment [g]."""
        return _worn_at(self.tare_steps(), when)

    def worn(self) -> set[int]:
        """Weigh-ins taken with the lot's tare of their moment, by the id first entered."""
        steps = self.tare_steps()
        found = set()
        for row in self.rows:
            tare_g = _worn_at(steps, self.order(row))
            if wears_lots(row) and same_g(row.tare_g, tare_g):
                found.add(self.entered.get(row.id, row.id))
        return found

    # ── what was cut off ──────────────────────────────────────────────────────────────────

    def cuts(self) -> list[Rebase]:
        """Meat taken off, each with the share that follows from the tare of its moment."""
        steps = self.tare_steps()
        found = []
        for cut in self.rebases:
            if cut.kind != REMOVED:
                continue
            tare_g = _worn_at(steps, self.order_of(cut))
            nets_g = (net_from_gross(gross_g, tare_g) for gross_g in (cut.before_g, cut.after_g))
            share = rebase_factor(*nets_g)
            found.append(replace(cut, factor=share, tare_before_g=tare_g, tare_after_g=tare_g))
        return found

    def tare_changes(self) -> list[Rebase]:
        """Changes of tare, each beginning with the tare that was on before it."""
        steps = self.tare_steps()
        return [
            replace(change, tare_before_g=steps[n - 1][1], tare_after_g=tare_g)
            for n, (_, tare_g, change) in enumerate(steps)
            if change is not None
        ]

    def share_at(self, row: WeighIn | None, at: str) -> float:
        """Share of the hang weight that the base stood at [0–1].

        Parameters
        ----------
        row : a weigh-in; None for something entered now
        at : its moment
        """
        share = 1.0
        for cut in self._since_hanging():
            if self._after(cut, row, at):
                share *= cut.factor
        return share

    def green_share_at(self, at: str) -> float:
        """Share of the green weight that the base stood at [0–1]."""
        share = 1.0
        for cut in self.cuts():
            if cut.at <= at:
                share *= cut.factor
        return share

    def _since_hanging(self) -> list[Rebase]:
        """Cuts since hanging; what came off before is in the hang weight already."""
        if self.hang_at is None:
            return []
        hung = self.hung()
        began = (self.hang_at, 0.0) if hung is None else self.order(hung)
        return [cut for cut in self.cuts() if self.order_of(cut) > began]

    def _after(self, cut: Rebase, row: WeighIn | None, at: str) -> bool:
        """Whether a weight was taken after a cut; the one before it may be of the same moment."""
        if cut.at != at or row is None:
            return cut.at <= at
        if self.order(row) < self.order_of(cut):
            return False
        before = same_g(row.gross_g, cut.before_g) and not same_g(cut.before_g, cut.after_g)
        return not before or self.entered.get(row.id, row.id) == self.own[cut.id]

    # ── stage ─────────────────────────────────────────────────────────────────────────────

    def stage_at(self, at: str) -> StageEntry | None:
        """The stage a lot was in at a moment; None before its first."""
        past = [entry for entry in self.stages if entry.at <= at]
        return past[-1] if past else None


def _worn_at(steps: Sequence[TareStep], when: Order) -> float:
    """The tare of the last step up to then."""
    return [tare_g for since, tare_g, _ in steps if since <= when][-1]


def require_order(history: WeightHistory) -> None:
    """Refuse facts that no order of events explains.

    Raises
    ------
    Refused: a cut that makes heavier, a tare above what the scale showed
    """
    try:
        history.cuts()
        history.tare_changes()
    except Refused as trouble:
        raise Refused(f"That does not fit what was entered for another day: {trouble}") from None
