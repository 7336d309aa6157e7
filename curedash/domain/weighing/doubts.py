"""Questions a weigh-in raises before it is kept: the likely slip first, nothing ever refused.

Every rule compares what the scale shows with what is known of the lot; a rule whose knowledge is
missing stays silent. Times are epoch seconds.
"""

from __future__ import annotations

from curedash.domain.curing.stages import GROUND
from curedash.domain.facts.units import G_PER_LB, G_PER_OZ
from curedash.domain.quantity_text import Quantity, QuantityText, grams, phrase
from curedash.domain.record import record, replace
from curedash.domain.times import SECONDS_PER_DAY

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from curedash.domain.records import LotState

_FAR = (0.3, 1.35)  # design values: outside this share of the last weight a slip is looked for,
_NEAR = (0.62, 1.35)  # and the fix must lie within this one
# Design values: share of the green weight a cured weight lies within. Rinsing leaves 2 % of water
# on meat; a rest after the salt dries it; a brine goes in.
_DRY_CURED, _RESTED, _BRINED, _CURED = (0.85, 1.02), (0.7, 1.02), (0.85, 1.25), (0.7, 1.35)
_BRINES = ("equilibrium-brine", "immersion", "injection")
_SLIPS = (10.0, 0.1, 100.0, 0.01, 1000.0, 0.001)
_UNIT_SLIPS = ((G_PER_LB, "lb"), (G_PER_OZ, "oz"))
_HEAVIER_SHARE = 0.005  # heavier by more than this, or two divisions, is asked about
_STEPS = 2.0  # divisions a weighing may be off
# Design values of our own: two weighings of one day differ by so many divisions, but by no more
# than the one share of the weight, or by the other share
_AGAIN_STEPS, _AGAIN_MOST, _AGAIN_SHARE = 4.0, 0.02, 0.015
_KNIFE_SHARE = 0.01  # design value of our own: what stays on knife, board and string at a cut
_WETTEST_PCT = 80.0  # design value: no raw meat in the composition tables holds as much water
# Design value: the fastest step of 320 simulated pieces is 540 %·mm a day, and water leaving a
# free wet surface in a fan-stirred chamber gives about 400.
_MAX_PCT_MM_PER_DAY = 600.0
_THIN_MM = 20.0  # assumed where the thickness is unknown: the most generous bound
# Design values, tuned on 320 simulated pieces: at most 0.4 % of their weigh-ins are asked about by
# these, and of sudden losses of 8.6 points 84 % by the rate alone, 98 % by a forecast. A piece that
# dries slower than expected is common; one that is lighter is more often a slip.
_LIGHTER, _LIGHTER_SHARE = 3.0, 0.04  # half-widths of the forecast, and share of the last weight
_SLOWER, _SLOWER_SHARE = 5.0, 0.05  # the same for heavier than expected
_JUMP_PCT = 8.0  # a loss of more points than this
_JUMP_DAYS = 10.0  # since a weigh-in this recent is asked about sooner:
_FIRST_PCT = 30.0  # where nothing is foretold; a published small sausage lost 25 % in a week
_JUMP_FROM_FORECAST = 1.5  # at so many half-widths
_AHEAD_S = 600.0  # design value: two clocks may differ by 10 minutes
BEFORE_HANGING = ("raw", "in-cure")


@record
class Expectation:
    """What a lot should weigh now, on the scale, and half the width of that [g]."""

    code: str
    gross_g: float
    pm_g: float

    def holds(self, gross_g: float) -> bool:
        """Whether a weight lies within twice the half width."""
        return abs(gross_g - self.gross_g) <= 2 * self.pm_g


@record
class WeighInEntry:
    """What was typed: gross and tare [g] and when it was weighed [epoch s]."""

    gross_g: float
    tare_g: float
    at: float

    @property
    def net_g(self) -> float:
        """Weight without tare [g]."""
        return self.gross_g - self.tare_g


@record
class WeighInContext:
    """What is known of the lot and its neighbours when a weight is typed."""

    stage: str = "drying"
    division_g: float = 1.0
    last_net_g: float | None = None  # newest weight of the same kind, re-bases followed
    last_at: float | None = None  # its time; for the time order too
    base_g: float | None = None  # hang weight, re-bases followed
    green_g: float | None = None
    moisture_pct: float | None = None  # water of the piece as hung
    thickness_mm: float | None = None
    expected: Expectation | None = None
    others: tuple[Expectation, ...] = ()
    readings: int = 1  # weights added up to this one: the parts of a cut
    shares: tuple[float, float] = _CURED  # of the green weight, what a cured one lies within
    spread_g: float = 0.0  # half the width of estimates, typed or of the green weight


@record
class Doubt:
    """One plain question; the fix is what the scale probably showed [g]."""

    # slip | other-lot | heavier | too-light | too-fast | far-off | earlier | missing | ahead;
    # swapped | siblings, of domain/weighing/neighbours
    kind: str
    question: str
    likely_fix_g: float | None = None
    lot_code: str | None = None


def doubt(
    kind: str,
    template: str,
    likely_fix_g: float | None = None,
    lot_code: str | None = None,
    **parts: str | Quantity,
) -> Doubt:
    """A doubt whose question keeps its quantities."""
    return Doubt(kind, phrase(template, **parts), likely_fix_g, lot_code)


def weigh_in_doubts(entry: WeighInEntry, context: WeighInContext) -> tuple[Doubt, ...]:
    """Ask about a weight that makes no sense for this lot.

    Parameters
    ----------
    entry : gross and tare [g], time [epoch s]
    context : what is known; fields left out are not judged by

    Returns
    -------
    doubts, the likeliest first; empty when nothing is odd; never raises

    Source
    ------
    the limit for heavier is max(2 scale divisions, 0.5 %); the others are design values

    Example
    -------
    >>> entry = WeighInEntry(10_710, 0, at=604_800)
    >>> doubt, = weigh_in_doubts(entry, WeighInContext(last_net_g=1080, last_at=0))
    >>> doubt.likely_fix_g
    1071.0
    """
    doubts = tuple(_weight_doubts(entry, context))
    if context.last_at is None:
        return doubts
    return doubts + earlier_doubts(entry.at, context.last_at)


def earlier_doubts(at: float, newest_at: float) -> tuple[Doubt, ...]:
    """Ask about a weight that is entered for a time before the newest weigh-in.

    Parameters
    ----------
    at : when it is said to have been taken [epoch s]
    newest_at : when the newest weigh-in was taken [epoch s]

    Returns
    -------
    the question; empty from the newest weigh-in on; never raises

    Source
    ------
    definition

    Example
    -------
    >>> earlier_doubts(at=590, newest_at=600)[0].kind
    'earlier'
    """
    if at >= newest_at:
        return ()
    return (Doubt("earlier", "This is earlier than the newest weigh-in. Is the day right?"),)


def ahead_doubts(at: float, now: float) -> tuple[Doubt, ...]:
    """Ask about something that happened at a time that has not come yet.

    Parameters
    ----------
    at : when it is said to have happened [epoch s]
    now : what the clock shows [epoch s]

    Returns
    -------
    the question; empty up to 10 minutes ahead; never raises

    Source
    ------
    design value of our own: two clocks may differ by 10 minutes

    Example
    -------
    >>> ahead_doubts(at=64_800, now=0)[0].question
    'That is 18 h ahead of now. Is the time right?'
    >>> ahead_doubts(at=590, now=0)
    ()
    """
    if at - now <= _AHEAD_S:
        return ()
    far = _days((at - now) / SECONDS_PER_DAY)
    return (Doubt("ahead", f"That is {far} ahead of now. Is the time right?"),)


def asked_of(code: str, doubts: Sequence[Doubt]) -> QuantityText:
    """Every question about one lot as one text, its code named once.

    Parameters
    ----------
    code : the lot's code
    doubts : at least one

    Returns
    -------
    the code and all the questions, which keep their quantities; never raises

    Source
    ------
    definition

    Example
    -------
    >>> asked_of("F1", [Doubt("a", "F1 was weighed just now."), Doubt("b", "Right?")])
    'F1 was weighed just now. Right?'
    """
    first, *more = (doubt.question for doubt in doubts)
    for question in more:
        first = phrase("{one} {other}", one=first, other=question)
    if first.startswith((f"{code} ", f"{code}:", f"{code},")):
        return phrase("{question}", question=first)
    return phrase("{code}: {question}", code=code, question=first)


def shown_division_g(gross_g: float, division_g: float) -> float:
    """Division of a scale that showed a weight: one in tenths of an ounce shows no grams.

    Parameters
    ----------
    gross_g : what was typed, in grams [g]
    division_g : division of the household's scale [g], 1 where it named none

    Returns
    -------
    division [g], a tenth of an ounce at least for a weight of whole tenths; never raises

    Source
    ------
    1 oz = 28.349523125 g, exact (international avoirdupois pound of 1959)

    Example
    -------
    >>> shown_division_g(680.388555, 1.0), shown_division_g(680, 1.0)  # 1 lb 8 oz
    (2.8349523125, 1.0)
    """
    tenths = gross_g * 10 / G_PER_OZ
    return max(division_g, G_PER_OZ / 10) if abs(tenths - round(tenths)) < 1e-6 else division_g


def cut_spread_g(whole_g: float, parts: int, division_g: float) -> float:
    """How much less than the whole its parts may weigh without a word.

    Parameters
    ----------
    whole_g : net weight of the whole [g], above 0
    parts : how many weights are added up, at least 1
    division_g : division of the scale [g], above 0

    Returns
    -------
    what stays on the knife and what the scale may be off, added up [g]; never raises

    Source
    ------
    design value of our own: 1 % for the knife, and two divisions for each weighing (a kitchen
    scale is often off by two)

    Example
    -------
    >>> cut_spread_g(700, 2, 1.0)
    11.0
    """
    return _KNIFE_SHARE * whole_g + _STEPS * division_g * parts


def cut_doubt(
    whole_g: float, parts_g: float, parts: int, division_g: float, *, trimmed: bool
) -> Doubt | None:
    """Ask about parts that do not add up to the whole they were cut from.

    Parameters
    ----------
    whole_g, parts_g : net weight of the whole and of all its parts together [g], above 0
    parts : how many parts there are
    division_g : division of the scale [g]
    trimmed : the whole was weighed for the cut, so that what is missing was taken off

    Returns
    -------
    the question; None where knife and scale explain the difference; never raises

    Source
    ------
    the limit for heavier is that of a weigh-in, a weighing for each part; `cut_spread_g`; that
    half a piece is not a trimming is a design value

    Example
    -------
    >>> cut_doubt(700, 690, 2, 1.0, trimmed=False) is None
    True
    >>> cut_doubt(700, 600, 2, 1.0, trimmed=False).question
    '100 g of 700 g are missing from the parts. Was that trimmed off?'
    """
    gone_g = whole_g - parts_g
    if -gone_g > max(_STEPS * division_g * parts, _HEAVIER_SHARE * whole_g):
        text = "the parts weigh {over} more than the whole. Right?"
        return doubt("heavier", text, over=_grams(-gone_g))
    whole = _grams(whole_g)
    if parts_g < whole_g / 2:
        text = "only {parts} of {whole} are in the parts; is one missing?"
        return doubt("missing", text, parts=_grams(parts_g), whole=whole)
    if trimmed or gone_g <= cut_spread_g(whole_g, parts, division_g):
        return None
    text = "{gone} of {whole} are missing from the parts. Was that trimmed off?"
    return doubt("missing", text, gone=_grams(gone_g), whole=whole)


def cured_shares(lot: LotState) -> tuple[float, float]:
    """Between which shares of its green weight a lot comes out of its cure.

    Parameters
    ----------
    lot : how it is salted, and whether it rests after the salt

    Returns
    -------
    lowest and highest share [0–2]; never raises

    Source
    ------
    design values of our own
    """
    if lot.method == GROUND:
        return _CURED
    if lot.method in _BRINES:
        return _BRINED
    return _RESTED if lot.has_rest else _DRY_CURED


def green_doubt(
    green_g: float,
    known_g: float | None,
    hung_g: float | None,
    shares: tuple[float, float] = _CURED,
) -> Doubt | None:
    """Ask about a corrected green weight that does not go with what the lot weighed else.

    Parameters
    ----------
    green_g : the corrected green weight [g], above 0
    known_g : the green weight known so far [g], above 0; None: nobody weighed it
    hung_g : what the lot hung with [g net]; None: not hung yet
    shares : of the green weight, what it hangs with (`cured_shares`)

    Returns
    -------
    the question; None where the two go together; never raises

    Source
    ------
    the bands are those of a weigh-in, design values

    Example
    -------
    >>> green_doubt(100, 1520, 1460).question
    'It was hung at 1460 g. Is a green weight of 100 g right?'
    >>> green_doubt(1420, 1520, 1360) is None
    True
    """
    green = _grams(green_g)
    if hung_g is not None:
        if _within(shares, hung_g, green_g):
            return None
        text = "It was hung at {hung}. Is a green weight of {green} right?"
        return doubt("slip", text, hung=_grams(hung_g), green=green)
    if known_g is None or _within(_NEAR, green_g, known_g):
        return None
    text = "{green} is far from the green weight so far, {known}. Right?"
    return doubt("slip", text, green=green, known=_grams(known_g))


def _weight_doubts(entry: WeighInEntry, context: WeighInContext) -> tuple[Doubt, ...]:
    odd = (
        _slip(entry, context)
        or _heavier(entry, context)
        or _too_light(entry, context)
        or _unlike(entry, context)
    )
    other = _other_lot(entry, context)
    if odd is None and other is None:
        odd = _far_off(entry, context)
    return tuple(doubt for doubt in (other, odd) if doubt is not None)


def _reference_g(context: WeighInContext) -> float | None:
    """Weight to compare with: the last one, else what it hung or started with [g net]."""
    return context.last_net_g or context.base_g or context.green_g


def _known(context: WeighInContext, tare_g: float) -> QuantityText:
    """What it is compared with, as the scale showed it: ``the last 784 g``."""
    if context.last_net_g is not None:
        return phrase("the last {last}", last=_grams(context.last_net_g + tare_g))
    if context.base_g is not None:
        return phrase("the hang weight {base}", base=_grams(context.base_g + tare_g))
    return phrase("the green weight {green}", green=_grams((context.green_g or 0.0) + tare_g))


def _slip(entry: WeighInEntry, context: WeighInContext) -> Doubt | None:
    """A factor of ten, a unit left out, two figures swapped."""
    reference = _reference_g(context)
    if reference is None or context.readings > 1 or _within(_FAR, entry.net_g, reference):
        return None
    shown = _grams(entry.gross_g)
    for factor in _SLIPS:
        fix = entry.gross_g * factor
        if _within(_NEAR, fix - entry.tare_g, reference):
            text, known = (
                "{shown} is far from {known}. Was it {fix}?",
                _known(context, entry.tare_g),
            )
            return doubt("slip", text, fix, shown=shown, known=known, fix=_grams(fix))
    for size, unit in _UNIT_SLIPS:
        fix = entry.gross_g * size
        if _within(_NEAR, fix - entry.tare_g, reference):
            typed = f"{entry.gross_g:g} {unit}"
            text = "{shown}, or {typed} ({fix})?"
            return doubt("slip", text, fix, shown=shown, typed=typed, fix=_grams(fix))
    swapped = _nearest(entry, reference, _exchanged(entry, reference))
    if swapped is None:
        return None
    text = "{shown}, or {other} with two figures swapped?"
    return doubt("slip", text, swapped, shown=shown, other=_grams(swapped))


def _unlike(entry: WeighInEntry, context: WeighInContext) -> Doubt | None:
    """Too far from what went before, without a fix to offer."""
    reference = _reference_g(context)
    if reference is None:
        return None
    early = context.stage in BEFORE_HANGING
    if _within(_CURED if early else _FAR, entry.net_g, reference):
        return _unlike_cured(entry, context, reference) if early else None
    text = "{net} net is far from {known}. Is it right?"
    return doubt("slip", text, net=_grams(entry.net_g), known=_known(context, 0.0))


def _unlike_cured(entry: WeighInEntry, context: WeighInContext, reference_g: float) -> Doubt | None:
    """More than went into the cure, or much less: its loss would be counted from a slip."""
    slack_g = context.spread_g + _STEPS * _division_g(entry, context)
    low, high = (share * reference_g for share in context.shares)
    if min(low, reference_g - slack_g) <= entry.net_g <= max(high, reference_g + slack_g):
        return None
    off_pct = 100 * (entry.net_g / reference_g - 1)
    much = off_pct < 0 or context.shares[1] > _DRY_CURED[1]
    return doubt(
        "slip",
        "{net} net is {off} % {way} than {known}: {rule}. Is it right?",
        net=_grams(entry.net_g),
        off=f"{abs(off_pct):.0f}",
        way="more" if off_pct > 0 else "less",
        known=_known(context, 0.0),
        rule="much for a cure" if much else "meat gets lighter in a dry cure",
    )


def _within(band: tuple[float, float], net_g: float, reference_g: float) -> bool:
    return band[0] * reference_g <= net_g <= band[1] * reference_g


def _nearest(entry: WeighInEntry, reference_g: float, found: Iterable[float]) -> float | None:
    return min(found, key=lambda gross: abs(gross - entry.tare_g - reference_g), default=None)


def _exchanged(entry: WeighInEntry, reference_g: float) -> list[float]:
    """Every gross weight with two neighbouring figures exchanged that lies near [g]."""
    figures = f"{entry.gross_g:.0f}"
    found = []
    for n in range(len(figures) - 1):
        other = float(figures[:n] + figures[n + 1] + figures[n] + figures[n + 2 :])
        if other != entry.gross_g and _within(_NEAR, other - entry.tare_g, reference_g):
            found.append(other)
    return found


def _other_lot(entry: WeighInEntry, context: WeighInContext) -> Doubt | None:
    here = context.expected
    if here is None or here.holds(entry.gross_g):
        return None
    fits = [lot for lot in context.others if abs(entry.gross_g - lot.gross_g) <= lot.pm_g]
    if not fits:
        return None
    lot = min(fits, key=lambda other: abs(entry.gross_g - other.gross_g))
    return doubt(
        "other-lot",
        "{shown} fits {other} (expected {low}–{high}) better than {here}. Is it {other}?",
        lot_code=lot.code,
        shown=_grams(entry.gross_g),
        other=lot.code,
        here=here.code,
        low=_bare(lot.gross_g - lot.pm_g),
        high=_grams(lot.gross_g + lot.pm_g),
    )


def _heavier(entry: WeighInEntry, context: WeighInContext) -> Doubt | None:
    if context.last_net_g is None or context.stage in BEFORE_HANGING:
        return None
    gain_g = _gain_g(entry, context)
    if gain_g <= _gain_allowed_g(entry, context):
        return None
    # A weight that would be asked about in its turn explains nothing.
    exchanged = _exchanged(entry, context.last_net_g) if context.readings == 1 else []
    found = [g for g in exchanged if _plain(replace(entry, gross_g=g), context)]
    likely, gain = _nearest(entry, context.last_net_g, found), _grams(gain_g)
    if likely is None:
        text = "{gain} heavier than last time. Was something left on it?"
        return doubt("heavier", text, gain=gain)
    text = "{gain} heavier than last time: {fix}?"
    return doubt("heavier", text, likely, gain=gain, fix=_grams(likely))


def _plain(entry: WeighInEntry, context: WeighInContext) -> bool:
    """Whether a weight, the fix of another, raises no question of its own."""
    if _gain_g(entry, context) > _gain_allowed_g(entry, context):
        return False
    return not any(asked(entry, context) for asked in (_too_light, _unlike, _far_off))


def _gain_g(entry: WeighInEntry, context: WeighInContext) -> float:
    return entry.net_g - (context.last_net_g or 0.0)


def _gain_allowed_g(entry: WeighInEntry, context: WeighInContext) -> float:
    steps_g = _STEPS * _division_g(entry, context) * context.readings
    return max(steps_g, _HEAVIER_SHARE * (context.last_net_g or 0.0))


def _too_light(entry: WeighInEntry, context: WeighInContext) -> Doubt | None:
    if context.stage in BEFORE_HANGING:
        return None
    if context.base_g is not None:
        water_pct = _WETTEST_PCT if context.moisture_pct is None else context.moisture_pct
        floor_g = context.base_g * (100 - water_pct) / 100
        if entry.net_g < floor_g:
            text = "Lighter than bone dry ({floor}). Is it right?"
            return doubt("too-light", text, _tare_put_back(entry, context), floor=_grams(floor_g))
    if context.last_net_g is None or context.last_at is None or entry.at < context.last_at:
        return None
    days = (entry.at - context.last_at) / SECONDS_PER_DAY
    rate_pct = _MAX_PCT_MM_PER_DAY / (context.thickness_mm or _THIN_MM)
    drop_g = context.last_net_g - entry.net_g
    slack_g = max(_slack_g(entry, context), _again_g(entry, context) if days < 1 else 0.0)
    if drop_g <= slack_g + context.last_net_g * rate_pct * days / 100:
        return None
    text = "{drop} lost in {days} is faster than meat can dry. Right?"
    fix_g = _tare_put_back(entry, context)
    return doubt("too-fast", text, fix_g, drop=_grams(drop_g), days=_days(days))


def _slack_g(entry: WeighInEntry, context: WeighInContext) -> float:
    """What the scale alone, and the knife between parts, may take off the last weight [g]."""
    last_g, division_g = context.last_net_g or 0.0, _division_g(entry, context)
    if context.readings > 1:
        return cut_spread_g(last_g, context.readings, division_g)
    return max(_STEPS * division_g, _HEAVIER_SHARE * last_g)


def _again_g(entry: WeighInEntry, context: WeighInContext) -> float:
    """What two weighings of a day may differ by without a word: drip, string, where it lay [g]."""
    last_g = context.last_net_g or 0.0
    steps_g = _AGAIN_STEPS * _division_g(entry, context)
    return max(min(steps_g, _AGAIN_MOST * last_g), _AGAIN_SHARE * last_g)


def _division_g(entry: WeighInEntry, context: WeighInContext) -> float:
    return shown_division_g(entry.gross_g, context.division_g)


def _tare_put_back(entry: WeighInEntry, context: WeighInContext) -> float | None:
    """If the net weight was typed where the scale's was asked, the gross that was meant."""
    reference = context.last_net_g
    if reference is None or entry.tare_g <= 0:
        return None
    close_g = max(2 * context.division_g, 0.02 * reference)
    return entry.gross_g + entry.tare_g if abs(entry.gross_g - reference) <= close_g else None


def _far_off(entry: WeighInEntry, context: WeighInContext) -> Doubt | None:
    here = context.expected
    if here is None:
        return _much_at_once(entry, context)
    if context.last_net_g is None:
        return None
    off_g = entry.gross_g - here.gross_g
    widths, share = (_SLOWER, _SLOWER_SHARE) if off_g > 0 else (_LIGHTER, _LIGHTER_SHARE)
    far = abs(off_g) > max(widths * here.pm_g, share * context.last_net_g)
    if not far and not _jumped(entry, context, here):
        return None
    text = "Expected {low}–{high} on the scale. Is {shown} right?"
    low, high = _bare(here.gross_g - here.pm_g), _grams(here.gross_g + here.pm_g)
    return doubt("far-off", text, shown=_grams(entry.gross_g), low=low, high=high)


def _much_at_once(entry: WeighInEntry, context: WeighInContext) -> Doubt | None:
    """More lost within days than pieces lose, where nothing is foretold yet: the first week."""
    lost_pct, days = _lost_of_late(entry, context)
    if context.stage in BEFORE_HANGING or lost_pct <= _FIRST_PCT:
        return None
    text = "{lost} % lost in {days}: that is a lot between two weigh-ins. Is {shown} right?"
    lost, shown = f"{lost_pct:.0f}", _grams(entry.gross_g)
    return doubt("far-off", text, lost=lost, days=_days(days), shown=shown)


def _jumped(entry: WeighInEntry, context: WeighInContext, here: Expectation) -> bool:
    """Whether much was lost within days, more than was to be expected."""
    lost_pct, _ = _lost_of_late(entry, context)
    lighter_g = here.gross_g - entry.gross_g
    return lost_pct > _JUMP_PCT and lighter_g > _JUMP_FROM_FORECAST * here.pm_g


def _lost_of_late(entry: WeighInEntry, context: WeighInContext) -> tuple[float, float]:
    """Loss of the base [%] since a weigh-in of late, and the days; 0 where there is none."""
    if context.last_net_g is None or context.last_at is None or not context.base_g:
        return 0.0, 0.0
    days = (entry.at - context.last_at) / SECONDS_PER_DAY
    if not 0 <= days <= _JUMP_DAYS:
        return 0.0, 0.0
    return 100 * (context.last_net_g - entry.net_g) / context.base_g, days


def _grams(weight_g: float) -> Quantity:
    return grams(weight_g, f"{_figures(weight_g)} g")


def _bare(weight_g: float) -> Quantity:
    """The lower end of a range: its unit stands behind the upper one."""
    return grams(weight_g, _figures(weight_g))


def _figures(weight_g: float) -> str:
    return f"{weight_g:.0f}" if weight_g >= 100 else f"{round(weight_g, 1):g}"


def _days(days: float) -> str:
    if days < 1 / 24:
        return f"{max(1, round(days * 24 * 60))} min"
    return f"{days * 24:.0f} h" if days < 2 else f"{days:.0f} d"
