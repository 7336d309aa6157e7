"""Lines and documents of a lot's life: re-based, divided, opened, finished; Book and history."""

from datetime import datetime, tzinfo
from typing import Any

from curedash.domain.drying.lot_figures import loss_on, net_now_g
from curedash.domain.household.book import Before, FinishedLot, Spread
from curedash.domain.record import as_dict
from curedash.domain.records import Finish, LotState, Pack
from curedash.domain.wording import facts, listed
from curedash.present.display_units import cost, cost_unit, mass
from curedash.present.numbers import parts, rounded, rounded_parts
from curedash.present.weighing.green import final_words, green_words
from curedash.present.words import ABOUT, count, moment_words, percent
from curedash.services.drying.finish import Finished
from curedash.services.drying.observe import Answered, Logged
from curedash.services.drying.opened import Opened
from curedash.services.household.book import Again
from curedash.services.household.history import HistoryLine
from curedash.services.weighing.divide import Divided
from curedash.services.weighing.rebase import Rebased

# ── re-base and divide ────────────────────────────────────────────────────────────────────


def _mass(weight_g: float | None) -> str:
    return "weight unknown" if weight_g is None else mass(weight_g)


def rebased_line(done: Rebased) -> str:
    """``C2: trimmed, hang 1534 g to 1457 g, still 24.1 % lost``."""
    about = ABOUT if done.lot.hang_pm_g is not None and done.base == "hang" else ""
    if done.kind == "tare":
        what = f"tare {mass(done.tare_before_g)} to {mass(done.tare_after_g)}"
        what += f", {done.base} {about}{_mass(done.base_after_g)} stays"
    else:
        base = (about + _mass(g) for g in (done.base_before_g, done.base_after_g))
        what = f"{done.base} " + " to ".join(base)
    changed = f"{done.lot.code}: {done.reason}, {what}"
    if done.loss_pct is None:
        return changed
    return f"{changed}, still {about}{percent(done.loss_pct)} lost"


def rebased_document(done: Rebased) -> dict[str, Any]:
    """One re-base."""
    weights = ("base_before_g", "base_after_g", "tare_before_g", "tare_after_g")
    return {
        "lot": done.lot.code,
        **parts(done, "kind", "reason", "base"),
        **rounded_parts(done, *weights, "loss_pct"),
        "saved": True,
    }


def divided_lines(done: Divided) -> list[str]:
    """What became of the whole, then a line for each part."""
    trimmed = f"{mass(done.trimmed_g)} trimmed off" if done.trimmed_g > 0.05 else ""
    closed = f"{done.parent.code}: divided into {count(len(done.parts), 'part')}, closed"
    lines = [facts(closed, trimmed)]
    for part in done.parts:
        net_g = net_now_g(part) if part.curve else part.last_net_g
        words = [f"{part.code}: {mass(net_g or 0.0)} net"]
        lost = loss_on(part.base_g, net_g)
        if part.base_g is not None and lost is not None:
            about = ABOUT if part.hang_pm_g is not None else ""
            words.append(f"{about}{percent(lost)} lost from hang {about}{mass(part.base_g)}")
        if part.stage == "closed":
            words.append("closed")
        lines.append(", ".join(words))
    return lines


def divided_document(done: Divided) -> dict[str, Any]:
    """A division."""
    return {
        "lot": done.parent.code,
        "trimmed_g": rounded(done.trimmed_g),
        "parts": [_part(part) for part in done.parts],
        "saved": True,
    }


def _part(part: LotState) -> dict[str, Any]:
    net_g = net_now_g(part) if part.curve else part.last_net_g
    return {
        **parts(part, "code", "stage"),
        "net_g": rounded(net_g),
        **rounded_parts(part, "green_g", "base_g"),
        "loss_pct": rounded(loss_on(part.base_g, net_g)),
        "base": "hang",
        "count": part.count,
    }


# ── looked at, opened, finished ───────────────────────────────────────────────────────────


def answered_lines(done: Answered) -> list[str]:
    """What was felt, then the ways on."""
    return [f"{done.lot.code}: {done.felt.words}", *(f"  {o.words}" for o in done.offers)]


def answered_document(done: Answered) -> dict[str, Any]:
    """The three answers and the ways on."""
    offers = [{"step": o.step, "words": o.words, "days": o.days} for o in done.offers]
    return {"lot": done.lot.code, **as_dict(done.felt), "offers": offers, "saved": True}


def mould_line(done: Logged) -> str:
    """``C2: white, powdery, spots; brushed; look again on 2026-11-27 or -28``."""
    line = f"{done.lot.code}: {done.mould.words}"
    if done.mould.asks_decision:
        return f"{line}; decide what you do with it and record it with --decide"
    return f"{line}; look again between {done.again[0]} and {done.again[1]}"


def mould_document(done: Logged) -> dict[str, Any]:
    """One mould entry."""
    return {
        "lot": done.lot.code,
        **as_dict(done.mould),
        "asks_decision": done.mould.asks_decision,
        "look_again": [day.isoformat() for day in done.again],
        "saved": True,
    }


def opened_lines(done: Opened) -> list[str]:
    """What was found, what is short of target, who hears of it."""
    lines = [done.words]
    if done.short_g is not None:
        lines.append(f"{mass(done.short_g)} short of target")
    if done.siblings:
        lines.append(f"recorded for {listed(done.siblings)}")
    return lines


def opened_document(done: Opened) -> dict[str, Any]:
    """A lot cut open."""
    return {
        "lot": done.lot.code,
        "found": done.words,
        "short_of_target_g": rounded(done.short_g),
        "stage": done.lot.stage,
        "siblings": list(done.siblings),
        "saved": True,
    }


def finished_line(done: Finished) -> str:
    """``C2: 1043 g, 32.0 % lost from hang, 39 drying days, yield 61.2 %, 38.20 EUR/kg``."""
    ended = done.finish
    about = ABOUT if done.lot.hang_pm_g is not None and ended.base == "hang" else ""
    parts = [f"{done.lot.code}: {final_words(ended.final_g)}"]
    if ended.loss_pct is not None:
        parts.append(f"{about}{percent(ended.loss_pct)} lost from {ended.base}")
    if ended.drying_days is not None:
        parts.append(count(ended.drying_days, "drying day"))
    if ended.yield_pct is not None:
        parts.append(f"yield {percent(ended.yield_pct)} of green")
    if ended.cost_per_kg is not None:
        parts.append(f"{cost(ended.cost_per_kg, ended.currency)} a {cost_unit()}")
    if done.packs:
        parts.append(count(len(done.packs), "pack"))
    return ", ".join(parts)


def finish_document(code: str, ended: Finish, packs: tuple[Pack, ...]) -> dict[str, Any]:
    """How a lot ended."""
    return {
        "lot": code,
        "at": ended.at,
        "final_g": rounded(ended.final_g),
        "base": ended.base,
        "loss_pct": rounded(ended.loss_pct),
        **parts(ended, "days", "drying_days"),
        "yield_pct": rounded(ended.yield_pct),
        **rounded_parts(ended, "cost_in", "cost_per_kg", decimals=2),
        **parts(ended, "currency", "cut_face", "liked"),
        "liked_at_pct": rounded(ended.liked_at_pct),
        "note": ended.note,
        "packs": [pack_document(pack) for pack in packs],
    }


def pack_document(pack: Pack) -> dict[str, Any]:
    """One pack."""
    return {
        "pack": pack.id,
        "at": pack.at,
        "weight_g": rounded(pack.weight_g),
        **parts(pack, "keep_until", "given_to", "mixed_with"),
    }


# ── Book ──────────────────────────────────────────────────────────────────────────────────


def book_line(row: FinishedLot) -> str:
    """``C2  Beef eye  32.0 % in 39 d, yield 61 %, liked 4 at 33 %: slower next time``."""
    parts = []
    if row.loss_pct is not None:
        about = ABOUT if row.approx and row.base == "hang" else ""
        days = "" if row.drying_days is None else f" in {row.drying_days} d"
        parts.append(f"{about}{percent(row.loss_pct)} of {row.base}{days}")
    if row.yield_pct is not None:
        parts.append(f"yield {percent(row.yield_pct, 0)}")
    if row.cost_per_kg is not None:
        parts.append(f"{cost(row.cost_per_kg, row.currency)}/{cost_unit()}")
    if row.liked is not None:
        at = "" if row.liked_at_pct is None else f" at {percent(row.liked_at_pct, 0)}"
        parts.append(f"liked {row.liked}{at}")
    if row.cut_face is not None:
        parts.append(row.cut_face)
    name = " ".join(part for part in (row.batch_name, row.piece) if part)
    notes = [note for note in (row.note, row.heard) if note]
    return f"{row.code:<5} {name}: {', '.join(parts)}" + "".join(f"; {note}" for note in notes)


def book_document(row: FinishedLot) -> dict[str, Any]:
    """One finished lot."""
    document = {
        key: rounded(v) if isinstance(v, float) else v
        for key, v in as_dict(row).items()
        if not key.startswith("roast_")  # `curedash price --json` gives the price of a roast
    }
    document.pop("id")
    return document | {
        "piece": row.piece or None,
        "rate_pct_per_day": rounded(row.rate_pct_per_day, 4),
    }


def before_lines(found: Before) -> list[str]:
    """What comparable lots did."""
    if not found.n:
        return ["nothing similar has been finished yet"]
    lines = [count(found.n, "finished lot")]
    for name, spread, unit in (
        ("drying days", found.drying_days, "d"),
        ("loss", found.loss_pct, "%"),
        ("rate", found.rate_pct_per_day, "%/d"),
        ("liked", found.liked, "of 5"),
    ):
        if spread is not None:
            lines.append(f"{name}: {_spread(spread, unit)}")
    if found.best is not None:
        lines.append(f"best liked: {book_line(found.best)}")
    return lines


def _spread(found: Spread, unit: str) -> str:
    decimals = 2 if unit == "%/d" else 1 if unit == "%" else 0
    lo, median, hi = (f"{value:.{decimals}f}" for value in (found.lo, found.median, found.hi))
    between = "" if lo == hi else f" ({lo}–{hi})"
    return f"{median} {unit}{between}"


def before_document(found: Before) -> dict[str, Any]:
    """What comparable lots did."""

    def spread(value: Spread | None) -> dict[str, Any] | None:
        if value is None:
            return None
        return {"n": value.n, **rounded_parts(value, "median", "lo", "hi", decimals=4)}

    return {
        "n": found.n,
        "drying_days": spread(found.drying_days),
        "base": found.base,
        "loss_pct": spread(found.loss_pct),
        "rate_pct_per_day": spread(found.rate_pct_per_day),
        "liked": spread(found.liked),
        "best": None if found.best is None else book_document(found.best),
    }


def again_lines(found: Again) -> list[str]:
    """A batch to make again, with its notes."""
    batch = found.batch
    pieces = ", ".join(green_words(lot) for lot in found.lots if lot.parent_id is None)
    lines = [
        f"{batch.code} {batch.name}: {batch.species}, {batch.style}, {batch.method}",
        f"green: {pieces}",
    ]
    lines += [book_line(row) for row in found.finished]
    return lines + [f"note: {note}" for note in found.notes]


def again_document(found: Again) -> dict[str, Any]:
    """A batch to make again."""
    batch = found.batch
    return {
        "batch": batch.code,
        **parts(batch, "name", "species", "style"),
        "recipe": found.recipe,
        "green_g": [rounded(lot.green_g) for lot in found.lots if lot.parent_id is None],
        "finished": [book_document(row) for row in found.finished],
        "notes": list(found.notes),
    }


# ── history ───────────────────────────────────────────────────────────────────────────────


def history_line(line: HistoryLine, zone: tzinfo) -> str:
    """``142  25 Nov 19:00 (18:00 UTC)  anna, shell  weigh C2``."""
    from curedash.present.household.history import words_of

    utc = datetime.fromisoformat(line.recorded_at).strftime("%H:%M UTC")
    done = words_of(line)
    undone = "  (undone)" if line.undone else ""
    when = f"{moment_words(line.recorded_at, zone)} ({utc})"
    return f"{line.id:>5}  {when}  {line.actor}, {line.origin}  {done}{undone}"


def history_document(line: HistoryLine, zone: tzinfo) -> dict[str, Any]:
    """One change."""
    local = datetime.fromisoformat(line.recorded_at).astimezone(zone)
    return {
        "change": line.id,
        "at": line.at,
        "recorded_at": line.recorded_at,
        "recorded_local": local.isoformat(),
        **parts(line, "actor", "origin", "verb", "subject", "undoes"),
        "taken_back": line.undone,
    }
