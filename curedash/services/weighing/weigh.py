"""A weigh-in: what was typed is read and shown first, then kept in one durable change."""

from collections.abc import Callable, Sequence
from datetime import datetime, tzinfo
from sqlite3 import Connection

from curedash.domain.curing.stages import DRYING, ON_THE_CURVE
from curedash.domain.drying.inspections import undecided
from curedash.domain.drying.lot_figures import (
    base_of,
    chance_short,
    expected_net_g,
    loss_on,
    net_now_g,
    target_net_g,
)
from curedash.domain.errors import Changed, Doubtful, NotFound, Refused
from curedash.domain.quantity_text import grams, phrase
from curedash.domain.record import record, replace
from curedash.domain.records import ENDED, LotState
from curedash.domain.times import calendar_days, moment, utc_text
from curedash.domain.typed.weights import parse_weight_g
from curedash.domain.weighing.doubts import (
    Doubt,
    Expectation,
    WeighInContext,
    WeighInEntry,
    ahead_doubts,
    asked_of,
    cured_shares,
    earlier_doubts,
    weigh_in_doubts,
)
from curedash.domain.weighing.weights import net_from_gross
from curedash.store import rack, settings, weigh_ins
from curedash.store.work import By, Work, at_once, change

JUST_WEIGHED = "just-weighed"
AN_HOUR_S = 3600.0  # weights taken within it belong to one round
MUCH_SHARE = 0.02  # design value: less lost at a step is like any other
AGAIN_S = 600.0  # a second weigh-in within 10 minutes shows the first one and asks


@record
class Preview:
    """What a typed weight means for a lot, before anything is kept."""

    gross_g: float
    tare_g: float
    net_g: float
    at: datetime
    change_g: float | None
    days_since: int | None
    loss_pct: float | None
    base: str
    base_g: float | None  # None: nothing was weighed before
    approx: bool
    to_go_g: float | None
    doubts: tuple[Doubt, ...]
    in_window: bool = False  # it dries and lies between the ends of its target
    undecided: str | None = None  # what has to be decided before it is pulled
    of: LotState | None = None  # the lot as this was computed from it
    own_tare: bool = False  # the tare is of this weight alone


@record
class Hint:
    """What the weigh-in line shows before a digit is typed; weights as the scale shows them."""

    last_net_g: float | None
    days_since: int | None
    expected_on_scale_g: tuple[float, float] | None
    target_on_scale_g: tuple[float, float] | None
    tare_g: float
    tare_what: str | None
    chance_short: float | None = None  # that it never reaches its target, where it is shown
    guessed: bool = False  # the target rests on a hang weight that nobody weighed


@record
class Weighed:
    """A kept weigh-in and the lot as it stands now."""

    weigh_in_id: int
    preview: Preview
    lot: LotState
    swapped: "Weighed | None" = None  # the other lot, if its weight was exchanged with this one


def hint(lot: LotState, now: datetime, zone: tzinfo) -> Hint:
    """What to expect on the scale for this lot."""
    expected, tare_g = expected_net_g(lot, now), lot.tare_g
    pulls = lot.stage in ON_THE_CURVE and undecided(lot) is None
    target = target_net_g(lot) if pulls else None
    around = expected and (expected[0] - expected[1] + tare_g, expected[0] + expected[1] + tare_g)
    return Hint(
        last_net_g=lot.last_net_g,
        days_since=calendar_days(lot.last_at, now, zone) if lot.last_at else None,
        expected_on_scale_g=around,
        target_on_scale_g=target and (target[0] + tare_g, target[1] + tare_g),
        tare_g=lot.tare_g,
        tare_what=lot.tare_what,
        chance_short=chance_short(lot),
        guessed=lot.start_from is not None and lot.target_base == "hang",
    )


def preview(
    lot: LotState,
    text: str,
    now: datetime,
    zone: tzinfo,
    *,
    at: datetime | None = None,
    net: bool = False,
    without_tare: bool = False,
    division_g: float = 1.0,
    others: Callable[[], Sequence[LotState]] = tuple,
    newest_at: str | None = None,
) -> Preview:
    """Read a typed weight and say what it means.

    Parameters
    ----------
    lot : as it was then (:func:`curedash.services.weighing.as_of.lot_at`, where that is not now)
    text : what was typed; a bare number is what the scale shows [g]
    at : when it was weighed (aware), else ``now``
    net : the tare is already off
    without_tare : this once nothing but meat was on the scale
    division_g : division of the household's scale [g]
    others : gives the open lots, to notice a weight that fits another one better; asked only for
        a weight that does not fit this one
    newest_at : time of the lot's newest weigh-in, if that is later than what ``lot`` holds

    Raises
    ------
    Refused: text that is not a weight, or less than the tare; Doubtful: a number with two readings
    """
    _require_open(lot)
    tare_g = 0.0 if without_tare or net else lot.tare_g  # what is net stays so, whatever the tare
    gross_g = parse_weight_g(text, last_g=lot.last_gross_g or lot.hang_g or lot.green_g)
    net_g = net_from_gross(gross_g, tare_g)
    when, (base, base_g) = at or now, _base(lot)
    target, last_g = target_net_g(lot), _followed(lot)
    entry = WeighInEntry(gross_g, tare_g, when.timestamp())
    doubts = weigh_in_doubts(entry, _context(lot, when, entry, division_g, others))
    of_time = ahead_doubts(when.timestamp(), now.timestamp()) + _just_weighed(lot, when)
    return Preview(
        gross_g=gross_g,
        tare_g=tare_g,
        net_g=net_g,
        at=when,
        change_g=None if last_g is None else net_g - last_g,
        days_since=calendar_days(lot.last_at, when, zone) if lot.last_at else None,
        loss_pct=loss_on(base_g, net_g),
        base=base,
        base_g=base_g,
        approx=lot.hang_pm_g is not None and base == "hang",
        to_go_g=None if target is None else net_g - target[1],
        doubts=of_time + doubts + _earlier(when, newest_at),
        in_window=lot.stage == "drying" and target is not None and target[0] <= net_g <= target[1],
        undecided=undecided(lot),
        of=lot,
        own_tare=without_tare or net,
    )


def _require_open(lot: LotState) -> None:
    if lot.stage in ENDED:
        raise Refused(f"{lot.code} is {lot.stage}; it takes no more weigh-ins.")


def _base(lot: LotState) -> tuple[str, float | None]:
    """What the loss is of: the hang weight, before hanging the green weight [g]."""
    base, base_g = base_of(lot, "hang")
    return base_of(lot, "green") if base_g is None else (base, base_g)


def preview_at(
    conn: Connection,
    lot: LotState,
    text: str,
    now: datetime,
    zone: tzinfo,
    at: datetime,
    *,
    net: bool = False,
    without_tare: bool = False,
    division_g: float | None = None,
    others: Callable[[], Sequence[LotState]] = tuple,
) -> Preview:
    """The same for a weight taken at a moment: with the tare, base and stage of then.

    Parameters
    ----------
    lot : as it is now
    at : when it was weighed (aware)
    division_g : division of the scale [g]; None: of the finest that carries the green weight

    Raises
    ------
    as :func:`preview`
    """
    _require_open(lot)
    then = _as_of(conn, lot, at)
    if division_g is None:
        division_g = finest_division_g(conn, lot.green_g or 0.0)
    return preview(
        then,
        text,
        now,
        zone,
        at=at,
        net=net,
        without_tare=without_tare,
        division_g=division_g,
        others=others,
        newest_at=None if then is lot else lot.last_at,
    )


def _as_of(conn: Connection, lot: LotState, at: datetime) -> LotState:
    """The lot of then; where nothing was entered for later, as for nearly all, that of now."""
    if not weigh_ins.anything_after(conn, lot.id, utc_text(at)):
        return lot
    from curedash.services.weighing.as_of import lot_at

    return lot_at(conn, lot, at)


def concerns_others(lot: LotState, seen: Preview) -> bool:
    """Whether a weight is odd enough to be looked at beside those of other lots."""
    if lot.stage not in ON_THE_CURVE or lot.hang_g is None:
        return False
    told, last_g = expected_net_g(lot, seen.at), _followed(lot)
    misses = told is not None and abs(seen.gross_g - lot.tare_g - told[0]) > told[1]
    return misses or (last_g is not None and last_g - seen.net_g > MUCH_SHARE * last_g)


@at_once
def weigh(
    conn: Connection,
    by: By,
    lot_id: int,
    seen: Preview,
    *,
    note: str | None = None,
    keep_doubtful: bool = False,
) -> Weighed:
    """Keep a previewed weigh-in; it is on disk when this returns.

    Parameters
    ----------
    seen : the preview the person confirmed
    keep_doubtful : keep it although it raised a question; it is flagged then

    Raises
    ------
    Doubtful: the question, nothing saved; FileTrouble or Busy: nothing saved
    """
    with change(conn, by, "weigh", at=utc_text(seen.at)) as work:
        now = _still_open(conn, lot_id)
        work.subject = now.code
        if seen.doubts and not keep_doubtful:
            raise Doubtful(asked_of(now.code, seen.doubts))
        lot = _as_of(conn, now, seen.at)
        _require_as_shown(lot, seen)
        _require_no_twin(conn, now, seen, by)
        begun = _begins_here(work, lot, now, seen)
        tared = {"tare_g": seen.tare_g, "own_tare": seen.own_tare}
        odd, at = _flag(seen.doubts), utc_text(seen.at)
        new = weigh_ins.weighed(lot, at, seen.gross_g, flagged=odd, note=note, **tared)
        number = weigh_ins.add(work, replace(new, curve=True) if begun else new)
    after = rack.one_lot(conn, lot_id)
    return Weighed(number, seen, after if after is not None else now)


def _begins_here(work: Work, lot: LotState, now: LotState, seen: Preview) -> bool:
    """Whether this weight starts the curve of a lot that was hung unweighed; its start is made."""
    if lot.stage != DRYING or now.hang_g is not None or now.hang_at is None:
        return False
    from curedash.services.weighing.begin_curve import begin_curve

    return begin_curve(work, now, seen.net_g, seen.at)


def _still_open(conn: Connection, lot_id: int) -> LotState:
    lot = rack.one_lot(conn, lot_id)
    if lot is None or lot.stage in ENDED:
        raise NotFound("That lot is closed or gone; nothing was saved.")
    return lot


def _require_no_twin(conn: Connection, lot: LotState, seen: Preview, by: By) -> None:
    """A weigh-in of an earlier time that is there already is no second point of the curve.

    Raises
    ------
    Refused: the same weight of the same time
    """
    at = utc_text(seen.at)
    if at == by.now:
        return
    from curedash.domain.weighing.weight_history import same_g

    for row in weigh_ins.of_lot(conn, lot.id):
        if row.at == at and same_g(row.gross_g, seen.gross_g):
            said = "{code} has that weigh-in already: {gross} at the same time. Nothing was saved."
            raise Refused(phrase(said, code=lot.code, gross=grams(seen.gross_g)))


def _require_as_shown(lot: LotState, seen: Preview) -> None:
    """Somebody else may have weighed or corrected the lot since the preview.

    Raises
    ------
    Changed: what is different now, and whether to save all the same
    """
    then = seen.of or lot
    if lot.last_weigh_in_id != then.last_weigh_in_id and (doubts := _just_weighed(lot, seen.at)):
        raise Changed(doubts[0].question)
    if lot.tare_g != then.tare_g:
        said = "{code}: its tare is {tare} now, no longer {old}. Save it with that tare?"
        tares = {"tare": grams(lot.tare_g), "old": grams(then.tare_g)}
        raise Changed(phrase(said, code=lot.code, **tares))
    if lot.stage != then.stage:
        from curedash.domain.curing.stages import word

        stages = f"{word(lot.stage)} now, no longer {word(then.stage)}"
        raise Changed(f"{lot.code} is {stages}. Save it anyway?")
    if lot.last_weigh_in_id != then.last_weigh_in_id:
        shown = "none" if lot.last_gross_g is None else grams(lot.last_gross_g)
        said = "{code}: its newest weigh-in is {shown} on the scale now. Save this one too?"
        raise Changed(phrase(said, code=lot.code, shown=shown))
    if (lot.hang_g, lot.base_factor) != (then.hang_g, then.base_factor):
        raise Changed(f"{lot.code}: the weight its loss is counted from has changed. Save it?")


def _earlier(when: datetime, newest_at: str | None) -> tuple[Doubt, ...]:
    """The question about a weight of a day before the newest weigh-in."""
    if newest_at is None:
        return ()
    return earlier_doubts(when.timestamp(), moment(newest_at).timestamp())


def _just_weighed(lot: LotState, when: datetime) -> tuple[Doubt, ...]:
    """The weigh-in of a moment ago, by whomever, before another one is kept beside it."""
    if lot.last_kind != "stage" or lot.last_at is None or lot.last_gross_g is None:
        return ()
    apart_s = abs((when - moment(lot.last_at)).total_seconds())
    if apart_s > AGAIN_S:
        return ()
    ago = f"{apart_s / 60:.0f} min before" if apart_s >= 60 else "just now"
    said = "{code} was weighed {ago}: {shown} on the scale. Keep both?"
    question = phrase(said, code=lot.code, ago=ago, shown=grams(lot.last_gross_g))
    return (Doubt(JUST_WEIGHED, question),)


def _flag(doubts: tuple[Doubt, ...]) -> str | None:
    """What a kept doubtful value is marked with: what is odd about it, if anything is."""
    kinds = [doubt.kind for doubt in doubts]
    return next((kind for kind in kinds if kind != JUST_WEIGHED), kinds[0] if kinds else None)


def doubts_of(
    lot: LotState,
    gross_g: float,
    tare_g: float,
    at: datetime,
    division_g: float = 1.0,
    readings: int = 1,
    newest_at: str | None = None,
) -> tuple[Doubt, ...]:
    """Questions about a weight that is part of something else, such as the one before a cut.

    ``lot`` is the lot of then, ``newest_at`` when it was weighed last, if that was later;
    ``readings`` is how many weights were added up to it: the parts after a cut.
    """
    entry = WeighInEntry(gross_g, tare_g, at.timestamp())
    context = _context(lot, at, entry, division_g)
    context = replace(context, readings=readings) if readings > 1 else context
    return weigh_in_doubts(entry, context) + _earlier(at, newest_at)


def finest_division_g(conn: Connection, weight_g: float) -> float:
    """Division of the household's finest scale that carries this weight [g]; 1 g if unknown."""
    fitting = [d for _, d, most in settings.scales(conn) if most is None or most >= weight_g]
    return max(min(fitting), 0.1) if fitting else 1.0


def _context(
    lot: LotState,
    when: datetime,
    entry: WeighInEntry,
    division_g: float,
    others: Callable[[], Sequence[LotState]] = tuple,
) -> WeighInContext:
    told = expected_net_g(lot, when)
    here = None if told is None else Expectation(lot.code, told[0] + entry.tare_g, told[1])
    fits = here is None or here.holds(entry.gross_g)
    return WeighInContext(
        stage=lot.stage,
        division_g=division_g,
        last_net_g=_followed(lot),
        last_at=None if lot.last_at is None else moment(lot.last_at).timestamp(),
        base_g=lot.base_g,
        green_g=lot.green_now_g,
        thickness_mm=lot.thickness_mm,
        shares=cured_shares(lot),
        spread_g=lot.green_pm_g or 0.0,
        expected=here,
        others=() if fits else _expected(others(), lot.id, when),
    )


def _expected(lots: Sequence[LotState], but_lot_id: int, when: datetime) -> tuple[Expectation, ...]:
    return tuple(
        Expectation(other.code, expected[0] + other.tare_g, expected[1])
        for other in lots
        if other.id != but_lot_id
        and not _weighed_near(other, when)
        and (expected := expected_net_g(other, when)) is not None
    )


def _weighed_near(other: LotState, when: datetime) -> bool:
    """Whether it was weighed within the hour: the scale does not show that lot once more."""
    if other.last_kind != "stage" or other.last_at is None:
        return False
    return abs((when - moment(other.last_at)).total_seconds()) <= AN_HOUR_S


def _followed(lot: LotState) -> float | None:
    """The last weight as it would be now, cuts since then followed [g net]."""
    if lot.curve and lot.last_kind in ("hang", "stage", "inherited"):
        return net_now_g(lot)
    return lot.last_net_g
