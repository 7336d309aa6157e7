"""What a piece weighed when it was hung, where nobody weighed it: an estimate with its ±."""

from curedash.domain.errors import Refused
from curedash.domain.facts.forecast_prior import RULE_BEND, RULE_DAYS_PER_MM2
from curedash.domain.quantity_text import grams
from curedash.domain.record import record
from curedash.domain.records import LotState

#: what a piece hangs with, as a share of its green weight, and ± (design value: closed bag or box)
HUNG_OF_GREEN, HUNG_OF_GREEN_PM = 0.97, 0.04
#: loss a guess from days alone stays within [1] (design value: pieces are pulled by then)
LEAST_LOSS, MOST_LOSS = 0.0, 0.45
#: loss at which the bent days meet the straight ones [1] (design value: a usual target)
RULE_LOSS = 0.35
#: ± of a start guessed on the very day it was hung, as a share (design value)
LEAST_PM = 0.01
GREEN, DAYS = "green", "days"


@record
class StartGuess:
    """A hang weight nobody read off a scale."""

    hang_g: float
    pm_g: float
    start_from: str  # green | days


def start_from_green(green_g: float, pm_g: float | None, net_g: float) -> StartGuess:
    """Estimate a hang weight from what the piece weighed, or may have weighed, before the salt.

    Parameters
    ----------
    green_g : green weight [g], above 0
    pm_g : its ± where it is an estimate too, from a roast [g]
    net_g : what the piece weighs now [g], above 0: it hung with no less

    Returns
    -------
    hang weight and ± [g]; raises Refused for weights that are not above 0

    Source
    ------
    97 ± 4 % of green weight, a design value; the two spreads add as squares

    Example
    -------
    >>> guess = start_from_green(575.0, 60.0, 400.0)
    >>> round(guess.hang_g), round(guess.pm_g)
    (558, 63)
    """
    _above_zero(green_g)
    _above_zero(net_g)
    spread_g = ((green_g * HUNG_OF_GREEN_PM) ** 2 + ((pm_g or 0.0) * HUNG_OF_GREEN) ** 2) ** 0.5
    return StartGuess(max(green_g * HUNG_OF_GREEN, net_g), spread_g, GREEN)


def start_from_days(net_g: float, days: float, thickness_mm: float) -> StartGuess:
    """Estimate a hang weight from the days a piece has hung and how thick it was.

    Parameters
    ----------
    net_g : what it weighs now [g], above 0
    days : since it was hung [d], 0 or more
    thickness_mm : thickest spot as hung [mm], above 0

    Returns
    -------
    hang weight and ± [g], wide as it must be; raises Refused outside

    Source
    ------
    the rule of thumb of the pull window turned round (`RULE_DAYS_PER_MM2`: low, middle and high of
    80 % of published pieces), bent as a drying curve is (`RULE_BEND`), up to 45 % lost

    Example
    -------
    >>> guess = start_from_days(900.0, 14.0, 70.0)
    >>> round(guess.hang_g), round(guess.pm_g), guess.start_from
    (1113, 211, 'days')
    """
    _above_zero(net_g)
    if not days >= 0 or not thickness_mm > 0:
        raise Refused("Give days since hanging from 0, and a thickness above 0.")
    least, middle, most = (
        _loss(days, factor * thickness_mm**2) for factor in reversed(RULE_DAYS_PER_MM2)
    )
    low_g, mid_g, high_g = (net_g / (1.0 - loss) for loss in (least, middle, most))
    return StartGuess(mid_g, max((high_g - low_g) / 2.0, LEAST_PM * net_g), DAYS)


@record
class LossSince:
    """What a piece lost since it was first weighed; how much before that, nobody weighed."""

    at: str
    loss_pct: float


def loss_since(lot: LotState) -> LossSince | None:
    """What a lot with an estimated start lost since it was first weighed.

    Parameters
    ----------
    lot : its curve, newest first; of one longer than the points at hand the oldest of them counts

    Returns
    -------
    the moment and the loss since [% of that weight]; None where the hang weight was weighed, or
    where there are not two weights yet

    Source
    ------
    definition; meat that was cut off in between is not a loss

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> days = (("2026-11-28", 376.0), ("2026-11-21", 400.0), ("2026-10-20", 520.0))
    >>> from curedash.domain.records import CurvePoint
    >>> curve = [CurvePoint(f"{day}T18:00:00Z", grams, 1.0) for day, grams in days]
    >>> loss_since(Lot(start_from="days", hang_at="2026-10-20T18:00:00Z", curve=curve)).loss_pct
    6.0
    """
    if lot.start_from is None:
        return None
    seen = [point for point in lot.curve if point.at != lot.hang_at]
    if len(seen) < 2:
        return None
    now, first = (point.net_g / point.base_factor for point in (seen[0], seen[-1]))
    return LossSince(seen[-1].at, 100.0 * (first - now) / first)


def _loss(days: float, days_per_loss: float) -> float:
    """Loss by then [1], where a straight line would take so many days for all of it."""
    bent = (days / days_per_loss) ** (1.0 / RULE_BEND) * RULE_LOSS ** (1.0 - 1.0 / RULE_BEND)
    return float(min(max(bent, LEAST_LOSS), MOST_LOSS))


def _above_zero(weight_g: float) -> None:
    if not weight_g > 0:
        raise Refused("{weight} makes no sense: give more than 0 g.", weight=grams(weight_g))
