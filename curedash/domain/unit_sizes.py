"""How large the units are that people type: the kitchen's own table, and pint for the odd ones."""

from curedash.domain.errors import Doubtful, Refused
from curedash.domain.facts.units import (
    C_PER_F,
    F_FREEZING,
    G_PER_KG,
    G_PER_LB,
    G_PER_OZ,
    MM_PER_CM,
    MM_PER_IN,
)
from curedash.domain.typed_numbers import quoted

_WEIGHTS_G = (
    dict.fromkeys(("g", "gram", "grams", "gramme", "grammes"), 1.0)
    | dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"), G_PER_KG)
    | dict.fromkeys(("lb", "lbs", "pound", "pounds", "#"), G_PER_LB)
    | dict.fromkeys(("oz", "ozs", "ounce", "ounces"), G_PER_OZ)
)
_LENGTHS_MM = (
    dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres"), 1.0)
    | dict.fromkeys(("cm", "centimeter", "centimeters", "centimetre", "centimetres"), MM_PER_CM)
    | dict.fromkeys(("in", "inch", "inches", '"', "″", "”"), MM_PER_IN)
)
CELSIUS = ("c", "°c", "℃", "degc", "celsius", "deg c", "° c", "°")
FAHRENHEIT = ("f", "°f", "℉", "degf", "fahrenheit", "deg f", "° f")
NO_SPOONS = (
    "Spoons and cups measure room, not weight, and grains pack differently: "
    "weigh it and type grams."
)
SPOONS = frozenset(
    (
        *("tsp", "tsps", "tbsp", "tbsps", "tbs", "spoon", "spoons", "spoonful", "spoonfuls"),
        *("teaspoon", "teaspoons", "tablespoon", "tablespoons", "cup", "cups", "scoop", "scoops"),
        *("pinch", "pinches", "dash", "handful"),
    )
)


class Ambiguous(Doubtful):
    """A number that can be read in two ways; ``readings`` holds both, the likely one first."""

    def __init__(self, sentence: str, readings: tuple[float, ...]) -> None:
        super().__init__(sentence)
        self.readings = readings


_rare: dict[tuple[str, str], float] = {}


def _rare_unit(unit: str, into: str) -> float:
    """Size of a unit beyond the kitchen table, from pint, which is loaded only here."""
    key = (unit, into)
    if " " in unit:
        raise Refused(f"{quoted(unit)} is not a unit known here.")
    if key not in _rare:
        import pint

        registry = pint.application_registry
        try:
            _rare[key] = float(registry.Quantity(1.0, unit).to(into).magnitude)
        except Exception as error:  # pint raises many kinds for odd text; none may get out
            raise Refused(f"{quoted(unit)} is not a unit known here.") from error
    return _rare[key]


def grams_per(unit: str) -> float:
    """Grams in one of the unit; refuses what is not a weight."""
    word = unit.casefold()
    known = _WEIGHTS_G.get(word)
    if known is not None:
        return known
    if not SPOONS.isdisjoint(word.split()):
        raise Refused(NO_SPOONS)
    if word in ("gr", "grs"):
        raise Refused("“gr” can mean gram or grain: write g.")
    try:
        return _rare_unit(unit, "gram")
    except Refused:
        raise Refused(
            f"{quoted(unit)} is not a unit of weight; use g, kg, lb or oz, as in 1043 g."
        ) from None


def mm_per(unit: str) -> float:
    """Millimetres in one of the unit; refuses what is not a length."""
    known = _LENGTHS_MM.get(unit.casefold())
    if known is not None:
        return known
    try:
        return _rare_unit(unit, "millimeter")
    except Refused:
        raise Refused(
            f"{quoted(unit)} is not a unit of length; use mm, cm or in, as in 80 mm."
        ) from None


def f_to_c(temp_f: float) -> float:
    """Turn degrees Fahrenheit into degrees Celsius.

    Parameters
    ----------
    temp_f : temperature [°F], any finite value

    Returns
    -------
    temperature [°C]

    Source
    ------
    NIST Special Publication 811 (2008), Appendix B.8

    Example
    -------
    >>> f_to_c(41)
    5.0
    """
    return (temp_f - F_FREEZING) * C_PER_F
