"""Needs that rest on a logged step: a tick, a turn in the cure, a freezing count."""

from collections.abc import Sequence
from datetime import date

from curedash.domain.curing.stages import mixed_at
from curedash.domain.curing.turning import turn_words
from curedash.domain.needs.lot_needs import DISCARD, LotView, Need, dose_not_ticked
from curedash.domain.record import replace
from curedash.domain.records import DoseLine
from curedash.domain.times import moment
from curedash.domain.wording import listed

USE_BY_SOON_DAYS = 1  # design value: so many days before the use-by date raw meat is a need


CURING_SALT = "curing-salt"
KEEPS = ("salt", CURING_SALT)  # what keeps meat: without it it does not wait
NAMED = 2  # ingredients named in a line


def dose_open(lines: Sequence[DoseLine], view: LotView) -> Need | None:
    """Which ingredients of a dose were not ticked, and whether its curing salt was.

    Parameters
    ----------
    lines : the dose sheet of the lot
    """
    found = dose_not_ticked(view)
    missing = [line for line in lines if line.ticked_at is None]
    if found is None or not missing:
        return found
    missing.sort(key=lambda line: line.kind != CURING_SALT)
    names = [_name(line) for line in missing[:NAMED]]
    if missing[NAMED:]:
        names.append(f"{len(missing) - NAMED} more")
    in_it = any(line.kind == CURING_SALT and line.ticked_at for line in lines)
    level = found.level if any(line.kind in KEEPS for line in missing) else "today"
    said = _not_ticked(view, listed(names), in_it=in_it)
    return replace(found, level=level, message=said)


def _not_ticked(view: LotView, names: str, *, in_it: bool) -> str:
    """``sugar not added or not ticked for 33 h; its curing salt is in``."""
    lot = view.lot
    if lot.stage == "in-cure":
        said = f"{names} never ticked, in cure {view.days_since(lot.stage_at)} d"
    else:
        hours = view.hours_since(lot.first_tick_at or lot.stage_at)
        said = f"{names} not added or not ticked for {hours:.0f} h"
    return f"{said}; its curing salt is in" if in_it else said


def _name(line: DoseLine) -> str:
    """``curing salt no. 2``: without what the brackets say of its strength."""
    return line.name.partition(" (")[0]


def turn_due(last_at: str | None, view: LotView) -> Need | None:
    """A lot in cure that has lain long enough on one side.

    Parameters
    ----------
    last_at : when it was last turned [UTC]; None: not since it was salted
    """
    lot = view.lot
    every = view.rules.turn_box_days if lot.salt_box else view.rules.turn_bag_days
    usual = lot.cure_usual_days
    if lot.stage != "in-cure" or (usual is not None and view.days_since(lot.stage_at) >= usual):
        return None  # it may come out
    since = max(last_at or lot.stage_at, lot.stage_at)
    days = view.days_since(since)
    if days < every:
        return None
    last = "salted" if since == lot.stage_at else "last"
    late = f"{days - every:.0f} d late" if days >= every + 1 else "due today"
    said = f"turning {late}: {last} {days} d ago"
    return view.need("today", "turn-due", said, turn_words(lot.method))


def use_by_near(use_by: str, view: LotView) -> Need | None:
    """Raw meat whose use-by date comes before it is salted.

    Parameters
    ----------
    use_by : the day on its label [ISO]
    """
    if view.lot.stage != "raw" or mixed_at(view.lot) is not None:
        return None
    left = (date.fromisoformat(use_by) - view.now.astimezone(view.zone).date()).days
    if left > USE_BY_SOON_DAYS:
        return None
    if left < 0:
        said = f"use-by date {use_by} is past: {-left} d ago, not salted"
        return view.need(
            "act", "use-by", said, "do not salt it: curing does not rescue it", DISCARD
        )
    said = f"use-by date is {'today' if left == 0 else 'tomorrow'}, not salted yet"
    return view.need("today", "use-by", said, "salt it or freeze it today")


def freezing_over(due_at: str, days: int | None, view: LotView) -> Need | None:
    """The end of a freezing count, or of a freezing step that was planned.

    Parameters
    ----------
    due_at : when the count is full [UTC]
    days : days of its row; None: planned, without credit
    """
    if view.lot.stage != "raw" or view.now < moment(due_at):
        return None
    late = view.days_since(due_at)
    counted = "planned end" if days is None else f"the {days} d are complete"
    said = f"frozen: {counted} {'today' if late == 0 else f'{late} d ago'}"
    action = "log the end with the warmest reading; thaw it cold"
    return view.need("today", "freezing-over", said, action)


def freezing_not_begun(since_at: str, view: LotView) -> Need | None:
    """A freezing step of which no day counts: nobody said that the meat was chilled first.

    Parameters
    ----------
    since_at : when it went into the freezer [UTC]
    """
    if view.lot.stage != "raw" or view.now < moment(since_at):
        return None
    said = f"frozen {view.days_since(since_at)} d, none of them counts yet"
    action = "say how cold the meat went in, or when it became cold enough"
    return view.need("today", "freezing-not-begun", said, action)
