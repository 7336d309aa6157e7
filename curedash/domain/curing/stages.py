"""The stages of a lot: their order, the moves between them, what a move asks, the days counted.

Times are aware datetimes; days are calendar dates in the zone given by the caller.
"""

from collections.abc import Callable, Sequence
from datetime import date, datetime, tzinfo

from curedash.domain.errors import Refused
from curedash.domain.quantity_text import QuantityText, celsius, phrase
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.wording import by_number, listed

RAW, IN_CURE, SALT_REST, FERMENT = "raw", "in-cure", "salt-rest", "ferment"
DRYING, EQUALISING, KEEPING, CLOSED = "drying", "equalising", "keeping", "closed"
ON_HOLD, DISCARDED = "on-hold", "discarded"

LINE = (RAW, IN_CURE, SALT_REST, FERMENT, DRYING, EQUALISING, KEEPING, CLOSED)
STAGES = (*LINE, ON_HOLD, DISCARDED)
OPEN = (RAW, IN_CURE, SALT_REST, FERMENT, DRYING, EQUALISING, KEEPING, ON_HOLD)
SEALED = (EQUALISING, ON_HOLD, KEEPING)  # in a tight bag: nothing dries
SALTING = (IN_CURE, SALT_REST)  # the salt is still on its way in
ON_THE_CURVE = (DRYING, EQUALISING, KEEPING, ON_HOLD)  # their weights are points of the curve
DRYING_STAGES = (DRYING,)  # hold and rest days are not drying days
GROUND = "ground"  # method of meat whose salt is mixed in: it is stuffed, not put in the cure
# Colder than this a ferment hardly starts [°C]; common practice.
FERMENT_MIN_C = 10.0
DRIES_MOST_C = 18.0  # design value: a warmer place is not one to dry in
SEALED_MAX_C = 5.0  # a sealed bag in a warmer place asks for a note

WORDS = {stage: stage.replace("-", " ") for stage in STAGES}
_BACK = {
    SALT_REST: (IN_CURE,),
    FERMENT: (SALT_REST,),
    DRYING: (SALT_REST, FERMENT),
    EQUALISING: (DRYING,),
    KEEPING: (DRYING, EQUALISING),
    ON_HOLD: (SALT_REST, FERMENT, DRYING, EQUALISING, KEEPING, CLOSED),
}
_MAY_HOLD = (SALT_REST, DRYING, EQUALISING, KEEPING)


@record
class StageSpan:
    """One stay in a stage; the last one ends now."""

    stage: str
    start: datetime
    end: datetime


def word(stage: str) -> str:
    """Say a stage in trade words.

    Parameters
    ----------
    stage : id of a stage; another raises ``Refused``

    Returns
    -------
    its words

    Source
    ------
    definition

    Example
    -------
    >>> word("in-cure")
    'in cure'
    """
    return WORDS[_known(stage)]


def in_stage(stage: str) -> str:
    """Say a stage so that it fits behind ``is``.

    Parameters
    ----------
    stage : id of a stage; another raises ``Refused``

    Returns
    -------
    its words

    Source
    ------
    definition

    Example
    -------
    >>> in_stage("ferment"), in_stage("salt-rest"), in_stage("in-cure")
    ('fermenting', 'in salt rest', 'in cure')
    """
    return {FERMENT: "fermenting", SALT_REST: "in salt rest"}.get(stage) or word(stage)


def parse_stage(text: str) -> str:
    """Read a stage as typed: id, words, or a beginning that fits only one.

    Parameters
    ----------
    text : what was typed

    Returns
    -------
    id of the stage; anything else raises ``Refused``

    Source
    ------
    definition

    Example
    -------
    >>> parse_stage("In cure"), parse_stage("hold"), parse_stage("eq")
    ('in-cure', 'on-hold', 'equalising')
    """
    typed = "-".join(text.casefold().replace("-", " ").replace("_", " ").split())
    if typed in STAGES:
        return typed
    named = {"cure": IN_CURE, "rest": SALT_REST, "hold": ON_HOLD, "dry": DRYING}.get(typed)
    fits = [stage for stage in STAGES if typed and stage.startswith(typed)]
    if named is None and len(fits) != 1:
        raise Refused(f"No such stage; choose {listed(STAGES, 'or')}.")
    return named or fits[0]


def _known(stage: str) -> str:
    if stage not in STAGES:
        raise Refused(f"No such stage; choose {listed(STAGES, 'or')}.")
    return stage


def next_stage(
    stage: str, style_has_rest: bool, style_ferments: bool, *, ground: bool = False
) -> str | None:
    """Name the usual next stage.

    Parameters
    ----------
    stage : where the lot is; an unknown one raises ``Refused``
    style_has_rest, style_ferments : whether the style has those stages
    ground : whether it is ground meat, whose salt is mixed in: it is stuffed, not put in the cure

    Returns
    -------
    id of the next stage; None when closed or discarded; drying after a hold

    Source
    ------
    the order of the stages

    Example
    -------
    >>> next_stage("in-cure", style_has_rest=False, style_ferments=True)
    'ferment'
    >>> next_stage("raw", style_has_rest=False, style_ferments=True, ground=True)
    'ferment'
    """
    if _known(stage) in (CLOSED, DISCARDED):
        return None
    if stage == ON_HOLD:
        return DRYING
    skipped = {
        IN_CURE: ground,
        SALT_REST: ground or not style_has_rest,
        FERMENT: not style_ferments,
    }
    later = LINE[LINE.index(stage) + 1 :]
    return next(candidate for candidate in later if not skipped.get(candidate, False))


def can_move(stage: str, to: str) -> str | None:
    """Say why a lot cannot go from one stage to another.

    Parameters
    ----------
    stage, to : ids of stages; an unknown one raises ``Refused``

    Returns
    -------
    one sentence with the way out, or None when the move is allowed

    Source
    ------
    forward moves may skip stages; back-steps are those that happen in a household

    Example
    -------
    >>> can_move("equalising", "drying"), can_move("in-cure", "raw")
    (None, 'From in cure it cannot go back to raw: correct or undo the earlier entry instead.')
    """
    here, there = word(stage), word(to)
    if stage == to:
        return f"It is already {here}."
    if stage == DISCARDED or (stage == CLOSED and to != DISCARDED):
        return f"It is {here}: undo that before you go on with it."
    if to == DISCARDED:
        return None
    if to == ON_HOLD:
        return None if stage in _MAY_HOLD else f"It cannot go on hold while {here}."
    if to in _BACK.get(stage, ()):
        return None
    if stage in LINE and LINE.index(to) > LINE.index(stage):
        return None
    return f"From {here} it cannot go back to {there}: correct or undo the earlier entry instead."


def moves(stage: str) -> tuple[str, ...]:
    """List where a lot may go from here.

    Parameters
    ----------
    stage : id of a stage; an unknown one raises ``Refused``

    Returns
    -------
    ids in the order of the stages

    Source
    ------
    ``can_move``

    Example
    -------
    >>> moves("equalising")
    ('drying', 'keeping', 'closed', 'on-hold', 'discarded')
    """
    return tuple(to for to in STAGES if can_move(stage, to) is None)


def weights_asked(stage: str, to: str, has_hang_weight: bool) -> tuple[str, ...]:
    """Name the weights a move asks for.

    Parameters
    ----------
    stage, to : ids of stages; an unknown one raises ``Refused``
    has_hang_weight : whether the lot was hung before

    Returns
    -------
    ``cured`` (out of the cure), ``hang`` and ``tare`` (hung for the first time), ``stage``
    (sealed or opened again: tells a leaking bag), ``final``

    Source
    ------
    definition

    Example
    -------
    >>> weights_asked("in-cure", "drying", has_hang_weight=False)
    ('hang', 'tare')
    """
    _known(stage)
    if _known(to) in (DRYING, FERMENT) and not has_hang_weight:
        return ("hang", "tare")
    if to == CLOSED:
        return ("final",)
    if stage == IN_CURE and to not in (DISCARDED, RAW):
        return ("cured",)
    if to == DISCARDED or (stage in SEALED) == (to in SEALED):
        return ()
    return ("stage",)


def notes_needed(
    to: str,
    *,
    dose_open: int = 0,
    cure_days_left: float = 0.0,
    place_temp_c: float | None = None,
    place_band_c: tuple[float, float] | None = None,
    skips_ferment: bool = False,
    of_ferment: str | None = None,
    ground: bool = False,
    of_salting: Sequence[str] = (),
) -> tuple[str, ...]:
    """List what a move may only do with a note saying why.

    Parameters
    ----------
    to : where it goes; an unknown stage raises ``Refused``
    dose_open : lines of the dose sheet not ticked off
    cure_days_left : days until the earliest day out of the cure [d], when leaving it
    place_temp_c : mean temperature read in the place it will be in [°C]; None: nothing was read
    place_band_c : the band that place is meant to keep [°C], which speaks where nothing was read
    skips_ferment : whether its style ferments and it did not
    of_ferment : what is open of the ferment that it leaves, such as a pH that is not reached
    ground : whether it is ground meat, which is stuffed and not put in the cure
    of_salting : what else is against salting it, such as a use-by date that is past

    Returns
    -------
    one sentence a reason; empty when no note is needed

    Source
    ------
    definition; 5 °C for sealed bags and for what is salting is a design value

    Example
    -------
    >>> notes_needed("in-cure", dose_open=2)
    ('2 lines of the dose sheet are not ticked: tick them or say why in a note.',)
    """
    reasons = [*_of_salting(_known(to), dose_open, of_salting, ground=ground)]
    if to not in (RAW, IN_CURE, DISCARDED) and cure_days_left > 0:
        days = -int(-cure_days_left // 1)
        found = f"{days} d before the earliest day out of the cure"
        reasons.append(_reason(found, "say why in a note"))
    if skips_ferment and LINE.index(to if to in LINE else RAW) > LINE.index(FERMENT):
        found = "This style ferments first, and this lot has not fermented"
        reasons.append(_reason(found, "say why in a note"))
    if of_ferment and to not in (RAW, IN_CURE, SALT_REST, DISCARDED):
        reasons.append(_reason(of_ferment, "measure it, or say why in a note"))
    cold = _temp_words(place_temp_c, place_band_c, lambda temp_c: temp_c >= FERMENT_MIN_C)
    if cold and to == FERMENT:
        text = "A ferment hardly starts below {least}, and {cold}"
        found = phrase(text, least=celsius(FERMENT_MIN_C), cold=cold)
        reasons.append(_reason(found, "move it or say why in a note"))
    warm = _temp_words(place_temp_c, place_band_c, lambda temp_c: temp_c <= SEALED_MAX_C)
    if warm and (to in SEALED or to in SALTING):
        what = "A sealed bag" if to in SEALED else f"A piece in {WORDS[to].removeprefix('in ')}"
        text, most = "{what} belongs at {most} or colder, and {warm}", celsius(SEALED_MAX_C)
        found = phrase(text, what=what, most=most, warm=warm)
        reasons.append(_reason(found, "move it or say why in a note"))
    return tuple(reasons)


def _of_salting(to: str, dose_open: int, found: Sequence[str], *, ground: bool) -> list[str]:
    """What is against it while the salt is still to go in; ground meat has it mixed in."""
    reasons = []
    if ground and to in SALTING:
        mixed = "The salt of ground meat is mixed in; it is stuffed next, not put in the cure"
        reasons.append(_reason(mixed, "say why in a note"))
    stuffed = ground and to in (FERMENT, DRYING)
    if (to == IN_CURE or stuffed) and dose_open:
        unticked = by_number(
            dose_open,
            "1 line of the dose sheet is not ticked",
            f"{dose_open} lines of the dose sheet are not ticked",
        )
        reasons.append(_reason(unticked, "tick them or say why in a note"))
    if to not in (RAW, DISCARDED):
        reasons += [_reason(each, "say why in a note") for each in found]
    return reasons


def _temp_words(
    read_c: float | None, band_c: tuple[float, float] | None, suits: Callable[[float], bool]
) -> str | None:
    """How cold or warm a place is, as read there, else by its band; None where that suits."""
    if read_c is not None:
        if suits(read_c):
            return None
        return phrase("this place is at {here}", here=celsius(read_c, f"{read_c:.1f} °C"))
    if band_c is None or suits(sum(band_c) / 2):
        return None
    low, high = (celsius(end, f"{end:g} °C") for end in band_c)
    text = "the band of this place is {low} to {high} and it has no reading"
    return phrase(text, low=low, high=high)


def _reason(found: str, way: str) -> str:
    return phrase("{found}: {way}.", found=found, way=way)


def mixed_at(lot: LotState) -> str | None:
    """When the salt of ground meat went in [UTC]; None for other meat, or while a line is open."""
    if lot.method != GROUND or lot.dose_open:
        return None
    return lot.salted_at or lot.first_tick_at


def stated(reason: str) -> str:
    """What stood against a move, without what could have been done about it.

    Example
    -------
    >>> stated(notes_needed("in-cure", dose_open=2)[0])
    '2 lines of the dose sheet are not ticked'
    """
    found = reason.parts.get("found") if isinstance(reason, QuantityText) else None
    return found if isinstance(found, str) else reason.rstrip(".")


def spans(entries: Sequence[tuple[str, datetime]], now: datetime) -> tuple[StageSpan, ...]:
    """Turn stage entries into stays, each ending where the next begins.

    Parameters
    ----------
    entries : stage and time of entry [aware datetime], in any order; later than now is left out
    now : where the last stay ends [aware datetime]

    Returns
    -------
    the stays in order of time

    Source
    ------
    definition

    Example
    -------
    >>> from datetime import datetime, timezone
    >>> t = [datetime(2026, 11, day, tzinfo=timezone.utc) for day in (1, 19, 25)]
    >>> stays = spans([("in-cure", t[0]), ("drying", t[1])], t[2])
    >>> [(stay.stage, (stay.end - stay.start).days) for stay in stays]
    [('in-cure', 18), ('drying', 6)]
    """
    past = sorted((entry for entry in entries if entry[1] <= now), key=lambda entry: entry[1])
    ends = [*(at for _, at in past[1:]), now]
    return tuple(
        StageSpan(_known(stage), at, end) for (stage, at), end in zip(past, ends, strict=False)
    )


def stage_day(entered: datetime, now: datetime, zone: tzinfo) -> int:
    """Count the day of a stage by the calendar: 0 on the day it was entered.

    Parameters
    ----------
    entered, now : times [aware datetime]
    zone : the zone whose calendar counts

    Returns
    -------
    days, 0 or more for a past entry

    Source
    ------
    definition

    Example
    -------
    >>> from datetime import datetime, timezone
    >>> hung, now = (datetime(2026, m, d, 12, tzinfo=timezone.utc) for m, d in ((10, 25), (11, 25)))
    >>> stage_day(hung, now, timezone.utc)
    31
    """
    return (local_date(now, zone) - local_date(entered, zone)).days


def local_date(at: datetime, zone: tzinfo) -> date:
    """Return the calendar date of an aware time in a zone."""
    return at.astimezone(zone).date()


def drying_days(entries: Sequence[tuple[str, datetime]], now: datetime, zone: tzinfo) -> int:
    """Count drying days by calendar date; hold, rest and softening days do not count.

    Parameters
    ----------
    entries : stage and time of entry [aware datetime]
    now : until when [aware datetime]
    zone : the zone whose calendar counts

    Returns
    -------
    days, 0 or more

    Source
    ------
    definition

    Example
    -------
    >>> from datetime import datetime, timezone
    >>> t = [datetime(2026, 11, day, 12, tzinfo=timezone.utc) for day in (1, 11, 16, 25)]
    >>> drying_days([("drying", t[0]), ("on-hold", t[1]), ("drying", t[2])], t[3], timezone.utc)
    19
    """
    return sum(
        stage_day(span.start, span.end, zone)
        for span in spans(entries, now)
        if span.stage in DRYING_STAGES
    )
