"""The dose sheet: a tick-off list to weigh by, what it amounts to, and the days it needs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from sqlite3 import Connection

from curedash.domain.dosing import Dose
from curedash.domain.dosing.request import Scale
from curedash.domain.errors import CuredashError
from curedash.domain.facts.cautions import cautions_for
from curedash.domain.records import DoseLine, LotState
from curedash.papers.blocks import Block, Heading, Items, PageBreak, Para, Table
from curedash.papers.ingredients import agents_words, contains, salt_words
from curedash.papers.lot_facts import LotFacts, facts_of
from curedash.papers.tags import out_words, turn_days
from curedash.present.display_units import retold
from curedash.present.dosing.dose_weights import any_ounces, dose_words, line_division
from curedash.present.dosing.doses import limit_lines
from curedash.present.dosing.sheet_lines import sheet_decimals, together_words
from curedash.present.numbers import number
from curedash.present.weighing.green import green_phrase
from curedash.present.weighing.on_scale import dated_from, moment_dated, name_of
from curedash.present.words import day, percent, plain
from curedash.services.dosing.bags import bag_of, planned_dose
from curedash.services.dosing.batch_sheet import is_raw_pork
from curedash.store import record_lookups


def dose_sheet(conn: Connection, lots: Sequence[LotState], now: datetime) -> list[Block]:
    """The sheets of some lots, each on a page of its own."""
    blocks: list[Block] = []
    for lot in lots:
        if blocks:
            blocks.append(PageBreak())
        blocks += _sheet(conn, facts_of(conn, lot, now))
    return blocks


def _sheet(conn: Connection, facts: LotFacts) -> list[Block]:
    lot = facts.lot
    salted = (
        "not salted yet"
        if lot.salted_at is None
        else f"salted {dated_from(lot.salted_at, facts.zone)}"
    )
    head = f"{green_phrase(lot)}, {plain(lot.style_name)}, {lot.method}, {salted}"
    blocks: list[Block] = [Heading(f"Dose sheet {name_of(lot)}", 1), Para(head)]
    blocks += _weighed_in(conn, facts)
    out = out_words(facts)
    if out:
        blocks += [Heading("Days"), Items(tuple(out))]
    turns = turn_days(facts)
    if turns:
        blocks += [Para("Turned:"), Items(tuple(day(on) for on in turns), (False,) * len(turns))]
    planned = not facts.dose or facts.request is None or facts.request.curing_salt is not None
    salted_with = planned or any(line.kind in ("curing-salt", "pack") for line in facts.dose)
    more = ["raw-pork"] if is_raw_pork(conn, lot) else []
    mind = minded(*(["curing-salt"] if salted_with else []), "in-cure", *more)
    return [*blocks, Heading("Mind"), Items(mind)]


def _weighed_in(conn: Connection, facts: LotFacts) -> list[Block]:
    """What to weigh, and what it amounts to; a salt box may have nothing weighed."""
    if not facts.dose:
        return [Para("No ingredient is recorded.")]
    told = "Weigh each one, write what the scale shows and the time, then tick it."
    blocks: list[Block] = [Para(told), ingredient_table(facts)]
    bag = bag_of(conn, facts.lot)
    if bag is not None:
        scales = () if facts.request is None else facts.request.shelf_of_scales
        together = together_words(bag, scales)
        blocks.append(Para(f"In one bag. {together}; the table has this lot's share."))
    salt = salt_words(facts)
    if salt is not None:
        blocks.append(Para(f"Curing salt: {salt}.", strong=True))
    return blocks + [Para(text) for text in amounts(conn, facts)]


def minded(*moments: str) -> tuple[str, ...]:
    """The cautions that belong to some moments, in the units shown."""
    return tuple(retold(text) for moment in moments for text in cautions_for(moment))


def ingredient_table(facts: LotFacts) -> Table:
    """Planned beside weighed, with the time; what is not ticked is there to write in."""
    scales = () if facts.request is None else facts.request.shelf_of_scales
    decimals = sheet_decimals(facts.dose, scales)
    ounces = any_ounces(facts.dose, scales)
    unit = "" if ounces else " g"
    rows = tuple(_row(facts, line, decimals, scales, ounces) for line in facts.dose)
    return Table(("", "ingredient", f"planned{unit}", f"weighed{unit}", "when"), rows, (2, 3))


def _row(
    facts: LotFacts, line: DoseLine, decimals: int, scales: Sequence[Scale], ounces: bool
) -> tuple[str, ...]:
    """One ingredient; each weight with its unit where one of the sheet is in ounces."""

    def shown(grams: float) -> str:
        size = line_division(line, scales) if ounces else None
        return dose_words(grams, size, decimals) if ounces else number(grams, decimals)

    when = "" if line.ticked_at is None else moment_dated(line.ticked_at, facts.zone)
    weighed = "" if line.weighed_g is None else shown(line.weighed_g)
    mark = "x" if line.ticked_at else "\N{BALLOT BOX}"
    return mark, plain(line.name), shown(line.planned_g), weighed, when


def amounts(conn: Connection, facts: LotFacts) -> list[str]:
    """Total salt, nitrite and nitrate, the limits with their sources, what was said, contents."""
    lot = facts.lot
    salt = "unknown" if lot.total_salt_pct is None else percent(lot.total_salt_pct, 2)
    if lot.salt_box:
        salt = "not known in a salt box"
    lines = [f"Total salt {salt} of green weight; {agents_words(facts)}."]
    dose = _planned(conn, lot)
    if dose is not None:
        said = (dose.verdict_words, *limit_lines(dose), *dose.not_compared)
        lines += [f"{words[0].upper()}{words[1:]}" for words in dict.fromkeys(said)]
    lines += [plain(text) for text in record_lookups.dose_notes(conn, lot.id)]
    return [*lines, f"Contains: {', '.join(contains(facts))}."]


def _planned(conn: Connection, lot: LotState) -> Dose | None:
    """The dose as it was computed, for its limits; None where it cannot be any more."""
    try:
        return planned_dose(conn, lot)
    except CuredashError:
        return None
