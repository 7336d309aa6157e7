"""A weight that may be unknown or estimated, in words: green weights and final ones."""

from curedash.domain.records import LotState
from curedash.present.display_units import mass
from curedash.present.words import ABOUT

UNKNOWN = "unknown"


def green_words(lot: LotState) -> str:
    """What a lot weighed before the salt: ``1134 g``, ``≈575 g ±60 g``, ``unknown``."""
    green_g = lot.green_now_g
    if green_g is None:
        return UNKNOWN
    if lot.green_pm_g is None:
        return mass(round(green_g, 1))
    pm_g = lot.green_pm_g * lot.green_factor
    return f"{ABOUT}{mass(round(green_g))} ±{mass(round(pm_g))}"


def green_phrase(lot: LotState) -> str:
    """The same inside a line: ``1134 g green``, ``green weight unknown``."""
    words = green_words(lot)
    return f"green weight {UNKNOWN}" if words == UNKNOWN else f"{words} green"


def final_words(final_g: float | None, net: str = "") -> str:
    """What a lot weighed at its end: ``1043 g``, ``not weighed``."""
    return "not weighed" if final_g is None else mass(final_g) + net
