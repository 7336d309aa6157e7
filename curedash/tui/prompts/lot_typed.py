"""What is typed about one lot, read: weights as the scale shows them, words, or nothing."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.records import LotState
from curedash.domain.typed.weight_and_day import weight_and_day
from curedash.domain.typed.weights import parse_weight_g, parse_weights_g
from curedash.domain.weighing.doubts import Doubt
from curedash.present.display_units import bare, in_pounds, mass, typed_weight, typed_weights
from curedash.present.words import plain

NO_DAY = "Only a weigh-in and a move take a day behind the weight; type the weight alone here."
ANY_DAY = datetime(2200, 1, 1, tzinfo=UTC)  # later than every day that is typed


def grams_of(lot: LotState, text: str) -> float:
    """A weight as the scale shows it; the lot's last weight settles what is ambiguous."""
    last_g = lot.last_gross_g or lot.green_g
    try:
        return parse_weight_g(typed_weight(text, last_g), last_g=last_g)
    except Refused:
        if _has_day(text):
            raise Refused(NO_DAY) from None
        raise


def _has_day(text: str) -> bool:
    """Whether a day is typed behind a weight, on whatever day that is."""

    def is_weight(head: str) -> bool:
        return head.replace(".", "").replace(",", "").rstrip(" g").isdecimal()

    try:
        return weight_and_day(text, is_weight, ANY_DAY, UTC)[1] is not None
    except CuredashError:
        return False


def grams_or_none(lot: LotState) -> Callable[[str], float | None]:
    """The same, where Enter alone leaves it out."""
    return lambda text: grams_of(lot, text) if text.strip() else None


def estimate_of(lot: LotState, text: str) -> tuple[float, float | None]:
    """A weight as the scale shows it, or a guess with its ±, which is in the same unit."""
    number, _, spread = text.replace("+-", "±").replace("+/-", "±").partition("±")
    last_g = lot.last_gross_g or lot.green_g
    said = typed_weight(words(number), last_g)
    if spread.strip() and in_pounds() and not any(char.isalpha() for char in spread):
        spread += " g" if said.endswith("g") else " oz"
    return (parse_weight_g(said, last_g=last_g), parse_weight_g(spread) if spread.strip() else None)


def words(text: str) -> str:
    """Some words, at least one."""
    if not text.strip():
        raise Refused("Type a few words, or press Esc.")
    return text.strip()


def words_or_none(text: str) -> str | None:
    """Some words, or Enter alone for none."""
    return text.strip() or None


def net_echo(lot: LotState) -> Callable[[Any], str]:
    """Echo a weight on the scale as what it leaves net of the lot's tare."""
    tare, what = lot.tare_g, plain(lot.tare_what or "tare")

    def echo(grams: Any) -> str:
        if grams is None:
            return ""
        if not tare:
            return f"{mass(grams)} net"
        return f"{mass(grams - tare)} net ({bare(grams)} − {bare(tare)} {what})"

    return echo


def weights_in(text: str, total_g: float | None = None) -> tuple[float, ...]:
    """Several weights, of a known sum or not; none for Enter alone."""
    return tuple(parse_weights_g(typed_weights(text, total_g))) if text.strip() else ()


def question_of(doubt: Doubt | None) -> str | None:
    """The question alone, where its likely fix is one of a weight that is not asked for now."""
    return None if doubt is None else doubt.question


def example(*grams: float) -> str:
    """Weights as they could be typed in the units shown: ``400 280``."""
    return f"e.g. {' '.join(map(bare, grams))}"


def sum_words(grams: Any) -> str:
    """``400 g + 280 g = 680 g``; one weight is its own sum."""
    if len(grams) == 1:
        return mass(grams[0])
    return " + ".join(f"{mass(g)}" for g in grams) + f" = {mass(sum(grams))}"


def last_words(lot: LotState, before: str = "") -> str:
    """The last weight on the scale, in brackets."""
    return "" if lot.last_gross_g is None else f" ({before}{mass(lot.last_gross_g)})"
