"""Weights, tares, bases and losses, and what happens to them when a piece is cut or re-dressed.

Net weights are meat only; gross weights are what the scale shows. Everything is in grams.
"""

from curedash.domain.doubts import Doubt, Expectation, WeighInContext, WeighInEntry, weigh_in_doubts
from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.said import grams, say

__all__ = [
    "Doubt",
    "Estimate",
    "Expectation",
    "WeighInContext",
    "WeighInEntry",
    "bag_leaked",
    "base_from_loss",
    "divide",
    "estimate",
    "hang_from_cured",
    "hang_from_green",
    "loss_pct",
    "loss_pm_pct",
    "net_from_gross",
    "on_scale",
    "rebase_factor",
    "tare_after",
    "target_g",
    "target_on_base_pct",
    "to_go_g",
    "weigh_in_doubts",
]

MAX_TARGET_PCT = 90.0  # no meat can lose more: about 75 % of it is water
_KERF_SHARE = 0.01  # design value: parts weighed one by one may add up to 1 % more than the whole
_LEAK_PCT = 1.0  # design value: a sealed bag that lost more than this was not tight
_LEAK_STEPS = (
    4.0  # design value: a kitchen scale is often off by two divisions, and it was used twice
)


@record
class Estimate:
    """A weight nobody took, and how far off it may be [g]."""

    value_g: float
    pm_g: float


def _positive(value_g: float, what: str) -> None:
    if not 0 < value_g < float("inf"):
        raise Refused(f"The {what} must be more than 0.")


def loss_pct(base_g: float, net_g: float) -> float:
    """How much lighter a piece is than its base.

    Parameters
    ----------
    base_g : hang weight, or green weight if that is the base [g], above 0
    net_g : weight now without tare [g], above 0

    Returns
    -------
    loss [% of base], below 100; negative when the piece is heavier than its base;
    a weight of 0 or less raises ``Refused``

    Source
    ------
    definition

    Example
    -------
    >>> loss_pct(5000, 4000)
    20.0
    """
    _positive(base_g, "base weight")
    _positive(net_g, "weight")
    return 100 * (base_g - net_g) / base_g


def loss_pm_pct(base_g: float, base_pm_g: float, net_g: float) -> float:
    """How far off a loss may be when its base is an estimate.

    Parameters
    ----------
    base_g : estimated base [g], above 0
    base_pm_g : how far off the base may be [g], 0 or more; below raises ``Refused``
    net_g : weight now without tare [g], above 0

    Returns
    -------
    ± of the loss [percentage points]

    Source
    ------
    first-order error propagation of 100·(base − net)/base

    Example
    -------
    >>> round(loss_pm_pct(1000, 30, 700), 2)
    2.1
    """
    _positive(base_g, "base weight")
    _positive(net_g, "weight")
    if not base_pm_g >= 0:
        raise Refused("The ± of a weight cannot be negative.")
    return 100 * net_g * base_pm_g / base_g**2


def net_from_gross(gross_g: float, tare_g: float) -> float:
    """Meat in what the scale shows.

    Parameters
    ----------
    gross_g : what the scale shows [g], above the tare; else raises ``Refused``
    tare_g : hook, net, casing, bag and card on it [g], 0 or more

    Returns
    -------
    net weight [g], above 0

    Source
    ------
    definition

    Example
    -------
    >>> net_from_gross(1071, 28)
    1043
    """
    if not tare_g >= 0:
        raise Refused("A tare cannot be negative; type what the hook, net and bag weigh.")
    if not gross_g > tare_g:
        raise Refused(
            say(
                "The scale shows {gross} but {tare} of that is tare: put the tare right or weigh"
                " without it.",
                gross=grams(gross_g),
                tare=grams(tare_g),
            )
        )
    return gross_g - tare_g


def on_scale(net_g: float, tare_g: float) -> float:
    """What the scale will show for a net weight.

    Parameters
    ----------
    net_g : meat [g], above 0
    tare_g : what else hangs on it [g], 0 or more; below raises ``Refused``

    Returns
    -------
    gross weight [g]

    Source
    ------
    definition

    Example
    -------
    >>> on_scale(3250, 400)
    3650
    """
    _positive(net_g, "weight")
    if not tare_g >= 0:
        raise Refused("A tare cannot be negative; type what the hook, net and bag weigh.")
    return net_g + tare_g


def target_g(base_g: float, lo_pct: float, hi_pct: float) -> tuple[float, float]:
    """Weights between which a piece is pulled.

    Parameters
    ----------
    base_g : base the target is given on [g], above 0
    lo_pct, hi_pct : loss range of the style [% of base], 0 < lo ≤ hi < 90; else raises ``Refused``

    Returns
    -------
    lighter and heavier end [g net], ascending

    Source
    ------
    definition

    Example
    -------
    >>> target_g(1500, 30, 40)
    (900.0, 1050.0)
    """
    _positive(base_g, "base weight")
    if not 0 < lo_pct <= hi_pct < MAX_TARGET_PCT:
        raise Refused("A target is a loss range between 0 and 90 %, as in 30..40%.")
    return base_g * (100 - hi_pct) / 100, base_g * (100 - lo_pct) / 100


def to_go_g(net_g: float, target: tuple[float, float]) -> float:
    """Grams until the first weight of the target, negative when it is passed.

    Parameters
    ----------
    net_g : weight now without tare [g], above 0
    target : lighter and heavier end [g net], as ``target_g`` returns them

    Returns
    -------
    net − heavier end [g]

    Source
    ------
    definition

    Example
    -------
    >>> to_go_g(1043, (920, 997))
    46
    """
    _positive(net_g, "weight")
    return net_g - target[1]


def target_on_base_pct(target: tuple[float, float], base_g: float) -> tuple[float, float]:
    """State a target, which stays in grams, as loss of another base.

    Parameters
    ----------
    target : lighter and heavier end [g net]
    base_g : base to show it on [g], above 0; else raises ``Refused``

    Returns
    -------
    loss range [% of that base], ascending

    Source
    ------
    definition

    Example
    -------
    >>> target_on_base_pct((900, 1050), 2000)
    (47.5, 55.0)
    """
    return loss_pct(base_g, target[1]), loss_pct(base_g, target[0])


def rebase_factor(before_g: float, after_g: float) -> float:
    """By what the base is multiplied when meat is taken off.

    Parameters
    ----------
    before_g : net weight before [g], above 0
    after_g : net weight after [g], above 0 and not above before; else raises ``Refused``

    Returns
    -------
    after / before, 0–1

    Source
    ------
    the loss stays the same, so base and weight shrink alike

    Example
    -------
    >>> rebase_factor(800, 700)
    0.875
    """
    _positive(before_g, "weight before")
    _positive(after_g, "weight after")
    if after_g > before_g:
        raise Refused(
            "It is heavier after than before: meat taken off makes it lighter; "
            "for something put on, change the tare instead."
        )
    return after_g / before_g


def tare_after(tare_g: float, before_g: float, after_g: float) -> float:
    """Tare once something that is not meat was put on or taken off.

    Parameters
    ----------
    tare_g : tare before [g], 0 or more
    before_g, after_g : what the scale showed before and after [g], above 0

    Returns
    -------
    new tare [g], 0 or more; a negative one raises ``Refused``

    Source
    ------
    the meat stays the same, so the whole difference is tare

    Example
    -------
    >>> tare_after(0, 4000, 4400)
    400
    """
    _positive(before_g, "weight before")
    _positive(after_g, "weight after")
    tare = tare_g + after_g - before_g
    if tare < 0:
        raise Refused(
            say(
                "That takes off {off} but only {tare} of tare was known: if meat came off too,"
                " record it as meat removed.",
                off=grams(before_g - after_g),
                tare=grams(tare_g),
            )
        )
    return tare


def divide(base_g: float, now_g: float, parts_g: tuple[float, ...]) -> tuple[float, ...]:
    """Bases of the parts a hanging piece is cut into; each part inherits the loss.

    Parameters
    ----------
    base_g : base of the whole [g], above 0
    now_g : net weight of the whole before the cut [g], above 0
    parts_g : net weight of each part [g], above 0; trimmings may be missing; together more than
        1 % above the whole raises ``Refused``

    Returns
    -------
    one base a part [g]: part / (1 − loss)

    Source
    ------
    the loss stays the same, so base and weight shrink alike

    Example
    -------
    >>> [round(base, 1) for base in divide(1000, 700, (400, 280))]
    [571.4, 400.0]
    """
    _positive(base_g, "base weight")
    _positive(now_g, "weight before the cut")
    for part_g in parts_g:
        _positive(part_g, "weight of each part")
    if not parts_g or sum(parts_g) > now_g * (1 + _KERF_SHARE):
        raise Refused(
            say(
                "The parts weigh {parts} together, the whole {whole}: weigh the whole and the"
                " parts again.",
                parts=grams(sum(parts_g)),
                whole=grams(now_g),
            )
        )
    return tuple(part_g * base_g / now_g for part_g in parts_g)


def bag_leaked(before_g: float, after_g: float, division_g: float = 0.0) -> bool:
    """Whether a sealed bag may have let water out.

    Parameters
    ----------
    before_g, after_g : weight when sealed and now [g], above 0, with the same tare
    division_g : division of the scale [g], 0 or more

    Returns
    -------
    True if more than 1 % is gone, and more than the four divisions two weighings may be off;
    never raises for weights above 0

    Source
    ------
    design values

    Example
    -------
    >>> bag_leaked(700, 692), bag_leaked(700, 694)
    (True, False)
    """
    gone_g = before_g - after_g
    return loss_pct(before_g, after_g) > _LEAK_PCT and gone_g > _LEAK_STEPS * division_g


# ── a weight nobody took ──────────────────────────────────────────────────────────────────

_CURED_TO_HANG = (1.0, 0.02)  # memory: patted dry and hung the same day, within some 2 %
_GREEN_TO_HANG = (0.97, 0.04)  # memory: purge out and salt in, a dry-cured piece of whole muscle


def estimate(value_g: float, pm_g: float) -> Estimate:
    """State a weight as an estimate.

    Parameters
    ----------
    value_g : the likely weight [g], above 0
    pm_g : how far off it may be [g], 0 or more and below the value; else raises ``Refused``

    Returns
    -------
    the estimate

    Source
    ------
    definition

    Example
    -------
    >>> estimate(1500, 40)
    Estimate(value_g=1500, pm_g=40)
    """
    _positive(value_g, "estimated weight")
    if not 0 <= pm_g < value_g:
        raise Refused("The ± of an estimate must lie between 0 and the estimate itself.")
    return Estimate(value_g, pm_g)


def hang_from_cured(cured_g: float) -> Estimate:
    """Guess an unknown hang weight from the cured weight.

    Parameters
    ----------
    cured_g : rinsed and patted dry [g], above 0; else raises ``Refused``

    Returns
    -------
    the estimate, ± 2 %

    Source
    ------
    memory, unverified

    Example
    -------
    >>> hang_from_cured(1000)
    Estimate(value_g=1000.0, pm_g=20.0)
    """
    share, pm = _CURED_TO_HANG
    return estimate(cured_g * share, cured_g * pm)


def hang_from_green(green_g: float) -> Estimate:
    """Guess an unknown hang weight from the green weight of a dry-cured piece.

    Parameters
    ----------
    green_g : raw, trimmed, before salt [g], above 0; else raises ``Refused``

    Returns
    -------
    the estimate, ± 4 % of green weight

    Source
    ------
    memory, unverified

    Example
    -------
    >>> hang_from_green(1000)
    Estimate(value_g=970.0, pm_g=40.0)
    """
    share, pm = _GREEN_TO_HANG
    return estimate(green_g * share, green_g * pm)


def base_from_loss(net_g: float, guess_pct: float, pm_pct: float) -> Estimate:
    """Guess an unknown base from a guessed loss.

    Parameters
    ----------
    net_g : weight now without tare [g], above 0
    guess_pct : how much it has lost so far [%], 0–90 (exclusive)
    pm_pct : how far off that may be [percentage points], 0 or more; outside raises ``Refused``

    Returns
    -------
    the estimate [g]

    Source
    ------
    base = net / (1 − loss), ± by first-order error propagation

    Example
    -------
    >>> base_from_loss(700, 30, 3)
    Estimate(value_g=1000.0, pm_g=42.857142857142854)
    """
    _positive(net_g, "weight")
    if not 0 <= guess_pct < MAX_TARGET_PCT:
        raise Refused("A guessed loss lies between 0 and 90 %.")
    base_g = 100 * net_g / (100 - guess_pct)
    return estimate(base_g, base_g * pm_pct / (100 - guess_pct))
