"""The page for the person who stands in: day by day, as the scale shows it, no program needed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from sqlite3 import Connection

from curedash.domain.drying.inspections import decided, found_soft, undecided
from curedash.domain.needs.days_away import Away
from curedash.domain.needs.diary import DiaryItem
from curedash.domain.places.air import strictest_limits
from curedash.domain.records import LotState, Place
from curedash.papers.blocks import Block, Heading, Items, Para, Table
from curedash.papers.dose_sheet import minded
from curedash.present import display_units as units
from curedash.present.needs.diary import title
from curedash.present.numbers import number
from curedash.present.weighing.on_scale import dated, is_guessed, pull_at, tare_words
from curedash.present.words import ABOUT, day, plain, stage, weekday
from curedash.services.needs.alert_rules import rules_of
from curedash.services.needs.diary import Diary, StandIn, read_stand_in
from curedash.services.needs.open_work import open_work
from curedash.store import places, rack, settings

ASK, HOUSEHOLD = "ask", "household"  # settings
LEFT_TO_THE_LOT = ("keep-until", "away", "cure-earliest")
WEIGHED = ("weigh", "pull", "cure-out", "rest-over", "equalising-over", "salt-box-out")
NOBODY = "Nothing hangs or cures here now, so you need no stand-in."
ONLY_LOOK = (
    "Thank you. Nothing is weighed or pulled on these days: look, smell, do what is listed for the "
    "day, and write it down."
)
HOUSEHOLD_DOES = "The household does this before it leaves. If it is still open, leave it and ask."
LEAVE_IT = "The household does this itself, so leave it."
PULLED = (
    "To pull a piece: take it off, bag it and put it into the fridge at {cold} or colder. Write "
    "the weight and the time on this page. Do not slice it."
)


def handover(
    conn: Connection,
    now: datetime,
    *,
    days: int = 8,
    first: date | None = None,
    ask: str | None = None,
    looked_at: Away | None = None,
    weighs_too: bool = False,
) -> list[Block]:
    """The page for so many days, from today or another day.

    What days away moved to before or after is not asked of anybody in between.

    Parameters
    ----------
    looked_at : days away that are thought of but not kept
    weighs_too : the person weighs and turns on the days away as well, so nothing waits
    ask : whom to ask, with a number; else the household's, else a line to write on
    """
    around = read_stand_in(
        conn, now, days=days, first=first, looked_at=looked_at, weighs_too=weighs_too
    )
    diary = around.diary
    lots = rack.open_lots(conn)
    name = plain(settings.get(conn, HOUSEHOLD) or "")
    span = f"{dated(diary.stretch.first)} to {dated(diary.stretch.last)}"
    whom = plain(ask or whom_to_ask(conn)) or "____________________________"
    blocks: list[Block] = [
        Heading(f"Standing in{f' at {name}' if name else ''}", 1),
        Para(f"{span}. For questions: {whom}", strong=True),
    ]
    if not lots:
        return [*blocks, Para(NOBODY)]
    weighs = any(item.kind in WEIGHED for item in _todo(around))
    blocks += _how_to_weigh() if weighs else [Para(ONLY_LOOK)]
    held = {lot.place_id for lot in lots}  # nobody reads the thermometer of an empty place
    before = [f"{weekday(item.first)}: {_task(item)}" for item in around.before]
    blocks += _section("Due before these days", before, HOUSEHOLD_DOES)
    blocks += _section("Not finished yet", _open(conn, lots, now, around), HOUSEHOLD_DOES)
    blocks += _days(around, [each.name for each in places.all_places(conn) if each.id in held])
    waiting = [f"{weekday(item.first)}: {title(item)}" for item in around.waiting]
    blocks += _section("Waits until they are back", waiting, LEAVE_IT)
    blocks += _lots(diary, lots, weighs=weighs)
    blocks += _decided(lots)
    return [*blocks, *_places(conn, lots), *_off()]


def whom_to_ask(conn: Connection) -> str:
    """The name and number the household gave last, empty before it did."""
    return settings.get(conn, ASK) or ""


def _how_to_weigh() -> list[Block]:
    return [
        Para("Thank you. You need no computer: look, weigh, turn, and write it down."),
        Heading("How to weigh"),
        Items(
            (
                "Weigh the piece with everything that is on it; do not take anything off.",
                _read_the_scale(),
                "At its pull weight or lighter: pull it. Heavier: hang it back. The weight "
                "decides, not the date.",
                PULLED.format(cold=units.temp_tidy(5)),
                "A weight that makes no sense (heavier than last time, a tenth of it): "
                "weigh again.",
            )
        ),
    ]


def _todo(around: StandIn) -> list[DiaryItem]:
    """What the person who stands in does, in order."""
    diary = around.diary
    return [
        item
        for item in diary.items
        if item.first >= diary.stretch.first
        and item.kind not in LEFT_TO_THE_LOT
        and (item.kind != "pull" or not _is_weighed(around, item))
    ]


def _read_the_scale() -> str:
    """How finely the scale is read."""
    if units.in_pounds():
        return (
            "Write down what the scale shows, in pounds and ounces. A tenth of an ounce more or "
            "less does not matter."
        )
    return "Write down what the scale shows, in grams. One gram more or less does not matter."


def _days(around: StandIn, names: Sequence[str]) -> list[Block]:
    diary = around.diary
    blocks: list[Block] = [Heading("Day by day")]
    read = ", ".join(f"{plain(name)} ______ {units.temp_unit()}" for name in names)
    smell = "look and smell: is anything rotten or dripping?"
    look = f"thermometers: {read}; {smell}" if names else smell
    for number_ in range((diary.stretch.last - diary.stretch.first).days + 1):
        on = diary.stretch.first + timedelta(days=number_)
        texts = (*(_task(item) for item in _todo(around) if item.first == on), look)
        blocks += [Heading(weekday(on), 3), Items(texts, (False,) * len(texts))]
    return blocks


def _is_weighed(around: StandIn, pull: DiaryItem) -> bool:
    """Its weigh-ins of these days, or the one that waits, name the pull weight already."""
    return pull.lot is not None and any(
        item.kind == "weigh" and item.lot is not None and item.lot.id == pull.lot.id
        for item in (*around.diary.items, *around.waiting)
    )


def _section(head: str, texts: Sequence[str], note: str = "") -> list[Block]:
    """A head with its note and these texts below; nothing where there is none."""
    said = [Para(note)] if note else []
    return [Heading(head), *said, Items(tuple(texts))] if texts else []


def _open(conn: Connection, lots: Sequence[LotState], now: datetime, around: StandIn) -> list[str]:
    """What is unfinished now and has no day on this page: a dose, raw meat, a stage without end."""
    found = open_work(conn, lots, now, around.diary.stretch.last)
    return [
        f"{lot.code}{_where(lot)}: {plain(need.message)}"
        for lot in lots
        for need in found.get(lot.id, ())
    ]


def _task(item: DiaryItem) -> str:
    lot, grams = item.lot, None if item.lot is None else pull_at(item.lot)
    where = "" if lot is None else _where(lot)
    if item.kind == "pull" and lot is not None and (soft := found_soft(lot)) is not None:
        return f"{lot.code}{where}: do not pull it at any weight ({plain(soft)}); ask"
    if lot is not None and (against := undecided(lot)) is not None:
        return f"{lot.code}{where}: {plain(against)}. Leave it alone, do not open or taste it; ask"
    if item.kind != "weigh" or lot is None or grams is None:
        return f"{title(item)}{where}"
    worn = tare_words(lot)
    with_ = f", weighed {worn}" if worn else ""
    line = f"{lot.code}: weigh{where}: ________{units.to_write()}."
    if (soft := found_soft(lot)) is not None:
        return f"{line} Do not pull it at any weight ({plain(soft)}); ask"
    if is_guessed(lot):
        return f"{line} At {grams} or less on the scale{with_}, feel it and ask; do not pull it"
    return f"{line} Pull at {grams} or less on the scale{with_}"


def _where(lot: LotState) -> str:
    return f" ({plain(lot.place)})" if lot.place else ""


def _lots(diary: Diary, lots: Sequence[LotState], *, weighs: bool) -> list[Block]:
    """Every lot; where something is weighed with its last weight and the one it is pulled at."""
    rows = tuple(_lot_row(diary, lot) for lot in lots)
    heads = ("lot", "what", "where", "stage")
    if not weighs:
        return [Heading("What is where"), Table(heads, tuple(row[:4] for row in rows))]
    weights = ("on the scale with it", "last on the scale", "take down at this weight or less")
    return [Heading("What is where"), Table((*heads, *weights), rows, (5, 6))]


def _lot_row(diary: Diary, lot: LotState) -> tuple[str, ...]:
    hanging = lot.stage == "drying"
    worn = (
        f"{plain(lot.tare_what or 'tare')}, {units.mass(lot.tare_g)}" if lot.tare_g else "nothing"
    )
    last = "not yet"
    if lot.last_gross_g is not None and lot.last_at is not None:
        on = datetime.fromisoformat(lot.last_at).astimezone(diary.zone).date()
        last = f"{units.mass(lot.last_gross_g)} on {day(on)}"
    grams = pull_at(lot) if hanging else None
    if grams is not None and is_guessed(lot):
        grams = f"{grams}: feel it, ask"
    name = " ".join(part for part in (plain(lot.batch_name), plain(lot.piece)) if part)
    rest = "do not pull" if not hanging else "by its days"
    if undecided(lot) is not None or (hanging and found_soft(lot) is not None):
        grams, rest = None, "do not pull: ask"
    where, with_it = plain(lot.place or "–"), worn if hanging else "–"
    return lot.code, name, where, stage(lot.stage), with_it, last, grams or rest


def _decided(lots: Sequence[LotState]) -> list[Block]:
    """Lots that something spoke against and what was decided: nobody need find that out again."""
    said = [
        f"{lot.code}: {plain(known[0])}; decided: {plain(known[1])}. Do not open or taste it."
        for lot in lots
        if (known := decided(lot)) is not None
    ]
    return _section("Decided before", said)


def _places(conn: Connection, lots: Sequence[LotState]) -> list[Block]:
    """What a warm place means, by the strictest lot inside."""
    limits = dict(rules_of(conn)[1].limits)
    texts = []
    for place in places.all_places(conn):
        inside = [lot for lot in lots if lot.place_id == place.id]
        found = strictest_limits((lot.stage for lot in inside), limits)
        parts = [_band(place)]
        if found.mean_24h_max_c is not None:
            warm = units.temp_tidy(found.mean_24h_max_c)
            parts.append(f"above {warm} for a day: write it down and ask")
        if found.mean_6h_max_c is not None:
            warm = units.temp_tidy(found.mean_6h_max_c)
            parts.append(
                f"above {warm} for six hours: ask at once; close the door, and"
                f" move the sealed bags, then the rest, to a colder fridge"
            )
        if any(lot.stage == "ferment" for lot in inside):
            parts.append("something ferments here on purpose: it is meant to be warm")
        codes = ", ".join(lot.code for lot in inside) or "nothing"
        texts.append(f"{plain(place.name)} ({codes}): {'; '.join(part for part in parts if part)}")
    if not texts:
        return []
    note = (
        "One high reading after the door was opened means little; hours of it do matter. Open a"
        " warm fridge only if you must, and ask before throwing anything away."
    )
    return [Heading("If a fridge is warm"), Items(tuple(texts)), Para(note)]


def _band(place: Place) -> str:
    parts = []
    if place.temp_lo_c is not None and place.temp_hi_c is not None:
        parts.append(units.temp_range(place.temp_lo_c, place.temp_hi_c))
    if place.rh_lo_pct is not None and place.rh_hi_pct is not None:
        parts.append(f"{number(place.rh_lo_pct)}–{number(place.rh_hi_pct)} % humidity")
    return f"usual {', '.join(parts)}" if parts else ""


def _off() -> list[Block]:
    return [
        Heading("If something looks or smells wrong"),
        Items(
            (
                "Thin white bloom on the outside is usual. Slime, black or red growth, a rotten "
                "smell, a swollen bag: leave it shut, take a picture, ask. Do not taste.",
                "Do not wash, scrape or open anything that this page does not name.",
                *minded("slicing"),
            )
        ),
        Para(f"{ABOUT} before a weight means that it rests on an estimate."),
    ]
