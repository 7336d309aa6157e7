"""What a roast cost, in words and as a document."""

from typing import Any

from curedash.domain.wording import facts, listed
from curedash.present.display_units import cost, cost_unit, money
from curedash.present.numbers import rounded
from curedash.present.words import plain
from curedash.services.household.roast_price import Priced
from curedash.store.batches import Roast


def price_words(roast: Roast) -> str:
    """``38.20 EUR``, or that nobody said."""
    if roast.price is None:
        return "no price given"
    return money(roast.price, plain(roast.currency or ""))


def priced_line(code: str, done: Priced) -> str:
    """``Silverside (A1 and A2) cost 38.20 EUR; A1: 51.20 EUR a kg finished``."""
    roast = done.roast
    said = f"{plain(roast.name)} ({listed(done.pieces)}) cost {price_words(roast)}"
    if done.cost_per_kg is None:
        return said
    each = cost(done.cost_per_kg, plain(roast.currency or ""))
    return facts(said, f"{code}: {each} a {cost_unit()} finished")


def roast_document(code: str, roast: Roast | None, cost_per_kg: float | None) -> dict[str, Any]:
    """The price of the roast of a lot; without a roast nothing of it is known."""
    return {
        "lot": code,
        "roast": None if roast is None else roast.name,
        "price": None if roast is None else rounded(roast.price, 2),
        "currency": None if roast is None else roast.currency,
        "bought_g": None if roast is None else rounded(roast.bought_g),
        "cost_per_kg": rounded(cost_per_kg, 2),
    }
