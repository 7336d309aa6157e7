"""What a line of a sheet of pieces says of the roast: shop, price, weight as bought, its days."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, tzinfo

from curedash.domain.errors import Refused
from curedash.domain.typed.dates import parse_near_day
from curedash.domain.typed.prices import price
from curedash.domain.typed.weights import parse_weight_g
from curedash.services.dosing.add_batch import SourceSpec, short_name

#: what a heading may be called, and the column it names
ROAST_COLUMNS = {
    "shop": "shop",
    "price": "price",
    "bought": "bought",
    "weight as bought": "bought",
    "packed": "packed",
    "packed on": "packed",
    "pack date": "packed",
    "use-by": "use-by",
    "use by": "use-by",
    "use-by day": "use-by",
    "use-by date": "use-by",
}
#: what one roast has once, and what it is called
_ONCE = {
    "shop": "shop",
    "price": "price",
    "bought_g": "weight as bought",
    "pack_date": "pack date",
    "use_by": "use-by date",
}


def read_roast(
    cells: Mapping[str, str], batch: str, now: datetime, zone: tzinfo
) -> SourceSpec | None:
    """The roast of a line; None where the line says nothing of one.

    Parameters
    ----------
    batch : what a roast without a name is called

    Raises
    ------
    Refused: a cell that cannot be read, a price for a weight without the weight
    """
    name = short_name(cells.get("roast", ""))
    if not name and not any(cells.get(column) for column in set(ROAST_COLUMNS.values())):
        return None
    bought_g = _grams(cells.get("bought", ""))
    asked = price(cells["price"]) if cells.get("price") else None
    cost = None if asked is None else asked.total(bought_g)
    if asked is not None and cost is None:
        raise Refused(f"A price {asked.each} needs the weight in the column bought.")
    return SourceSpec(
        name or batch,
        shop=short_name(cells.get("shop", "")) or None,
        pack_date=_day(cells.get("packed", ""), now, zone),
        price=cost,
        currency=None if asked is None else asked.currency,
        bought_g=bought_g,
        use_by=_day(cells.get("use-by", ""), now, zone),
    )


def filled(known: SourceSpec, line: SourceSpec) -> SourceSpec:
    """What is known of a roast, with what a line below adds."""
    more = {fact: getattr(line, fact) for fact in _ONCE if getattr(known, fact) is None}
    currency = known.currency or line.currency
    return replace(known, currency=currency, **more)


def differs(known: SourceSpec, line: SourceSpec) -> str | None:
    """What a line says otherwise than the lines above it."""
    for fact, words in _ONCE.items():
        before, now = getattr(known, fact), getattr(line, fact)
        if None not in (before, now) and before != now:
            return f"{known.name} has one {words}: {before} above, {now} here."
    return None


def _grams(text: str) -> float | None:
    return parse_weight_g(text, marks_are_decimal=True) if text else None


def _day(text: str, now: datetime, zone: tzinfo) -> str | None:
    return parse_near_day(text, now, zone).isoformat() if text else None
