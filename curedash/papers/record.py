"""The record of a lot or a batch: what was written down, with sources, corrections and alerts.

Good enough to lay before an inspector or a guest with an allergy. It records and computes; it
passes no verdict on the meat.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import RAW, stage_day
from curedash.domain.drying.lot_figures import base_of
from curedash.domain.needs.lot_needs import open_words
from curedash.domain.places.air import WindowStats
from curedash.domain.records import ENDED, LotState, Pack, StoredNeed, WeighIn
from curedash.domain.wording import facts
from curedash.papers.blocks import Block, Figure, Heading, Items, PageBreak, Para, Table
from curedash.papers.curve_svg import Curve
from curedash.papers.dose_sheet import amounts, ingredient_table, minded
from curedash.papers.ingredients import salt_words
from curedash.papers.lot_facts import LotFacts, facts_of
from curedash.present import display_units as units
from curedash.present.drying.past_windows import past_window_dated
from curedash.present.household.history import words_of
from curedash.present.household.photos import photo_line
from curedash.present.numbers import number
from curedash.present.weighing import on_scale
from curedash.present.weighing.green import final_words, green_words
from curedash.present.words import ABOUT, LEVEL_WORDS, count, percent, plain, stage
from curedash.services.drying.lot_curve import LotCurve, Point, curve_of, while_drying
from curedash.services.drying.past_windows import PastWindow, past_windows_of
from curedash.services.household import photos
from curedash.services.household.event_words import event_text
from curedash.services.household.history import history
from curedash.services.places.air_by_stage import Stay, stays_of
from curedash.store import finishes, rebases, record_lookups
from curedash.store import lots as lot_rows

CORRECTIONS = ("undo", "void", "correct", "put", "set", "untick")
KIND_WORDS = {
    "cured": "out of the cure",
    "hang": "hung",
    "stage": "",
    "inherited": "inherited from the whole lot",
}


def record_of(conn: Connection, lots: Sequence[LotState], now: datetime) -> list[Block]:
    """The record of some lots, each beginning on a page of its own."""
    blocks: list[Block] = []
    for lot in lots:
        if blocks:
            blocks.append(PageBreak())
        blocks += _lot(conn, facts_of(conn, lot, now), now)
    return blocks


def _lot(conn: Connection, facts: LotFacts, now: datetime) -> list[Block]:
    lot = facts.lot
    curve = curve_of(conn, lot.id, now, base=lot.target_base)
    stays = stays_of(conn, lot_rows.stages(conn, lot.id), now)
    written = now.astimezone(facts.zone)
    blocks: list[Block] = [
        Heading(f"Record {on_scale.name_of(lot)}", 1),
        Para(
            f"Written {on_scale.dated(written.date())}, {written:%H:%M}. It lists what was"
            " recorded and computed; it does not judge the meat."
        ),
        _head(conn, facts),
        Heading("What went in"),
    ]
    blocks += _dose(conn, facts)
    blocks += _weights(facts, curve, past_windows_of(conn, lot))
    blocks += [Heading("Stages and air"), *_stages(facts, stays)]
    blocks += _alerts(conn, facts, stays)
    blocks += _happened(conn, facts)
    blocks += _end(conn, facts)
    blocks += [Heading("Mind"), Items(minded("slicing", "rule-set"))]
    return blocks


def _head(conn: Connection, facts: LotFacts) -> Table:
    lot, batch = facts.lot, facts.batch
    source = record_lookups.source_of(conn, lot.id)
    bought = "not recorded"
    if source is not None:
        packed = "" if source.pack_date is None else f"packed {_day_or_dash(source.pack_date)}"
        label = "" if source.use_by is None else f"use by {_day_or_dash(source.use_by)}"
        parts = [source.name, source.shop, source.condition, packed, label]
        bought = ", ".join(plain(part) for part in parts if part)
    salted = "–" if lot.salted_at is None else on_scale.dated_from(lot.salted_at, facts.zone)
    rules, picked = batch.rule_set or "–", batch.product_class or "–"
    rows = [
        ("batch", f"{batch.code}, {plain(batch.name)}"),
        ("meat", plain(lot.species) or "–"),
        ("bought as", bought),
        ("style", plain(lot.style_name)),
        ("method", f"{batch.method}; rule set {rules}, product class {picked}"),
        ("salted", salted),
        ("green weight", green_words(lot) + (f", {lot.count} pieces" * (lot.count > 1))),
        ("out of the cure", "–" if lot.cured_g is None else units.mass(lot.cured_g)),
        ("stage now", f"{stage(lot.stage)} since {on_scale.dated_from(lot.stage_at, facts.zone)}"),
    ]
    span = on_scale.pull_range(lot)
    if span is not None and lot.hang_g is not None:
        loss = f"{lot.target_lo_pct:g}–{lot.target_hi_pct:g} % of {lot.target_base} weight"
        worn = on_scale.tare_words(lot)
        rows.append(("target", f"{loss}: {span} on the scale {worn}".strip()))
    if batch.note:
        rows.append(("note", plain(batch.note)))
    return Table(("", ""), tuple(rows))


def _dose(conn: Connection, facts: LotFacts) -> list[Block]:
    nothing = Para("No ingredient is recorded.")
    blocks: list[Block] = [ingredient_table(facts) if facts.dose else nothing]
    if facts.lot.dose_open and facts.lot.stage != RAW:
        blocks.append(Para(f"{open_words(facts.lot)}; counted as planned.".capitalize()))
    salt = salt_words(facts)
    if salt is not None:
        blocks.append(Para(f"Curing salt: {salt}."))
    return blocks + [Para(text) for text in amounts(conn, facts)]


# ── weights ───────────────────────────────────────────────────────────────────────────────


def _weights(facts: LotFacts, curve: LotCurve, told: Sequence[PastWindow]) -> list[Block]:
    rows = tuple(_weight_row(facts, row) for row in facts.weigh_ins)
    if not rows:
        return [Heading("Weights"), Para("It has not been weighed yet.")]
    base, _ = base_of(facts.lot, facts.lot.target_base)
    unit = "" if units.in_pounds() else " g"
    weights = (f"{name}{unit}" for name in ("on the scale", "tare", "net"))
    heads = ("when", *weights, f"lost from {base}", "remark")
    blocks: list[Block] = [Heading("Weights"), Table(heads, rows, (1, 2, 3, 4))]
    dried = while_drying(curve)
    if len(dried) > 1:
        blocks.append(_figure(curve, dried))
    if told:
        said = tuple(past_window_dated(one) for one in told)
        blocks += [Heading("Earlier pull windows"), Items(said)]
    return blocks


def _weight_row(facts: LotFacts, row: WeighIn) -> tuple[str, ...]:
    lot = facts.lot
    base, base_g = base_of(lot, lot.target_base)
    lost = "–"
    if row.curve and base_g is not None:
        then_g = base_g * row.base_factor / lot.base_factor
        about = ABOUT if on_scale.is_about(lot) and base == "hang" else ""
        lost = about + percent(100 * (1 - row.net_g / then_g))
    said = [KIND_WORDS.get(row.kind, row.kind), plain(row.note or "")]
    if row.flagged:
        said.append("saved although doubtful")
    if row.voided_at is not None:
        said.insert(0, "does not count")
    weights = (units.bare(grams) for grams in (row.gross_g, row.tare_g, row.net_g))
    remark = ", ".join(filter(None, said)) or "–"
    return on_scale.moment_dated(row.at, facts.zone), *weights, lost, remark


def _figure(curve: LotCurve, dried: Sequence[Point]) -> Figure:
    """The curve until it left the drying for good, as the Book lays it over others."""
    drawn = Curve(
        tuple((point.day, point.loss_pct) for point in dried),
        curve.target_pct,
        curve.window_days,
        curve.base,
        f"loss from {curve.lot.code} against days",
    )
    last = dried[-1]
    about = ABOUT + " " if curve.approx else ""
    caption = (
        f"{curve.lot.code}: {count(len(dried), 'point')}, {about}{percent(last.loss_pct)}"
        f" lost from {curve.base} weight after {number(last.day)} days"
    )
    target = ""
    if curve.target_pct is not None:
        low, high = (number(loss) for loss in curve.target_pct)
        target = f"target {low}–{high} % of {curve.base} weight"
    return Figure(drawn, f"{facts(caption, target)}.")


# ── stages, air, alerts ───────────────────────────────────────────────────────────────────


def _stages(facts: LotFacts, stays: Sequence[Stay]) -> list[Block]:
    rows = tuple(_stay_row(facts, stay) for stay in stays)
    air = (f"{unit} mean (low–high)" for unit in (units.temp_unit(), "% RH"))
    blocks: list[Block] = [Table(("stage", "from", "days", "place", *air, "note"), rows, (2,))]
    thin = [stage(s.stage) for s in stays if s.temp is not None and not s.temp.enough]
    if thin:
        blocks.append(Para("Readings cover less than half of: " + ", ".join(thin) + "."))
    return blocks


def _stay_row(facts: LotFacts, stay: Stay) -> tuple[str, ...]:
    place = "–" if stay.place is None else plain(stay.place.name)
    said = [plain(stay.note or "")]
    if stay.above_h is not None and stay.above_h >= 0.1 and stay.limit_c is not None:
        said.insert(0, f"{stay.above_h:.1f} h above {units.temp_tidy(stay.limit_c)}")
    days = "–" if stay.stage in ENDED else str(stage_day(stay.start, stay.end, facts.zone))
    begun = on_scale.moment_dated(stay.start.isoformat(), facts.zone)
    air = _range(stay.temp, 1, units.degrees), _range(stay.rh, 0)
    remark = "; ".join(filter(None, said)) or "–"
    return stage(stay.stage), begun, days, place, *air, remark


def _range(
    stats: WindowStats | None, decimals: int, shown: Callable[[float], float] = float
) -> str:
    if stats is None:
        return "not read"
    mean, low, high = (number(shown(v), decimals) for v in (stats.mean, stats.low, stats.high))
    return f"{mean} ({low}–{high})"


def _alerts(conn: Connection, facts: LotFacts, stays: Sequence[Stay]) -> list[Block]:
    found = {need.id: need for need in record_lookups.alerts_of_lot(conn, facts.lot.id)}
    for stay in stays:
        if stay.place is not None and stay.stage not in ENDED:
            span = (stay.start.isoformat()[:19] + "Z", stay.end.isoformat()[:19] + "Z")
            about = record_lookups.alerts_of_place(conn, stay.place.id, *span)
            found |= {need.id: need for need in about}
    if not found:
        return [Heading("Alerts"), Para("None was saved.")]
    needs = sorted(found.values(), key=lambda need: need.opened_at)
    heads = ("opened", "cleared", "level", "what", "snoozed because")
    return [Heading("Alerts"), Table(heads, tuple(_alert_row(facts, need) for need in needs))]


def _alert_row(facts: LotFacts, need: StoredNeed) -> tuple[str, ...]:
    opened, cleared = need.opened_at, need.cleared_at
    return (
        on_scale.moment_dated(opened, facts.zone),
        "open" if cleared is None else on_scale.moment_dated(cleared, facts.zone),
        LEVEL_WORDS.get(need.level, need.level),
        plain(need.message),
        plain(need.reason or "") or "–",
    )


# ── what happened, corrections, the end ───────────────────────────────────────────────────


def _photos(conn: Connection, facts: LotFacts) -> list[Block]:
    lines = tuple(
        photo_line(event, photos.where(conn, photo), photos.state(conn, photo), facts.zone)
        for event, photo in photos.photos_of(conn, facts.lot.id)
    )
    return [Heading("Photos"), Items(lines)] if lines else []


def _happened(conn: Connection, facts: LotFacts) -> list[Block]:
    lot = facts.lot
    told = [
        (e.at, f"{e.kind}: {plain(units.retold(event_text(e)))}")
        for e in lot_rows.events(conn, lot_id=lot.id)
    ]
    for cut in rebases.of_lot(conn, lot.id):
        weights = f"{units.mass(cut.before_g)} to {units.mass(cut.after_g)}"
        told.append((cut.at, f"{plain(cut.reason)}: {weights} on the scale"))
    lines = [f"{on_scale.moment_dated(at, facts.zone)}: {words}" for at, words in sorted(told)]
    blocks: list[Block] = [Heading("What happened"), Items(tuple(lines))] if lines else []
    blocks += _photos(conn, facts)
    changed = [
        line
        for line in history(conn, limit=500, lot_id=lot.id)
        if line.undone or line.verb.split()[0] in CORRECTIONS
    ]
    corrected = tuple(
        f"{on_scale.moment_dated(line.recorded_at, facts.zone)}, {plain(line.actor)}:"
        f" {words_of(line)}" + (" (undone later)" if line.undone else "")
        for line in reversed(changed)
    )
    blocks.append(Heading("Corrections"))
    blocks.append(Items(corrected) if corrected else Para("None."))
    return blocks


def _end(conn: Connection, facts: LotFacts) -> list[Block]:
    ended = finishes.of_lot(conn, facts.lot.id)
    blocks: list[Block] = []
    if ended is not None:
        parts = [f"{on_scale.dated_from(ended.at, facts.zone)}: {final_words(ended.final_g)}"]
        if ended.loss_pct is not None:
            parts.append(f"{percent(ended.loss_pct)} lost from {ended.base} weight")
        if ended.drying_days is not None:
            parts.append(count(ended.drying_days, "drying day"))
        if ended.cut_face:
            parts.append(f"cut face: {plain(ended.cut_face)}")
        if ended.note:
            parts.append(plain(ended.note))
        blocks += [Heading("The end"), Para(", ".join(parts))]
    if facts.packs:
        unit = "weight" if units.in_pounds() else "g"
        heads = ("pack", "packed", unit, "kept until, own rule", "given to")
        rows = tuple(_pack_row(facts, pack) for pack in facts.packs)
        blocks += [Heading("Packs"), Table(heads, rows, (0, 2))]
    return blocks


def _pack_row(facts: LotFacts, pack: Pack) -> tuple[str, ...]:
    packed, kept = on_scale.dated_from(pack.at, facts.zone), _day_or_dash(pack.keep_until)
    given_to = plain(pack.given_to or "") or "–"
    return str(pack.id), packed, units.bare(pack.weight_g), kept, given_to


def _day_or_dash(iso: str | None) -> str:
    """A stored calendar day as it is written; one of another form stays as it is."""
    if iso is None:
        return "–"
    try:
        return on_scale.dated(date.fromisoformat(iso[:10]))
    except ValueError:
        return plain(iso)
