"""How large the units are that people type: the kitchen's own table, and pint for the odd ones."""

from curedash.domain.errors import Refused, Unclear
from curedash.domain.facts import units as facts
from curedash.domain.typed.numbers import quoted

_WEIGHTS_G = (
    dict.fromkeys(("g", "gram", "grams", "gramme", "grammes"), 1.0)
    | dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"), facts.G_PER_KG)
    | dict.fromkeys(("lb", "lbs", "pound", "pounds", "#"), facts.G_PER_LB)
    | dict.fromkeys(("oz", "ozs", "ounce", "ounces"), facts.G_PER_OZ)
)
_LENGTHS_MM = (
    dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres"), 1.0)
    | dict.fromkeys(
        ("cm", "centimeter", "centimeters", "centimetre", "centimetres"), facts.MM_PER_CM
    )
    | dict.fromkeys(("in", "inch", "inches", '"', "″", "”"), facts.MM_PER_IN)
)
CELSIUS = ("c", "°c", "℃", "degc", "celsius", "deg c", "° c", "°")
FAHRENHEIT = ("f", "°f", "℉", "degf", "fahrenheit", "deg f", "° f")
NO_SPOONS = "Spoons and cups measure volume, and salts differ in grain: weigh it and type grams."
SPOONS = frozenset(
    (
        *("tsp", "tsps", "tbsp", "tbsps", "tbs", "spoon", "spoons", "spoonful", "spoonfuls"),
        *("teaspoon", "teaspoons", "tablespoon", "tablespoons", "cup", "cups", "scoop", "scoops"),
        *("pinch", "pinches", "dash", "handful"),
    )
)


class Ambiguous(Unclear):
    """A number that can be read in two ways; ``readings`` holds both, the likely one first.

    ``typed`` is how the likely one would be typed without a doubt, empty where nobody says so.
    """

    def __init__(self, sentence: str, readings: tuple[float, ...], typed: str = "") -> None:
        super().__init__(sentence)
        self.readings = readings
        self.typed = typed


# Units a kitchen scale or an old recipe may have beside the table. The library behind them knows
# an atomic mass and a femtogram too: a slip of the finger must not become one.
_RARE_WEIGHTS = frozenset(
    (
        *("mg", "milligram", "milligrams", "dag", "dkg", "decagram", "decagrams", "dekagram"),
        *("dekagrams", "t", "tonne", "tonnes", "stone", "grain", "grains", "dr", "dram", "drams"),
        *("carat", "carats"),
    )
)
_RARE_LENGTHS = frozenset(
    ("m", "meter", "meters", "metre", "metres", "dm", "ft", "foot", "feet", "decimeter")
)
_IN_PINT = {"dkg": "dag"}  # as shops in Vienna write it
_rare: dict[tuple[str, str], float] = {}


def _rare_unit(unit: str, into: str) -> float:
    """Size of a unit beyond the kitchen table, from pint, which is loaded only here."""
    key = (unit, into)
    if key not in _rare:
        import pint

        registry = pint.application_registry
        _rare[key] = float(registry.Quantity(1.0, _IN_PINT.get(unit, unit)).to(into).magnitude)
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
    if word in _RARE_WEIGHTS and unit != "T":  # a T is a tablespoon in recipes
        return _rare_unit(word, "gram")
    raise Refused(f"{quoted(unit)} is not a unit of weight; use g, kg, lb or oz, as in 1043 g.")


def mm_per(unit: str) -> float:
    """Millimetres in one of the unit; refuses what is not a length."""
    word = unit.casefold()
    known = _LENGTHS_MM.get(word)
    if known is not None:
        return known
    if word in _RARE_LENGTHS:
        return _rare_unit(word, "millimeter")
    raise Refused(f"{quoted(unit)} is not a unit of length; use mm, cm or in, as in 80 mm.")


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
    return (temp_f - facts.F_FREEZING) * facts.C_PER_F
