"""Questions a weigh-in raises beside others of the same hour: two swapped, or one unlike the rest.

Weights are what the scale shows unless they are called net. Nothing is ever refused.
"""

from __future__ import annotations

from curedash.domain.drying.drying_rate import median
from curedash.domain.quantity_text import Quantity, QuantityText, grams, phrase
from curedash.domain.record import record
from curedash.domain.weighing.doubts import Doubt, Expectation, doubt
from curedash.domain.wording import listed

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

SWAPPED, SIBLINGS = "swapped", "siblings"
# Design values, tuned on pairs and batches of published series and simulated pieces (the rates
# are in tests/domain/test_neighbours.py): what is asked is rarely wrong.
_BETTER = 4.0  # sum of squared distances in half widths by which the swap must fit better
_NEARLY, _FAR_BETTER = 2.0, 16.0  # half widths a swap may miss by where it fits that much better
_TIMES_SIBLINGS = 1.6  # lost so many times what its siblings lost at its own pace
_TIMES_FASTEST = 1.3  # and so many times what the fastest of them did
_LEAST_SHARE = 0.02  # of the last weight, beyond what its siblings lost
_LEAST_STEPS = 12.0  # and so many divisions of the scale
_OWN_PACE = (0.6, 1.7)  # how much slower or faster than its siblings a piece may be known to dry
_MOST_NAMED = 3
_KNOWN_PCT = 3.0  # loss from which its own pace is known


@record
class JustWeighed:
    """A lot that was weighed within the hour, and what was expected of it before that."""

    code: str
    gross_g: float
    expected: Expectation


@record
class Step:
    """What a piece lost from one weigh-in to the next, and from hanging to the first of them."""

    code: str
    lost_g: float  # net, from the weigh-in before to this one
    days: float
    base_g: float
    before_pct: float  # loss of its base at the weigh-in before

    @property
    def pct_per_day(self) -> float:
        """Loss of its base a day in this step [%/d]."""
        return 100 * self.lost_g / self.base_g / self.days


def swap_doubt(gross_g: float, here: Expectation, others: Sequence[JustWeighed]) -> Doubt | None:
    """Ask whether two weights of one round were swapped.

    Parameters
    ----------
    gross_g : what was typed for this lot, as the scale shows it [g]
    here : what was expected of this lot [g on the scale]
    others : lots weighed within the hour, or in the same round

    Returns
    -------
    the question where each weight misses its own expected range and lies in the other's, and the
    swap fits much better, or lies near the other's and fits far better; it names the other lot and
    its weight. None otherwise; never raises

    Source
    ------
    definition; how much better is a design value of our own

    Example
    -------
    >>> a1 = JustWeighed("A1", 956, Expectation("A1", 1005, 36))
    >>> asked = swap_doubt(1015, Expectation("A2", 945.5, 39.5), [a1])
    >>> print(asked.question, asked.lot_code)
    1015 g fits A1, and the 956 g of A1 fit A2. Were the two swapped? A1
    """

    def miss(weight_g: float, told: Expectation) -> float:
        return abs(weight_g - told.gross_g) / told.pm_g if told.pm_g > 0 else 0.0

    best: tuple[float, JustWeighed] | None = None
    for other in others:
        own = miss(gross_g, here), miss(other.gross_g, other.expected)
        crossed = miss(other.gross_g, here), miss(gross_g, other.expected)
        if min(own) <= 1 or max(crossed) > _NEARLY:
            continue
        better = sum(m * m for m in own) - sum(m * m for m in crossed)
        wanted = _BETTER if max(crossed) <= 1 else _FAR_BETTER
        if better >= wanted and (best is None or better > best[0]):
            best = better, other
    if best is None:
        return None
    other = best[1]
    return doubt(
        SWAPPED,
        "{typed} fits {other}, and the {its} of {other} fit {here}. Were the two swapped?",
        other.gross_g,
        other.code,
        typed=_grams(gross_g),
        its=_grams(other.gross_g),
        other=other.code,
        here=here.code,
    )


def sibling_doubt(
    own: Step, siblings: Sequence[Step], division_g: float, worn: str = ""
) -> Doubt | None:
    """Ask about a piece that lost far more than its siblings did in the same days.

    Parameters
    ----------
    own : what this piece would have lost
    siblings : pieces of its batch over nearly the same days, at least two for a question
    division_g : division of the scale [g]
    worn : what hangs with this piece and is taken off as tare; empty: nothing

    Returns
    -------
    the question, None where it lost about as much as they did; never raises

    Source
    ------
    design values of our own

    Example
    -------
    >>> asked = sibling_doubt(Step("A1", 60, 3, 1000, 5), [
    ...     Step("A2", 34, 3, 980, 5), Step("A3", 38, 3, 1020, 5)], 1.0, "net")
    >>> print(asked.question)
    60 g lost in 3 d, where A2 and A3 lost 34 g and 38 g. Was it weighed without its net?
    """
    if len(siblings) < 2 or own.days <= 0:
        return None
    rates = [step.pct_per_day for step in siblings]
    usual = median(rates)
    if usual <= 0 or own.lost_g <= 0:
        return None
    expected_g = usual * own.days * own.base_g / 100 * _pace(own, siblings)
    last_g = own.base_g * (1 - own.before_pct / 100)
    over_g = own.lost_g - expected_g
    fastest_g = max(rates) * own.days * own.base_g / 100
    if own.lost_g <= max(_TIMES_SIBLINGS * expected_g, _TIMES_FASTEST * fastest_g):
        return None
    if over_g <= max(_LEAST_SHARE * last_g, _LEAST_STEPS * division_g):
        return None
    named = siblings[:_MOST_NAMED]
    asked = "Was a net or a hook on it last time?"
    return doubt(
        SIBLINGS,
        "{lost} lost in {days}, where {codes} lost {theirs}. {asked}",
        lost=_grams(own.lost_g),
        days=_days(own.days),
        codes=_listed([step.code for step in named]),
        theirs=_listed([_grams(step.lost_g) for step in named]),
        asked=f"Was it weighed without its {worn}?" if worn else asked,
    )


def _listed(parts: Sequence[str | Quantity]) -> QuantityText:
    """``A2``; ``A2 and A3``; ``34 g, 38 g and 40 g``."""
    names = [f"p{n}" for n in range(len(parts))]
    words = [f"{{{name}}}" for name in names]
    return phrase(listed(words), **dict(zip(names, parts, strict=True)))


def _grams(weight_g: float) -> Quantity:
    return grams(weight_g, f"{round(weight_g, 1):g} g" if weight_g < 100 else f"{weight_g:.0f} g")


def _days(days: float) -> str:
    return f"{days * 24:.0f} h" if days < 2 else f"{days:.0f} d"


def _pace(own: Step, siblings: Sequence[Step]) -> float:
    """How much faster than its siblings it dried until now; 1 where too little is known."""
    theirs = median([step.before_pct for step in siblings])
    if own.before_pct < _KNOWN_PCT or theirs < _KNOWN_PCT:
        return 1.0
    return min(max(own.before_pct / theirs, _OWN_PACE[0]), _OWN_PACE[1])
