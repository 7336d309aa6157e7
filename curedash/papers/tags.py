"""What stands on a tag, as data: the same for paper and for a terminal.

A tag works with the board switched off: what it is, since when, and at which weight *on the
scale* it is pulled. The weight decides, not the date.
"""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from math import ceil
from sqlite3 import Connection
from typing import Literal

from curedash.domain.curing.turning import turn_every_days
from curedash.domain.drying.inspections import undecided
from curedash.domain.errors import Refused
from curedash.domain.facts.cautions import cautions_for
from curedash.domain.record import record
from curedash.domain.records import DoseLine, LotState, Pack
from curedash.domain.times import local_day
from curedash.domain.wording import facts as joined
from curedash.papers.ingredients import agents_words, contains, salt_words
from curedash.papers.lot_facts import LotFacts, facts_of
from curedash.present.display_units import bare, in_pounds, mass, temp_tidy, to_write
from curedash.present.numbers import weight
from curedash.present.weighing import on_scale
from curedash.present.weighing.green import green_phrase
from curedash.present.words import ABOUT, day, plain

Kind = Literal["hang", "cure", "pack"]
KINDS: tuple[Kind, ...] = ("hang", "cure", "pack")
WEIGH_BOXES, MOST_TURNS = 6, 14
NEVER_LEFT_OUT = 3
OFF_THE_MEAT = "Fix it to hook, net or shelf, off the meat: the moisture must get out."


@record
class Row:
    """One piece of a tag; a narrow label leaves out the least important ones first."""

    text: str
    size: float = 1.0  # of the label's own type size
    bold: bool = False
    worth: float = 2  # 3: never left out; the lower, the sooner it goes
    kind: str = "text"  # text | tick | boxes | turns
    boxes: tuple[str, ...] = ()


def kept(text: str, size: float = 1.0, *, bold: bool = True) -> Row:
    """A row that is never left out."""
    return Row(text, size, bold, NEVER_LEFT_OUT)


@record
class Tag:
    """One tag: the lot code large with its QR code, then the rows."""

    code: str
    kind: str
    rows: tuple[Row, ...]


def usual_kind(stage: str) -> Kind:
    """The tag a lot wants in a stage.

    Example
    -------
    >>> usual_kind("in-cure"), usual_kind("drying"), usual_kind("keeping")
    ('cure', 'hang', 'pack')
    """
    if stage in ("raw", "in-cure"):
        return "cure"
    return "pack" if stage in ("keeping", "closed") else "hang"


def tags_of(facts: LotFacts, kind: Kind | None = None) -> list[Tag]:
    """The tags of a lot: one, or one for each of its packs.

    Raises
    ------
    Refused: a hang tag of a lot that was not hung
    """
    chosen = kind or usual_kind(facts.lot.stage)
    if kind is None and chosen == "hang" and facts.lot.hang_at is None:
        chosen = "cure"  # resting or fermenting, not hung yet
    if chosen == "hang":
        return [hang_tag(facts)]
    if chosen == "cure":
        return [cure_tag(facts)]
    return [pack_tag(facts, pack) for pack in facts.packs] or [pack_tag(facts, None)]


def tags_for(
    conn: Connection,
    lots: Iterable[LotState],
    now: datetime,
    kind: Kind | None = None,
    copies: int = 1,
) -> list[Tag]:
    """The tags of several lots one after another, so many of each.

    Raises
    ------
    Refused: a hang tag was asked for and one of them was not hung
    """
    return [
        tag
        for lot in lots
        for tag in tags_of(facts_of(conn, lot, now), kind)
        for _ in range(copies)
    ]


def hang_tag(facts: LotFacts) -> Tag:
    """What it is, when it was hung, at which weight it is pulled, boxes for weigh-ins.

    Raises
    ------
    Refused: it has not been hung yet
    """
    lot = facts.lot
    if lot.hang_at is None:
        raise Refused(f"{lot.code} has not been hung yet; --kind cure makes its bag tag.")
    rows = [kept(_name(facts), 1.25), Row(_style(facts), worth=1)]
    rows.append(Row(_hung_words(facts), worth=2))
    rows += _pull_rows(facts)
    window = facts.figures.window
    if window is not None:
        rows.append(Row(f"planned window {on_scale.dated_window(*window)}", worth=2))
    blanks = (f"date, {'weight' if in_pounds() else 'g'}",) * WEIGH_BOXES
    rows.append(Row("weighed, as the scale shows it:", 0.85, worth=1.5, kind="boxes", boxes=blanks))
    rows.append(Row(OFF_THE_MEAT, 0.8, worth=1))
    return Tag(lot.code, "hang", tuple(rows))


def _pull_rows(facts: LotFacts) -> list[Row]:
    lot = facts.lot
    if (against := undecided(lot)) is not None:
        return [kept(f"Do not pull it: {plain(against)}, not decided", 1.25)]
    span, worn = on_scale.pull_range(lot), on_scale.tare_words(lot)
    if span is None and lot.base_g is None:
        return [kept("not weighed: pull it by feel (rim and firmness)", 1.25)]
    if span is None:
        text = "pulled by its days, not by weight"
        least = "" if lot.min_age_days is None else f"{lot.min_age_days:.0f} days at least"
        return [kept(joined(text, least), 1.25)]
    base = f"{lot.target_lo_pct:g}–{lot.target_hi_pct:g} % loss from {lot.target_base} weight"
    guessed = lot.start_from is not None
    do = "FEEL it" if guessed else "PULL"
    rows = [kept(f"{do} when the scale shows {span}", 1.6)]
    rows += [kept(f"weighed {worn}")] if worn else []
    why = "Its hang weight is estimated." if guessed else "The weight decides, not the date."
    rows.append(Row(f"{why} {base}", worth=2))
    return rows


def _hung_words(facts: LotFacts) -> str:
    lot, hung = facts.lot, facts.hung
    assert lot.hang_at is not None  # its caller looked
    if lot.base_g is None:
        return f"hung {on_scale.dated_from(lot.hang_at, facts.zone)}, not weighed"
    about = ABOUT + " " if on_scale.is_about(lot) else ""
    grams = f"{about}{mass(lot.base_g)} meat"
    followed = lot.base_factor != 1.0  # meat was taken off since: today's base, not that day's
    if hung is not None and hung.tare_g and not followed:
        worn = plain(lot.tare_what or "") if lot.tare_g == hung.tare_g else ""
        on = f"{about}{mass(hung.gross_g)} on the scale"
        grams = f"{on}: {bare(hung.net_g)} meat + {bare(hung.tare_g)} {worn or 'tare'}"
    return f"hung {on_scale.dated_from(lot.hang_at, facts.zone)}, {grams}"


def cure_tag(facts: LotFacts) -> Tag:
    """For the cure bag: green weight, in and out, what went in, boxes for the turns."""
    lot = facts.lot
    rows = [kept(_name(facts), 1.25), Row(_style(facts), worth=1)]
    salted = "not salted yet"
    if lot.salted_at is not None:
        salted = f"in {on_scale.dated_from(lot.salted_at, facts.zone)}"
    rows.append(kept(f"{green_phrase(lot)} · {salted}", 1.2))
    rows += [kept(words, 1.2) for words in out_words(facts)]
    rows += [_ingredient(line) for line in facts.dose]
    salt = salt_words(facts)
    if salt is not None:
        rows += [kept(salt, 0.9, bold=False), Row(agents_words(facts), 0.9, worth=1)]
    turns = turn_days(facts)
    if turns:
        labels = tuple(day(on) for on in turns)
        rows.append(Row("turned:", 0.9, worth=2, kind="turns", boxes=labels))
    rows += [Row(text, 0.8, worth=1) for text in cautions_for("curing-salt")[:1]]
    return Tag(lot.code, "cure", tuple(rows))


def _ingredient(line: DoseLine) -> Row:
    grams = line.planned_g if line.weighed_g is None else line.weighed_g
    ticked = ("x" if line.ticked_at else "",)
    words = f"{weight(grams)} g {plain(line.name)}"
    return Row(words, worth=NEVER_LEFT_OUT, kind="tick", boxes=ticked)


def out_words(facts: LotFacts) -> list[str]:
    """When it comes out: a weighed dose that is all in can wait, a salt box cannot."""
    found, lot = facts.out_days, facts.lot
    if (against := undecided(lot)) is not None:
        return [f"decide first: {plain(against)}"]
    if found is None:
        if lot.cure_usual_days is None:
            return []
        last_day = ceil(lot.cure_usual_days)
        first_day = ceil(lot.cure_earliest_days or last_day)
        early = "" if first_day == last_day else f"earliest on day {first_day}, usually "
        return [f"out {early}on day {last_day} after salting"]
    earliest, usual = (moment.astimezone(facts.zone) for moment in found)
    rule = f" ({plain(lot.cure_rule)})" if lot.cure_rule else ""
    if lot.has_stop:
        return [f"take OUT on {on_scale.dated(usual.date())}, {usual:%H:%M}, not later{rule}"]
    first, last = on_scale.dated(earliest.date()), on_scale.dated(usual.date())
    named = f"out from {last}" if first == last else f"usual {last}"
    if lot.can_wait:
        named = f"{named}, then it can wait"
    return [*([] if first == last else [f"earliest out {first}"]), f"{named}{rule}"]


def turn_days(facts: LotFacts) -> list[date]:
    """The days its bag is turned (its box overhauled) until the usual day out."""
    lot, every = facts.lot, turn_every_days(facts.batch.method)
    if every is None or lot.salted_at is None or facts.out_days is None:
        return []
    start = local_day(lot.salted_at, facts.zone)
    last = facts.out_days[1].astimezone(facts.zone).date()
    count = (last - start).days // int(every)
    days = [start + timedelta(days=int(every) * number) for number in range(1, count + 1)]
    return [on for on in days if on < last][:MOST_TURNS]


def pack_tag(facts: LotFacts, pack: Pack | None) -> Tag:
    """For what is given away or kept: product, date, weight, what is in it, raw."""
    lot = facts.lot
    product = plain(lot.style_name) or plain(lot.batch_name)
    rows = [kept(product, 1.5), Row(_name(facts), worth=2)]
    if pack is not None:
        packed = on_scale.dated_from(pack.at, facts.zone)
        rows.append(kept(f"packed {packed} · {mass(pack.weight_g)}", 1.2))
        rows += [kept(f"for {plain(pack.given_to)}", 1.1)] if pack.given_to else []
        others = [f"{code} {mass(weight_g)}" for code, weight_g in facts.mates.get(pack.id, ())]
        if others:
            words = f"mixed with {' + '.join(others)}; the tag of each says what it contains"
            rows.append(kept(words, bold=False))
        if pack.keep_until:
            keep = on_scale.dated(date.fromisoformat(pack.keep_until[:10]))
            rows.append(Row(f"own rule: use by {keep}", worth=2))
    else:
        rows.append(kept(f"packed ____________   ________{to_write()}", 1.2))
    rows.append(kept(f"Keep cold: {temp_tidy(5)} or colder.", 1.1))
    rows.append(kept("Raw, cured, not cooked.", 1.1))
    rows.append(kept(f"Contains: {', '.join(contains(facts))}.", bold=False))
    if not facts.dose:
        rows.append(kept("No other ingredient is recorded.", bold=False))
    rows += [Row(text, 0.85, worth=2) for text in cautions_for("slicing")[:1]]
    rows.append(Row(f"lot {lot.code}" + (f", pack {pack.id}" if pack else ""), 0.85, worth=1))
    return Tag(lot.code, "pack", tuple(rows))


def _name(facts: LotFacts) -> str:
    lot = facts.lot
    pieces = f" ({lot.count} pieces)" if lot.count > 1 else ""
    return " · ".join(part for part in (plain(lot.batch_name), plain(lot.piece)) if part) + pieces


def _style(facts: LotFacts) -> str:
    lot = facts.lot
    return " · ".join(part for part in (plain(lot.style_name), plain(lot.species)) if part)


def tag_lines(tag: Tag) -> list[str]:
    """A tag as text, e.g. for a terminal or a label printer's own program."""
    lines = [tag.code]
    for row in tag.rows:
        if row.kind == "tick":
            lines.append(f"[{row.boxes[0] or ' '}] {row.text}")
        elif row.kind == "boxes":
            lines += [row.text, *([f"__________  ______{to_write()}"] * len(row.boxes))]
        elif row.kind == "turns":
            lines.append(f"{row.text} " + "  ".join(f"[ ] {label}" for label in row.boxes))
        else:
            lines.append(row.text)
    return lines
