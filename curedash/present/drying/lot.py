"""One lot in words: its title, its facts beside the curve, its dose sheet and its log."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta, tzinfo

from curedash.domain.curing.stages import in_stage
from curedash.domain.drying import lot_figures
from curedash.domain.drying.inspections import undecided
from curedash.domain.drying.lot_figures import Figures
from curedash.domain.drying.start_guess import loss_since
from curedash.domain.needs.lot_needs import Need
from curedash.domain.records import ENDED, DoseLine, LotState, Pack
from curedash.domain.times import local_day
from curedash.present.display_units import cost, cost_unit, mass, retold, roast_without_cost, to_go
from curedash.present.dosing.sheet_lines import ingredient_words
from curedash.present.drying.past_windows import earlier_words, held_words, past_window_words
from curedash.present.numbers import number
from curedash.present.rack.around import need_words
from curedash.present.rack.meat import cut_and_piece, with_animal
from curedash.present.rack.state import whole_days
from curedash.present.signs import key_drawn
from curedash.present.weighing.green import final_words, green_words
from curedash.present.weighing.on_scale import is_about, is_guessed, pull_range, tare_words
from curedash.present.words import (
    ABOUT,
    SIGNS,
    Line,
    ago,
    cells,
    count,
    cut,
    day,
    day_seen,
    days,
    filled,
    fitting,
    left,
    moment_words,
    month,
    odds_words,
    packed,
    percent,
    plain,
    right,
    stage,
    weekday,
    without_brackets,
    wrapped,
)
from curedash.services.household.history import LogLine
from curedash.services.lot_view import LotView, Water

SOON_DAYS = 14  # a day further off is not told: the rate of late says little about it
PASSED = "weigh it, feel the rim, decide"
PAST_SHOWN = 4  # windows of before beside the curve; the figures have all of them
HEAD = 8  # cells of a fact's name
KINDS = {
    "weigh-in": "weighed",
    "target": "felt",
    "decision": "decided",
    "smoke": "smoked",
    "sibling": "heard",
}
KIND_CELLS = 8
NARROW = 60  # columns below which a line of a list is short
ALL_ABOVE = " Every figure is shown above."
BETWEEN = " · "  # facts one after another
REST = "more: ← figures"  # where facts are left out for want of lines
READ = 95  # cells of a sentence that is read line by line
FAT = ("pork belly", "pork jowl", "duck, meat and skin")  # rows that vary with their fat
Mates = Mapping[int, Sequence[tuple[str, float]]]  # pack → what else is in a mixed one
Fact = tuple[str, str, str]  # name, value, tone


def title_line(view: LotView, width: int) -> Line:
    """``C2 Pork collar, thick end   coppa … Chamber``; the piece first where that has no room."""
    lot = view.lot
    named = with_animal(lot, cut_and_piece(lot))
    place = plain(lot.place or "no place") if lot.stage not in ENDED else ""
    behind = cells(place) + 2 if place else 0
    whole = f"{lot.code} {named}".strip() + "   "
    fits = cells(whole) + behind <= width
    head = whole if fits else cut(f"{lot.code} {plain(lot.piece)}".strip() + "   ", width * 2 // 3)
    about = [plain(lot.batch_name)] * (not fits) + [plain(lot.style_name)]
    about = [words for words in about if words.casefold() not in head.casefold()]
    if lot.count > 1:
        about.append(f"{lot.count} pieces weighed as one")
    room = width - cells(head) - behind
    once = {words.casefold(): words for words in reversed(about)}  # a batch named as its style
    words = left(fitting(reversed(once.values()), max(0, room)), max(0, room))
    return filled([(head, "title"), (words, ""), ("  " + place, "quiet")], width)


# ── facts beside the curve ────────────────────────────────────────────────────────────────


def facts(view: LotView, today: date, zone: tzinfo) -> list[Fact]:
    """What is known now, in the order of its worth; what does not apply is left out."""
    lot, shown = view.lot, view.figures
    found: list[Fact] = [("stage", stage_words(view, today, zone), "strong")]
    if shown.loss_pct is not None and shown.base_g is not None:
        about = ABOUT if shown.approx else ""
        base = f"{shown.base} {about}{mass(round(shown.base_g, 1))}"
        found.append(("lost", f"{about}{percent(shown.loss_pct)} of {base}", "strong"))
    found += _start_facts(lot, zone)
    found += _weights(view, shown)
    if shown.rate_pct_per_day is not None and lot.stage == "drying":
        found.append(("rate", f"{number(shown.rate_pct_per_day, 2)} %/d of {shown.base}", ""))
    found += _window_facts(view, today, zone)
    if view.window_before is not None and view.figures.window is not None:
        found.append(("before", earlier_words(view.window_before), "quiet"))
    found += _water_facts(view.water)
    found += _salt_facts(lot)
    if lot.tare_g:
        found.append(("tare", f"{mass(lot.tare_g)} {plain(lot.tare_what or '')}".strip(), ""))
    found.append(("green", green_words(lot), ""))
    found += _end_facts(view)
    if held := held_words(view.past_windows):
        found.append(("windows", held, ""))
    return found


def page_facts(view: LotView, today: date, zone: tzinfo) -> list[Fact]:
    """The facts beside the curve; last what the windows of a lot that is there said before."""
    said = [past_window_words(one) for one in view.past_windows[-PAST_SHOWN:]]
    named = [("said" if not at else "", words, "quiet") for at, words in enumerate(said)]
    return facts(view, today, zone) + named


def _start_facts(lot: LotState, zone: tzinfo) -> list[Fact]:
    """What is not known of where it began, what was lost since, and the day on its sticker."""
    found: list[Fact] = []
    if lot.start_from is not None and lot.hang_pm_g is not None:
        size = "weight" if lot.thickness_mm is None else "thickness"
        base = "green weight" if lot.start_from == "green" else f"days and {size}"
        pm = mass(round(lot.hang_pm_g * lot.base_factor))
        found.append(("", f"hang weight ±{pm}: estimated from {base}", "quiet"))
    since = loss_since(lot)
    if since is not None:
        on = day(local_day(since.at, zone))
        found.append(("", f"{percent(since.loss_pct)} lost since {on}, weighed", "quiet"))
    if lot.stage == "drying" and lot.hang_g is None and lot.hang_at is not None:
        found.append(("lost", "not weighed yet", "quiet"))
    if lot.planned_on is not None:
        found.append(("sticker", day(date.fromisoformat(lot.planned_on)), ""))
    return found


def stage_words(view: LotView, today: date, zone: tzinfo) -> str:
    """``drying, day 31``; ``equalising, day 3, until 30 Nov``; ``closed 25 Nov``."""
    lot, shown = view.lot, view.figures
    name = stage(lot.stage)
    if lot.stage in ENDED:
        on = local_day(lot.stage_at, zone)
        return f"{name} {day(on)}" + ("" if on.year == today.year else f" {on.year}")
    of = "" if shown.day_of is None else f" of {whole_days(shown.day_of)}"
    words = f"{name}, day {shown.day}{of}"
    if lot.stage_until is not None and undecided(lot) is None:
        until = local_day(lot.stage_until, zone)
        words += f", until {day(until)}" + (" (past)" if until < today else "")
    return words


def _weights(view: LotView, shown: Figures) -> list[Fact]:
    lot, found = view.lot, []
    net_g = lot_figures.net_now_g(lot) if lot.curve else lot.last_net_g
    if view.finish is not None:
        found.append(("final", final_words(view.finish.final_g, " net"), ""))
    elif net_g is not None:
        since = shown.days_since_weigh_in
        when = "" if since is None else f", {ago(since)}"
        found.append(("now", f"{mass(round(net_g, 1))} net{when}", ""))
    if lot.stage in ("keeping", "closed", "discarded"):
        return found  # it was pulled: nothing is to go
    if shown.to_go_g is not None:
        past = shown.to_go_g <= 0
        about = ABOUT if is_about(lot) else ""
        base = "" if lot.target_base == shown.base else f" of {lot.target_base}"
        words = about + to_go(shown.to_go_g).replace(" to go", " to").removesuffix(" past")
        beyond = " beyond" if shown.to_go_g <= 0 and words != "reached" else ""
        over = lot.target_base == shown.base and (shown.loss_pct or 0) > (lot.target_hi_pct or 100)
        name = ("over" if over else "ready") if beyond else "to go"
        words += f"{beyond} {lot.target_lo_pct:g} %{base}"
        found.append((name, words, "today" if past else ""))
    if (span := pull_range(lot)) is not None:
        head = "feel at" if is_guessed(lot) else "pull at"
        found.append((head, f"{span} on the scale", ""))
    return found


def _window_facts(view: LotView, today: date, zone: tzinfo) -> list[Fact]:
    shown = view.figures
    if shown.window_note == lot_figures.DECIDE_FIRST:
        return [("next", f"{lot_figures.DECIDE_FIRST} what you do with it", "act")]
    if shown.window_note == lot_figures.STALLED:
        rest = ("", odds_words(lot_figures.chance_short(view.lot)), "quiet")
        return [("window", lot_figures.STALLED, "today"), rest, *_weigh_facts(view, today, zone)]
    if shown.window is None:
        said = shown.window_note if view.lot.stage == "drying" else ""
        return [("window", said, "quiet")] if said else []
    if shown.to_go_g is not None and shown.to_go_g <= 0:
        return [
            ("reached", f"about {day_seen(shown.window[0], today)}", "strong"),
            *_leaves_range(view.lot),
        ]
    if shown.window_passed:
        words = f"{days(*shown.window)}, passed"
        return [("window", words, "today"), ("", PASSED, "today"), ("", shown.window_note, "quiet")]
    apart = shown.median is not None and shown.median not in shown.window
    middle = f", mid {day(shown.median)}" if apart and shown.median is not None else ""
    first, last = shown.window
    span = days(first, last, today)
    year = "" if "'" in span else day_seen(last, today).removeprefix(day(last))
    found = [("window", span + year + middle, "strong"), ("", _rests_on(view), "quiet")]
    if odds := odds_words(lot_figures.chance_short(view.lot)):
        found.append(("", odds, "quiet"))
    return [*found, *_weigh_facts(view, today, zone)]


def _rests_on(view: LotView) -> str:
    """``from weigh-ins, air, 4 lots``: one line beside the curve; the figures say it in full."""
    note = view.figures.window_note.replace("the place's air", "air")
    return f"from {note.removesuffix(' dried here')}"


def _weigh_facts(view: LotView, today: date, zone: tzinfo) -> list[Fact]:
    """When it is due on the scale by its rhythm, and the day that narrows the window most."""
    due, again = view.weigh_in_days, lot_figures.weigh_again_on(view.lot, zone)
    parts = []
    if due is not None:
        parts.append("due now" if due <= 0 else f"due {weekday(today + timedelta(days=due))}")
    if again is not None and (due is None or due > 0):
        parts.append(f"{'today' if again <= today else day(again)} is best for the window")
    return [("weigh", "; ".join(parts), "")] if parts else []


def _leaves_range(lot: LotState) -> list[Fact]:
    left_d = lot_figures.past_range_in_days(lot)
    if left_d is None or left_d > SOON_DAYS:
        return []
    when = "today" if left_d < 1 else f"in about {left_d:.0f} d"
    return [("", f"over {lot.target_hi_pct:g} % {when}", "today")]


def _cure_facts(lot: LotState, zone: tzinfo) -> list[Fact]:
    if lot.stage != "in-cure" or lot.cure_usual_days is None or undecided(lot) is not None:
        return []
    start = local_day(lot.stage_at, zone)
    out = [
        date.fromordinal(start.toordinal() - int(-number_of_days // 1))
        for number_of_days in (lot.cure_earliest_days, lot.cure_usual_days)
        if number_of_days is not None
    ]
    rule = f" by {plain(lot.cure_rule)}" if lot.cure_rule else ""
    return [("out", days(out[0], out[-1]) + rule, "strong")]


def _salt_facts(lot: LotState) -> list[Fact]:
    salt = "unknown" if lot.total_salt_pct is None else f"{number(lot.total_salt_pct, 2)} %"
    found = [("method", "salt box", "") if lot.salt_box else ("salt", salt, "")]
    if lot.nitrite_mg_per_kg:
        found.append(("nitrite", f"{number(lot.nitrite_mg_per_kg)} mg/kg went in", ""))
    if lot.nitrate_mg_per_kg:
        found.append(("nitrate", f"{number(lot.nitrate_mg_per_kg)} mg/kg went in", ""))
    if lot.dose_open:
        share = f"{lot.dose_open} of {lot.dose_open + lot.dose_ticked}"
        if lot.stage in ("raw", "in-cure"):
            found.insert(0, ("to tick", share, "act"))
        else:
            found.append(("dose", f"{share} never ticked, counted as planned", "today"))
    return found


def _water_facts(water: Water) -> list[Fact]:
    """Salt in its water and water activity, each called an estimate."""
    found = water.estimate
    if found is None:
        return []
    low, high = (f"{aw:.2f}" for aw in found.aw_band)
    band = low if low == high else f"{low}–{high}"
    salt = percent(found.water_phase_salt_pct)
    return [("water", f"{salt} salt, estimate", ""), ("aw", f"{band}, estimate", "")]


def _end_facts(view: LotView) -> list[Fact]:
    """What came of a finished lot."""
    ended = view.finish
    if ended is None:
        return []
    found: list[Fact] = []
    if ended.yield_pct is not None:
        found.append(("yield", f"{percent(ended.yield_pct)} of green", ""))
    if ended.drying_days is not None:
        found.append(("dried", count(ended.drying_days, "day"), ""))
    if ended.cost_per_kg is not None:
        money = cost(ended.cost_per_kg, plain(ended.currency or ""))
        found.append(("cost", f"{money} a {cost_unit()}", ""))
    elif ended.cost_in is None:
        found += _unknown_cost(view)
    if ended.cut_face is not None:
        found.append(("face", ended.cut_face, ""))
    if ended.liked is not None:
        at = "" if ended.liked_at_pct is None else f", at {percent(ended.liked_at_pct)}"
        found.append(("liked", f"{ended.liked} of 5{at}", "strong"))
    if ended.note:
        found.append(("next", plain(ended.note), ""))
    return found


def _unknown_cost(view: LotView) -> list[Fact]:
    """That no price was given, or the price and what is missing to share it."""
    roast = view.roast
    if roast is None or roast.price is None:
        return [("cost", "no price given", "quiet")]
    price, why = roast_without_cost(roast.price, plain(roast.currency or ""), view.lot.green_now_g)
    return [("cost", price, ""), ("", why, "quiet")]


def compact_lines(found: list[Fact], width: int, height: int) -> list[Line]:
    """The facts one after another, as many as fit, for a narrow screen."""
    bare = ("stage", "lost", "now", "")
    parts = [value if name in bare else f"{name} {value}" for name, value, _ in found]
    rows = packed([cut(plain(part), width) for part in parts], width, BETWEEN)
    if len(rows) > height > 1:
        rest = key_drawn(REST)
        room = width - cells(rest) - 1
        last = rows[height - 1].split(BETWEEN)
        while len(last) > 1 and cells(BETWEEN.join(last)) > room:
            last.pop()  # whole or not at all
        rows[height - 1] = left(BETWEEN.join(last), room) + " " + rest
    tones = ["strong"] + [""] * height
    return [filled([(row, tone)], width) for row, tone in zip(rows[:height], tones, strict=False)]


def facts_packed(found: list[Fact], width: int, height: int) -> int:
    """How many of the facts `compact_lines` shows whole in those lines."""
    for n in range(len(found), 0, -1):
        if len(compact_lines(found[:n], width, 10**3)) <= height:
            return n
    return 0


def fact_lines(found: list[Fact], width: int, height: int) -> list[Line]:
    """The facts as lines; long ones are broken, and the last ones left out where there is no room.

    What is left out stands on the list of figures, and the last line says so.
    """
    lines: list[Line] = []
    spare = height - len(found)
    for name, value, tone in found:
        room = width - HEAD
        parts = wrapped(plain(value), room, 2 if spare < 2 else 3)
        spare -= len(parts) - 1
        for at, part in enumerate(parts):
            head = left(name if at == 0 else "", HEAD)
            lines.append(filled([(head, "quiet"), (part, tone)], width))
    if len(lines) > height > 1:
        return [*lines[: height - 1], filled([(key_drawn(REST), "quiet")], width)]
    return lines[:height]


# ── below the curve ───────────────────────────────────────────────────────────────────────


def log_line(line: LogLine, zone: tzinfo, width: int, today: date) -> Line:
    """``25 Nov 18:30  weighed  1043 g net (1071 on the scale)``; a voided one says so.

    On a phone the day alone; of what is long ago its year in place of the hour.
    """
    on = local_day(line.at, zone)
    far, phone = day_seen(on, today) != day(on), width < NARROW
    if phone:
        when = right(f"{month(on)[:3]}'{on.year % 100:02}" if far else day(on), 6)
    else:
        when = right(day_seen(on, today) if far else moment_words(line.at, zone), 12)
    kind = left("estimate" if line.guessed else KINDS.get(line.kind, line.kind), KIND_CELLS)
    said = plain(retold(line.words))
    words = said + ("  (voided)" if line.voided else "")
    tone = "quiet" if line.voided else "act" if line.kind == "alarm" else ""
    room = max(0, width - cells(when) - 4 - KIND_CELLS)
    if cells(words) > room:
        words = words.replace(" on the scale)", " on scale)")
    if line.voided and cells(words) > room:
        words = cut(said, room - 10) + "  (voided)"
    return filled([(" ", ""), (f"{when}  {kind} ", "quiet"), (cut(words, room), tone)], width)


def log_words(line: LogLine, zone: tzinfo, today: date) -> str:
    """A line of the log in full, as it is read at the foot."""
    kind = KINDS.get(line.kind, line.kind)
    words = f"{moment_words(line.at, zone, today)}, {kind}: {retold(line.words)}"
    return plain(words + (" (voided)" if line.voided else ""))


def dose_line(line: DoseLine, zone: tzinfo, width: int) -> Line:
    """``[x] salt  27.5 g  27.4 g went in on 1 Nov``; the day alone where it went in as planned."""
    done = line.ticked_at is not None
    sign = " [x] " if done else " [ ] "
    narrow = width < NARROW
    grams = right(f"{mass(line.planned_g)}", 9 if narrow else 11)
    words = "to weigh"
    if line.ticked_at is not None:
        weighed = line.planned_g if line.weighed_g is None else line.weighed_g
        words = day(local_day(line.ticked_at, zone))
        if mass(weighed) != mass(line.planned_g):
            words = f"in {mass(weighed)}" if narrow else f"{mass(weighed)} went in on {words}"
    room = max(10, min(30, width - (27 if narrow else 40)))
    name = left(ingredient_words(line.name, room), room)
    return filled([(sign, "key"), (name, ""), (grams, "strong"), ("   " + words, "quiet")], width)


def pack_line(pack: Pack, mates: Mates, width: int) -> Line:
    """``120 g, mixed with D1 80 g, keep until 24 Feb, for Ida``."""
    parts = [f"{mass(pack.weight_g)}"]
    if pack.id in mates:
        others = (f"{code} {mass(weight_g)}" for code, weight_g in mates[pack.id])
        parts.append(f"mixed with {' + '.join(others)}")
    if pack.keep_until is not None:
        parts.append(f"keep until {day(date.fromisoformat(pack.keep_until))}")
    if pack.given_to:
        parts.append(f"for {plain(pack.given_to)}")
    if pack.note:
        parts.append(plain(pack.note))
    return filled([("   pack  ", "quiet"), (", ".join(parts), "")], width)


def sheet_lines(view: LotView, zone: tzinfo, width: int, mates: Mates) -> list[Line]:
    """The dose sheet, what it amounts to, and the packs."""
    lines = ticked_lines(view, zone, width, mates)
    if not view.doses:
        lines.insert(0, filled([(" This lot has no dose sheet.", "quiet")], width))
    at = len(view.doses) or 1
    lines[at:at] = [
        filled([(" " + left(name, HEAD), "quiet"), (value, tone)], width)
        for name, value, tone in _salt_facts(view.lot)
    ]
    return lines


def ticked_lines(view: LotView, zone: tzinfo, width: int, mates: Mates) -> list[Line]:
    """The lines of its dose sheet and the packs; none where it has neither."""
    doses = [dose_line(line, zone, width) for line in view.doses]
    return doses + [pack_line(pack, mates, width) for pack in view.packs]


def facts_shown(found: list[Fact], lines: Sequence[Line], width: int, height: int) -> int:
    """How many of the facts stand whole in those lines."""
    if len(lines) < height:
        return len(found)
    return next(
        (n for n in range(len(found), 0, -1) if len(fact_lines(found[:n], width, 10**3)) < height),
        0,
    )


def detail_lines(
    view: LotView, today: date, zone: tzinfo, width: int, after: int = 0
) -> list[Line]:
    """The facts from ``after`` on, those before stand above; then what all of them rest on.

    None where every figure is above, and nothing is to be explained.
    """
    lines: list[Line] = []
    known = facts(view, today, zone)
    while 0 < after < len(known) and not known[after][0]:
        after -= 1  # what goes on with the fact before it begins with that one
    days_above = after and not view.curve.points  # those of the cure, where a curve will be
    below = known[after:] + ([] if days_above else _cure_facts(view.lot, zone))
    for name, value, tone in below:
        for at, part in enumerate(wrapped(plain(value), width - HEAD - 2, 4)):
            lines.append(
                filled([(" " + left(name if not at else "", HEAD), "quiet"), (part, tone)], width)
            )
    if view.past_windows:
        lines.append(filled([(" Earlier windows:", "quiet")], width))
    for one in view.past_windows:
        lines.append(filled([("  ", ""), (cut(past_window_words(one), width - 3), "")], width))
    texts = [*_explained(view)]
    for text in texts:
        lines += [
            filled([(" " + part, "quiet")], width)
            for part in wrapped(text, min(width - 2, READ), 6)
        ]
    return lines


def _explained(view: LotView) -> list[str]:
    lot, texts = view.lot, []
    if lot.tare_g:
        texts.append(f"Weights on the scale are shown {tare_words(lot)}.")
    if lot.hang_pm_g is not None:
        texts.append(
            f"The hang weight is an estimate, ± {mass(lot.hang_pm_g)};"
            f" figures that depend on it are marked {ABOUT}."
        )
    to_go_g = view.figures.to_go_g
    if view.figures.window is not None and (to_go_g is None or to_go_g > 0):
        texts.append(
            "8 in 10 such pieces reach the first target weight inside the window, computed"
            f" by {view.figures.window_note}."
        )
    found = view.water
    if found.estimate is not None:
        texts.append(
            "Water and aw (water activity) are estimated, not measured, from"
            f" {found.meat} ({found.source}), the salt that went in and today's weight. They are"
            " averages: the middle is wetter."
        )
        if found.meat in FAT:
            texts.append("Fat holds little water, so a leaner cut is wetter than this.")
    elif found.why_not:
        texts.append(f"No estimate of its water: {found.why_not}")
    return texts


def needs_lines(
    view: LotView, width: int, key_for: Callable[[Need], str] = lambda _need: ""
) -> tuple[Line, ...]:
    """What this lot needs, two at most, for the foot, each with the key that answers it."""
    lines: list[Line] = []
    if len(view.needs) == 1:
        need = view.needs[0]
        return tuple(((line, need.level),) for line in _one_need(need, key_for(need), width))
    for need in view.needs[:2]:
        text = _need_text(need, key_for(need))
        lines.append(((cut(text, width), need.level),))
    rest = len(view.needs) - 2
    if rest > 0:
        head = text_room(lines[1], f"  + {rest} more", width)
        lines[1] = head
    return (*lines, (), ())[0], (*lines, (), ())[1]


def _one_need(need: Need, key: str, width: int) -> list[str]:
    """What it needs and, on a line of its own, what is done: whole, on a phone in three lines."""
    text = _need_text(need, key)
    if cells(text) <= width:
        return [text, ""]
    why, _, action = text.partition(" → ")
    first = without_brackets(why, width)
    if cells(first) > width:
        return wrapped(text, width, 3)
    return [first, *(f"  {line}" for line in wrapped(f"→ {action}", width - 2))]


def _need_text(need: Need, key: str) -> str:
    """``· C2: not turned since it was salted, 3 d ago → U turn the bag``."""
    action = f"{key} {plain(need.action)}" if key else plain(need.action)
    return f"{SIGNS.get(need.level, ' ')} {need_words(need)} → {action}"


def next_words(view: LotView, today: date, zone: tzinfo, keys: Mapping[str, str]) -> str:
    """What comes next of a lot that needs nothing today; ``keys`` are those of its commands.

    Nothing where no day is known, and nothing is to be done.
    """
    lot = view.lot
    if undecided(lot) is not None:
        return ""
    if lot.stage_until is not None and (until := local_day(lot.stage_until, zone)) > today:
        return f"{in_stage(lot.stage).capitalize()} until {weekday(until)}."
    kept = sorted(pack.keep_until for pack in view.packs if pack.keep_until)
    if lot.stage == "keeping" and kept:
        return f"The first pack is kept until {day(date.fromisoformat(kept[0]))}."
    due = view.weigh_in_days
    if lot.stage == "drying" and due is not None and due > 0:
        return f"It is weighed next on {weekday(today + timedelta(days=due))}."
    if lot.stage == "on-hold":
        return f"Its drying is paused; {keys['hold']} hangs it where it was."
    if lot.stage == "keeping":
        return f"Nothing is due. {keys['pack']} packs it, {keys['finish']} records how it ended."
    return ""


def text_room(line: Line, tail: str, width: int) -> Line:
    """The line shortened so that the tail fits behind it."""
    return (*filled(line, width - cells(tail)), (tail, "quiet"))
