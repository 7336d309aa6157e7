"""Weights, tares, bases and losses, and what happens to them when a piece is cut or re-dressed.

Net weights are meat only; gross weights are what the scale shows. Everything is in grams.
"""

from curedash.domain.errors import Refused
from curedash.domain.quantity_text import grams

_KERF_SHARE = 0.01  # design value: parts weighed one by one may add up to 1 % more than the whole
_LEAK_PCT = 1.0  # design value: a sealed bag that lost more than this was not tight
#: design value: a kitchen scale is often off by two divisions, and it was used twice
_LEAK_STEPS = 4.0


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
            "The scale shows {gross} but {tare} of that is tare: correct the tare or weigh"
            " without it.",
            gross=grams(gross_g),
            tare=grams(tare_g),
        )
    return gross_g - tare_g


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
            "That takes off {off}, more than the tare of {tare}. If meat came off too,"
            " record it as meat removed.",
            off=grams(before_g - after_g),
            tare=grams(tare_g),
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
            "The parts weigh {parts} together, the whole {whole}: weigh the whole and the"
            " parts again.",
            parts=grams(sum(parts_g)),
            whole=grams(now_g),
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
