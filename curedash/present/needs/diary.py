"""The diary in words: titles that never call a piece finished, and what days away mean."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from curedash.domain.curing.stages import EQUALISING
from curedash.domain.curing.turning import turn_words
from curedash.domain.drying import lot_figures
from curedash.domain.drying.inspections import undecided
from curedash.domain.facts.degree_hours import TARGET_PH
from curedash.domain.needs.diary import AwayLot, DiaryItem
from curedash.domain.needs.lot_needs import Need, open_words
from curedash.domain.needs.plan_back import ENOUGH, TIGHT, TOO_LATE, UNLIKELY
from curedash.domain.records import LotState
from curedash.domain.wording import facts, listed
from curedash.present.numbers import number, parts, rounded, rounded_parts
from curedash.present.rack.meat import cut_and_piece, with_animal
from curedash.present.weighing import on_scale
from curedash.present.words import count, day, days, odds_words, plain, weekday
from curedash.services.curing.change_stage import codes_of
from curedash.services.needs.away import Block
from curedash.services.needs.diary import Diary, PlannedBack

_TURN = {
    "salt-box": "overhaul the salt box",
    "equilibrium-brine": "stir the brine, turn it",
    "immersion": "stir the brine, turn it",
}


def title(item: DiaryItem, *, named: bool = False) -> str:
    """What there is to do, with the lot in front: ``C2: weigh; pull at 742 g or less …``.

    ``named``: with its meat, ``C2 Pork collar, neck side: weigh``.
    """
    if item.lot is None:
        return "nobody at home"
    code = name_with_meat(item.lot) if named else item.lot.code
    if item.pack is not None:
        return f"{code}: pack {item.pack.id}: today is its keep-until day, by your own rule"
    return f"{code}: {_what(item)}"


def name_with_meat(lot: LotState) -> str:
    """``C2 Pork collar, neck side, tied``."""
    return f"{lot.code} {with_animal(lot, cut_and_piece(lot))}".strip()


def _what(item: DiaryItem) -> str:
    lot = item.lot
    assert lot is not None  # its caller looked
    against = undecided(lot)
    if against is not None:
        return f"{plain(against)}: decide first what you do with it"
    at = on_scale.pull_words(lot)
    if item.kind == "pull" and is_at_target(lot):
        where = "perhaps at its target" if on_scale.is_guessed(lot) else "at its target"
        return f"{where}: feel rim and firmness; pull, equalise or go on"
    if item.kind == "pull":
        return "weigh" if at is None else f"weigh; {at}"
    return {
        "salt-box-out": "take it out, brush off the salt, rest it cold",
        "cure-out": "usual day out of the cure: rinse, pat dry, weigh; it can wait"
        if lot.can_wait
        else f"usual day out of the cure, but {open_words(lot)}: look in the bag first",
        "cure-earliest": "earliest day out of the cure",
        "turn": _TURN.get(lot.method, "turn the bag"),
        "rest-over": "salt rest over: weigh and hang it",
        "equalising-over": "planned end of equalising: feel rim and firmness, weigh",
        "ferment-look": "look and smell, measure the pH",
        "ferment-over": f"pH {TARGET_PH:g} reached: weigh it and hang it to dry",
        "weigh": "weigh",
        "look-again": "look at its mould again: spread, colour, slime",
        "age": f"{lot.min_age_days or 0:.0f} days reached: look at it, smell, decide",
    }[item.kind]


def is_at_target(lot: LotState) -> bool:
    """Whether its newest weight lies in its target already, or under it."""
    net_g, target = lot_figures.net_now_g(lot), lot_figures.target_net_g(lot)
    return net_g is not None and target is not None and net_g <= target[1]


def details(item: DiaryItem) -> list[str]:
    """What else one wants to know when it comes up."""
    lot = item.lot
    if lot is None:
        return []
    lines = [on_scale.name_of(lot)] + ([plain(lot.place)] if lot.place else [])
    if item.kind in ("weigh", "pull") and (span := on_scale.pull_range(lot)) is not None:
        worn = on_scale.tare_words(lot)
        lines.append(f"target: {span} on the scale" + (f", {worn}" if worn else ""))
        guessed = "Its hang weight is estimated, so feel it; the weight alone decides nothing."
        lines.append(guessed if on_scale.is_guessed(lot) else "The weight decides, not the date.")
    if item.kind == "pull" and item.note:
        lines.append(f"window from {item.note}")
    if item.kind == "pull" and (odds := odds_words(lot_figures.chance_short(lot))):
        lines.append(odds)
    if item.kind == "weigh" and lot_figures.is_stalled(lot):
        lines.append(lot_figures.STALLED)
    if item.moved_from is not None:
        lines.append(f"moved from {day(item.moved_from)}: nobody at home")
    if item.kind != "pull" and item.note:
        lines.append(item.note)
    return lines


def agenda_lines(diary: Diary) -> list[str]:
    """Day by day, a line a thing; spans stand on their first day with their end."""
    lines: list[str] = []
    seen: date | None = None
    for group in in_groups(diary.items):
        on = max(group[0].first, diary.stretch.first)
        if on != seen:
            lines.append(f"{weekday(on)}{' (today)' if on == diary.today else ''}")
            seen = on
        lines.append(f"  {group_words(group)}")
    until = weekday(diary.stretch.last)
    return lines or [f"Nothing is planned until {until}; 'curedash check' names what is open now."]


def in_groups(items: Sequence[DiaryItem]) -> list[tuple[DiaryItem, ...]]:
    """The lots that are turned alike on one day are one line, as in the needs."""
    found: dict[object, tuple[DiaryItem, ...]] = {}
    for n, item in enumerate(items):
        key: object = n
        if item.kind == "turn":
            key = (item.first, item.last, item.moved_from, _what(item))
        found[key] = (*found.get(key, ()), item)
    return list(found.values())


def group_words(group: Sequence[DiaryItem], *, named: bool = False) -> str:
    """``A1–A5, D1: turn the bag``; of a single entry its own words."""
    item, lots = group[0], [item.lot for item in group if item.lot is not None]
    if len(lots) < 2:
        return item_words(item, named=named)
    batches: dict[int, list[LotState]] = {}
    for lot in lots:
        batches.setdefault(lot.batch_id, []).append(lot)
    ordered = [sorted(own, key=lambda lot: (len(lot.code), lot.code)) for own in batches.values()]
    return item_words(item).replace(lots[0].code, ", ".join(map(codes_of, ordered)), 1)


def item_words(item: DiaryItem, *, named: bool = False) -> str:
    """One line of the agenda; ``named``: with the meat of its lot."""
    span = f"{days(item.first, item.last)} " if item.last > item.first else ""
    at = "" if item.at is None else f" {item.at:%H:%M} UTC"
    moved = "" if item.moved_from is None else f" (moved from {day(item.moved_from)})"
    stalls = item.kind == "weigh" and item.lot is not None and lot_figures.is_stalled(item.lot)
    return f"{span}{title(item, named=named)}{at}{moved}" + (
        f" ({lot_figures.STALLED})" if stalls else ""
    )


def item_document(item: DiaryItem) -> dict[str, Any]:
    """One thing of the diary as JSON."""
    return {
        "first": item.first.isoformat(),
        "last": item.last.isoformat(),
        **parts(item, "kind", "level"),
        "lot": None if item.lot is None else item.lot.code,
        "pack": None if item.pack is None else item.pack.id,
        "title": title(item),
        "details": details(item),
        "moved_from": None if item.moved_from is None else item.moved_from.isoformat(),
    }


# ── days away ─────────────────────────────────────────────────────────────────────────────


def block_line(known: Block) -> str:
    """``3  12 Dec 2026 to 19 Dec 2026, 8 days: skiing``: with the number it is named by."""
    return f"{known.id}  {block_words(known)}"


def block_words(known: Block) -> str:
    """``12 Dec 2026 to 19 Dec 2026, 8 days: skiing``."""
    block = known.block
    length = (block.last - block.first).days + 1
    note = f": {plain(known.note)}" if known.note else ""
    first, last = on_scale.dated(block.first), on_scale.dated(block.last)
    return f"{first} to {last}, {count(length, 'day')}{note}"


#: what a lot that does not dry asks for → the sentence, with the day it is due
STAGE_ASKS: dict[str, Callable[[str], str]] = {
    "out-before": "salt box, due out {}: take it out before leaving".format,
    "due-before": "due {}, before these days: look at it and decide before leaving".format,
    "can-wait": "due {} in the meantime; it can wait".format,
    "open": "due {}: decide before leaving".format,
}
STAND_IN = "ferments: pH and a look every day, so you need a stand-in"


def away_words(row: AwayLot) -> str:
    """What days away mean for one lot, in a sentence or two."""
    lot, parts = row.lot, []
    if (against := undecided(lot)) is not None:
        return f"{plain(against)}: decide what you do with it before leaving"
    parts += [_open_words(need) for need in row.open]
    if row.asks in STAGE_ASKS and row.due is not None:
        parts.append(STAGE_ASKS[row.asks](day(row.due)))
    elif row.asks == "stand-in":
        parts.append(STAND_IN)
    elif row.asks == "can-wait":
        parts.append(f"before leaving and when you are back: {turn_words(lot.method)}")
    if row.on_return_pct is not None:
        parts.append(return_words(row))
    if row.passes == "will":
        by_then = "" if is_at_target(lot) else " by then"
        is_there, do = ("may be", "feel it") if on_scale.is_guessed(lot) else ("is", "pull it")
        parts.append(
            f"{is_there} at its target{by_then}: {do} before leaving, or put it on hold"
            " (vacuum-packed, cold)"
        )
    elif row.passes == "may":
        parts.append(
            "may reach its target meanwhile: leave it hanging, or put it on hold"
            " (vacuum-packed, cold)"
        )
    if row.weigh_before is not None and row.asks in ("weigh", "pull-or-hold"):
        parts.append(f"weigh it on {day(row.weigh_before)}")
    if row.weigh_after is not None and row.asks == "weigh":
        again = "weigh it" if row.weigh_before is None else "again"
        parts.append(f"{again} on {day(row.weigh_after)}")
    if row.asks == "pull-or-hold" and (at := on_scale.pull_words(lot)) is not None:
        worn = on_scale.tare_words(lot)
        parts.append(at + (f" {worn}" if worn else ""))
    return "; ".join(parts) or "nothing is planned for it on these days"


def _open_words(need: Need) -> str:
    """``not salted yet: salt it or freeze it``; a question ends as one."""
    said = plain(need.message)
    return f"{said}{' ' if said.endswith('?') else ': '}{plain(need.action)}"


def return_words(row: AwayLot) -> str:
    """``about 36 % (35–38) lost when you return, target 35–40 %``."""
    assert row.on_return_pct is not None  # its caller looked
    low, middle, high = row.on_return_pct
    lot = row.lot
    target = f"target {lot.target_lo_pct:g}–{lot.target_hi_pct:g} % of {lot.target_base}"
    spread = f" ({number(low)}–{number(high)})" if round(high) > round(low) else ""
    return f"about {number(middle)} %{spread} lost when you return, {target}"


def away_document(row: AwayLot) -> dict[str, Any]:
    """One lot of an away report as JSON."""
    return {
        "lot": row.lot.code,
        "stage": row.lot.stage,
        "passes_target": row.passes,
        "on_return_pct": None
        if row.on_return_pct is None
        else [rounded(loss, 1) for loss in row.on_return_pct],
        "base": "hang",
        "past_target_points": rounded(row.past_points, 1),
        "weigh_before": None if row.weigh_before is None else row.weigh_before.isoformat(),
        "weigh_after": None if row.weigh_after is None else row.weigh_after.isoformat(),
        "due": None if row.due is None else row.due.isoformat(),
        "asks": row.asks,
        "words": away_words(row),
    }


# ── planning back ─────────────────────────────────────────────────────────────────────────

_STANDING = {
    ENOUGH: "there is time enough, even for slow drying",
    TIGHT: "tight: in time if it dries as usual, too late if it dries slowly",
    UNLIKELY: "tight: in time only if it dries quickly",
    TOO_LATE: "too late for that day",
}


def plan_lines(planned: PlannedBack) -> list[str]:
    """The latest salting day with its spread, what it rests on, and how it stands."""
    plan = planned.plan
    low, usual, high = (number(days) for days in planned.drying_days)
    from_ = (
        f"your {count(planned.own_lots, 'finished lot')} of it"
        if planned.own_lots
        else "a rule of thumb by thickness; no lot of this style has been finished here yet"
    )
    lines = [
        f"{planned.style.name}, wanted {on_scale.dated(plan.ready_by)}: {_STANDING[plan.standing]}",
        f"salt it by {on_scale.dated(plan.salt_by_usual)}"
        f" (slow drying {on_scale.dated(plan.salt_by_slow)},"
        f" quick {on_scale.dated(plan.salt_by_quick)})",
        facts(
            f"cure {number(planned.cure_days)} d ({planned.rule})",
            f"drying {usual} d ({low}–{high}; {from_})",
            f"salt rest {number(planned.rest_days)} d" if planned.rest_days else "",
            f"equalising {number(planned.equalise_days)} d" if planned.equalise_days else "",
        ),
    ]
    quick, middle, slow = plan.ready_if_today
    lines.append(
        f"salted today it would reach its target about {on_scale.dated(middle)}"
        f" ({on_scale.dated(quick)} to {on_scale.dated(slow)}); the weight decides"
    )
    return lines


def ready_lines(
    found: Sequence[tuple[LotState, tuple[date, date] | None]], by: date, today: date
) -> list[str]:
    """The lots there are, by whether their pull window is over by a day, open, or later."""
    words: dict[str, list[str]] = {}
    for lot, window in found:
        if window is None:
            words.setdefault("without a pull window yet", []).append(lot.code)
            continue
        likely = "likely" if window[1] <= by else "perhaps"
        group = f"hanging now, {likely} at the target by then"
        if lot.stage == EQUALISING and window[0] <= by:
            group = "equalised by then"
        elif window[0] > by:
            group = "not by then"
        when = days(*window) if window[1] >= today else f"since {day(window[0])}"
        words.setdefault(group, []).append(f"{lot.code} {when}")
    return [f"{group}: {listed(lots)}" for group, lots in words.items()]


def plan_document(planned: PlannedBack) -> dict[str, Any]:
    """A plan as JSON."""
    plan = planned.plan
    return {
        "style": planned.style.id,
        "ready_by": plan.ready_by.isoformat(),
        "salt_by": {
            "slow": plan.salt_by_slow.isoformat(),
            "usual": plan.salt_by_usual.isoformat(),
            "quick": plan.salt_by_quick.isoformat(),
        },
        "standing": plan.standing,
        "target_if_salted_today": [on.isoformat() for on in plan.ready_if_today],
        **rounded_parts(planned, "cure_days", "rest_days", "equalise_days", decimals=1),
        "drying_days": [rounded(days, 1) for days in planned.drying_days],
        **parts(planned, "own_lots", "rule"),
    }
