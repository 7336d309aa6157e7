"""What a roast cost, as typed: for the whole, or for a weight."""

from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.typed.numbers import as_float
from curedash.domain.typed.unit_sizes import grams_per


@record
class Price:
    """What a roast cost: as a whole, or for so much of it."""

    amount: float
    currency: str | None
    per_g: float | None = None  # the price is for this weight [g]; None: for the whole
    per: str = ""  # that weight as it was typed: lb, 100 g

    def total(self, bought_g: float | None) -> float | None:
        """What the whole cost; None where the weight it takes is not known."""
        if self.per_g is None:
            return self.amount
        return None if bought_g is None else round(self.amount * bought_g / self.per_g + _DUST, 2)

    @property
    def each(self) -> str:
        """``a lb``, ``for 100 g``."""
        if self.per[:1] in _DIGITS:
            return f"for {self.per}"
        return f"{'an' if self.per[:1] in 'aeiou' else 'a'} {self.per}"


_DIGITS = "0123456789.,"
_DUST = 1e-9  # design value: half a cent is rounded up, whatever the binary fraction is
_HOW_PRICE = "A price is 38.20 EUR for the whole, or 8.50/lb, 17 EUR/kg, 2.20/100 g."


def price(text: str) -> Price:
    """Read a price and its currency, for the whole or for a weight.

    Parameters
    ----------
    text : ``38,20 EUR``, ``$8.50/lb``, ``2.20 EUR per 100 g``

    Returns
    -------
    the price; a text that is none raises ``Refused``

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> price("38,20 EUR").amount, price("$8.50 / lb").per, price("2.20 EUR per 100 g").per_g
    (38.2, 'lb', 100.0)
    """
    head, slash, tail = _per(text)
    amount, currency = _money(head)
    if not slash:
        return Price(amount, currency)
    words = tail.split()
    size = words.pop(0) if words else ""
    digits = size.rstrip("".join(ch for ch in size if ch not in _DIGITS))
    unit = size[len(digits) :] or (words.pop(0) if words else "")
    currency = currency or " ".join(words) or None
    number = 1.0 if not digits else _money(digits)[0]
    if not unit or number <= 0 or (words and currency != " ".join(words)):
        raise Refused(_HOW_PRICE)
    return Price(amount, currency, number * grams_per(unit), f"{digits} {unit}".strip())


def _per(text: str) -> tuple[str, str, str]:
    """A price cut at the word or sign that says what it is for."""
    for sign in ("/", " per ", " a ", " an "):
        head, found, _ = text.lower().partition(sign)
        if found:
            return text[: len(head)], found, text[len(head) + len(found) :]
    return text, "", ""


def _money(text: str) -> tuple[float, str | None]:
    """A number with its currency before or behind it."""
    at = [n for n, ch in enumerate(text) if ch in _DIGITS[:10]]
    if not at:
        raise Refused(_HOW_PRICE)
    number = text[at[0] : at[-1] + 1]
    before, behind = text[: at[0]].strip(), text[at[-1] + 1 :].strip(" .-–")
    currency = f"{before} {behind}".strip()
    try:
        amount = as_float(number)
    except ValueError:
        raise Refused(_HOW_PRICE) from None
    odd = before[:1] in tuple("-−–—") or number.strip(_DIGITS)
    if odd or not 0 <= amount < 1e6 or len(currency) > 10:
        raise Refused(_HOW_PRICE)
    return amount, currency or None
