"""What an instrument shows, as typed: a pH, or what is added to what a sensor sends."""

from curedash.domain.curing.degree_hours import ph_reached
from curedash.domain.errors import Refused
from curedash.domain.facts.units import C_PER_F
from curedash.domain.typed.numbers import as_float


def parse_ph(text: str) -> float:
    """Read a pH: ``5.2``, ``5,2`` or ``pH 5.2``.

    Raises
    ------
    Refused: no number, or none that is a pH

    Example
    -------
    >>> parse_ph("pH 5,2")
    5.2
    """
    bare = text.strip().casefold().removeprefix("ph")
    try:
        ph = as_float(bare)
    except ValueError:
        raise Refused(f"A pH is a number, e.g. 5.2; “{text.strip()[:20]}” is not a pH.") from None
    ph_reached(ph)  # refuses what is not a pH
    return ph


def parse_points(text: str) -> float:
    """Read a number that is added: ``-0.4``, ``+2%``, ``−0,4``.

    Raises
    ------
    Refused: no number

    Example
    -------
    >>> parse_points("+2 %"), parse_points("−0,4")
    (2.0, -0.4)
    """
    bare = text.strip().removesuffix("%")
    try:
        return as_float(bare)
    except ValueError:
        raise Refused(f"“{text.strip()[:20]}” is not a difference; an example is -0.4.") from None


def parse_difference_c(text: str, *, default_unit: str = "C") -> float:
    """Read a difference of temperatures [°C]: 0.9 °F are 0.5 °C.

    Parameters
    ----------
    default_unit : ``C`` or ``F``, of a number without one

    Raises
    ------
    Refused: no number

    Example
    -------
    >>> parse_difference_c("-0.9F"), parse_difference_c("0.9", default_unit="F")
    (-0.5, 0.5)
    """
    word = text.strip().replace("°", "").rstrip()
    unit = word[-1:].upper()
    named = unit in ("C", "F")
    value = parse_points(word[:-1] if named else word)
    return value * C_PER_F if (unit if named else default_unit) == "F" else value
