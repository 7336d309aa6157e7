"""How one person sees quantities: grams or pounds and ounces, °C or °F, mm or inches.

Everything is kept in grams, °C and mm; JSON and CSV stay so under every view, and so do doses
(what is weighed in tenths of a gram has no place in ounces). The fronts choose the view once at
start with :func:`show_in`; whatever words a weight of meat, a temperature or a thickness asks here.
"""

from __future__ import annotations

from curedash.domain.facts.units import C_PER_F, F_FREEZING, G_PER_LB, G_PER_OZ, MM_PER_IN
from curedash.domain.quantity_text import Quantity, QuantityText
from curedash.present.numbers import MINUS, number, signed, weight

OZ_PER_LB = 16
REACHED_WITHIN_G = 1e-6  # what arithmetic leaves of nothing
MANY_LB = 100  # a round number of so many is said without its 0 oz
WEIGHTS = (("g", "grams"), ("lb", "pounds and ounces"))
TEMPERATURES = (("C", "°C"), ("F", "°F"))
LENGTHS = (("mm", "millimetres"), ("in", "inches"))

PAPERS = (("a4", "A4"), ("letter", "Letter, 8½ × 11 inches"))

_chosen = {"weights": "g", "temperatures": "C", "lengths": "mm", "paper": "a4"}


def show_in(
    weights: str = "g", temperatures: str = "C", lengths: str = "mm", paper: str = "a4"
) -> None:
    """Choose the view of this run: ``g`` or ``lb``, ``C`` or ``F``, ``mm`` or ``in``, paper."""
    _chosen.update(weights=weights, temperatures=temperatures, lengths=lengths, paper=paper)


def paper() -> str:
    """The paper a PDF is made for unless one is named: ``a4`` or ``letter``."""
    return _chosen["paper"]


def in_pounds() -> bool:
    """Whether weights of meat are shown in pounds and ounces."""
    return _chosen["weights"] == "lb"


def in_fahrenheit() -> bool:
    """Whether temperatures are shown in °F."""
    return _chosen["temperatures"] == "F"


def in_inches() -> bool:
    """Whether thicknesses are shown in inches."""
    return _chosen["lengths"] == "in"


# ── weights ───────────────────────────────────────────────────────────────────────────────


def pounds(grams: float) -> str:
    """Pounds and ounces as a kitchen scale shows them and as they can be typed.

    Example
    -------
    >>> pounds(1043), pounds(136), pounds(453.59237), pounds(-15), pounds(453.5)
    ('2 lb 4.8 oz', '4.8 oz', '1 lb 0 oz', '−0.5 oz', '1 lb 0 oz')
    """
    tenths = round(abs(grams) / G_PER_OZ * 10)
    lb, rest = divmod(tenths, OZ_PER_LB * 10)
    oz = f"{rest / 10:g} oz"
    sign = MINUS if grams < 0 and tenths else ""
    if lb >= MANY_LB and not rest:
        return f"{sign}{lb} lb"
    return sign + (f"{lb} lb {oz}" if lb else oz)


def mass(grams: float, *, whole: bool = False) -> str:
    """A weight of meat with its unit; ``whole`` leaves tenths of a gram out."""
    return pounds(grams) if in_pounds() else _grams(grams, whole) + " g"


def bare(grams: float, *, whole: bool = False) -> str:
    """The same where grams need no unit: ``1043`` or ``2 lb 4.8 oz``."""
    return pounds(grams) if in_pounds() else _grams(grams, whole)


def mass_range(low_g: float, high_g: float, *, whole: bool = False) -> str:
    """Two weights: ``948–1025 g`` or ``2 lb 1.4 oz to 2 lb 4.2 oz``."""
    return bare_range(low_g, high_g, whole=whole) + ("" if in_pounds() else " g")


def bare_range(low_g: float, high_g: float, *, whole: bool = False) -> str:
    """The same where grams need no unit; with pounds both ends stand whole."""
    if in_pounds():
        low, high = pounds(low_g), pounds(high_g)
        if low == high:
            return high
        return f"{low} to {high}" if " lb" in high else f"{low.removesuffix(' oz')}–{high}"
    return f"{bare(low_g, whole=whole)}–{bare(high_g, whole=whole)}"


def mass_change(grams: float) -> str:
    """A change that always shows its sign: ``−15 g`` or ``−0.5 oz``."""
    if not in_pounds():
        return signed(grams) + " g"
    text = pounds(grams)
    if text == "0 oz":
        return "±0 oz"
    return text if text.startswith(MINUS) else "+" + text


def to_write() -> str:
    """What stands behind a line to write a weight on: ``__ g`` or ``__ lb __ oz``."""
    return " lb ______ oz" if in_pounds() else " g"


def mass_short(grams: float, width: int) -> str:
    """A weight in a narrow column, in as few decimals as it takes: ``167 g``, ``5.9 oz``.

    Example
    -------
    >>> mass_short(167, 6), mass_short(-1167, 6)
    ('167 g', '−1167g')
    """
    for text in _shorter(grams):
        if len(text) <= width:
            return text
    return text


def left_short(grams: float, width: int) -> str:
    """What is left to a weight in a narrow column, never a zero: ``167 g``, ``0.1 oz``.

    Example
    -------
    >>> left_short(167.4, 7), left_short(0.2, 7), left_short(11671, 6)
    ('167 g', '1 g', '11671g')
    """
    return mass_short(max(_step_g(), grams), width)


def to_go(grams: float) -> str:
    """How far a weight is from its target: the one wording.

    Parameters
    ----------
    grams : over the heavier end of the target; 0 or less once it is reached

    Example
    -------
    >>> to_go(167), to_go(0.2), to_go(0), to_go(-108)
    ('167 g to go', '1 g to go', 'reached', '108 g past')
    """
    steps = round(abs(grams) / _step_g())
    if grams > REACHED_WITHIN_G:
        return f"{mass(max(1, steps) * _step_g(), whole=True)} to go"
    return f"{mass(steps * _step_g(), whole=True)} past" if steps else "reached"


def _step_g() -> float:
    """The step in which what is to go is said [g]."""
    return G_PER_OZ / 10 if in_pounds() else 1.0


def kilos(grams: float) -> str:
    """A large weight: ``3.2 kg`` or ``7.1 lb``."""
    if in_pounds():
        return f"{number(grams / G_PER_LB, 1)} lb"
    return f"{number(grams / 1000, 1)} kg"


def cost_unit() -> str:
    """The weight a price is told for: ``kg`` or ``lb``."""
    return "lb" if in_pounds() else "kg"


def cost(cost_per_kg: float, currency: str | None) -> str:
    """A price of one kilogram or one pound: ``17.33 EUR``.

    Example
    -------
    >>> cost(17.333, "EUR"), cost(17.333, None)
    ('17.33 EUR', '17.33')
    """
    amount = cost_per_kg * G_PER_LB / 1000 if in_pounds() else cost_per_kg
    return money(amount, currency)


def money(amount: float, currency: str | None) -> str:
    """An amount with its currency; a lone sign stands before it: ``38.20 EUR``, ``$38.20``."""
    if currency and len(currency) == 1 and not currency.isalpha():
        return f"{currency}{amount:.2f}"
    return f"{amount:.2f} {currency or ''}".strip()


def roast_without_cost(
    price: float, currency: str | None, green_g: float | None
) -> tuple[str, str]:
    """What the roast of a lot cost, and why nobody can tell the lot's own share of it.

    Example
    -------
    >>> roast_without_cost(60, "EUR", None)
    ('60.00 EUR for the roast', 'no green weight: no cost a kg')
    """
    missing = "no green weight" if green_g is None else "a piece without green weight"
    return f"{money(price, currency)} for the roast", f"{missing}: no cost a {cost_unit()}"


def by_weight(in_grams: str, in_lb: str) -> str:
    """An example of a weight, in the words for the units shown."""
    return in_lb if in_pounds() else in_grams


def by_temperature(celsius: str, fahrenheit: str) -> str:
    """The same of a temperature."""
    return fahrenheit if in_fahrenheit() else celsius


def band_example() -> str:
    """A place's band as it can be typed."""
    return by_temperature("2..5C 70..80%", "36..41F 70..80%")


def outage_example() -> str:
    """When a place was off, and how warm it got, as it can be typed."""
    return f"yesterday 22:00 to 07:30 {by_temperature('11C', '52F')}"


def scale_example() -> str:
    """A scale with its division and its maximum, as it can be typed."""
    return by_weight("kitchen 1 g 5 kg", "kitchen 0.1 oz 11 lb")


def thickness_example() -> str:
    """A thickness as it can be typed."""
    return "2.5in" if in_inches() else "65mm"


def tare_example() -> str:
    """What hangs with the meat, as it can be typed."""
    return by_weight("28 hook and net", "1 oz hook and net")


def several_scales_example() -> str:
    """Two scales as they can be typed in one line."""
    return by_weight("0.1/200, 1/5000", "0.01oz/7oz, 0.1oz/11lb")


def estimate_example(near_g: float | None = None) -> str:
    """A weight that was guessed, as it can be typed; near what the piece weighed, if that is known.

    Example
    -------
    >>> estimate_example(), estimate_example(990.0)
    ('1500 ±40', '950 ±40')
    """
    if near_g is None:
        return by_weight("1500 ±40", "3 lb 5 oz ±1.5 oz")
    hung_g = max(10.0, 10.0 * round(0.096 * near_g))  # about what it hangs with, round
    pm_g = max(5.0, 10.0 * round(0.004 * hung_g))
    return by_weight(f"{hung_g:.0f} ±{pm_g:.0f}", f"{mass(hung_g, whole=True)} ±1.5 oz")


def typed_weight(text: str, last_g: float | None = None) -> str:
    """One weight as typed on a screen: in pounds ``2 4.6`` and a bare number get their units."""
    if not in_pounds():
        return text
    from curedash.domain.typed.pounds import one_in_pounds

    return one_in_pounds(text, last_g)


def typed_weights(text: str, total_g: float | None = None) -> str:
    """The same for a list of weights, or one divided."""
    if not in_pounds():
        return text
    from curedash.domain.typed.pounds import many_in_pounds

    return many_in_pounds(text, total_g)


def _grams(grams: float, whole: bool) -> str:
    return number(grams) if whole else weight(grams)


def _shorter(grams: float) -> list[str]:
    """Wordings from the longest to the shortest."""
    if not in_pounds():
        return [f"{number(grams)} g", f"{number(grams)}g"]
    size, unit = (G_PER_OZ, "oz") if abs(grams) < G_PER_LB else (G_PER_LB, "lb")
    fine, coarse = number(grams / size, 1), number(grams / size)
    return [f"{fine} {unit}", f"{fine}{unit}", f"{coarse} {unit}", f"{coarse}{unit}"]


# ── temperatures ──────────────────────────────────────────────────────────────────────────


def temp_unit() -> str:
    """``°C`` or ``°F``."""
    return "°F" if in_fahrenheit() else "°C"


def temp_letter() -> str:
    """The unit of a bare number typed on a screen: ``C`` or ``F``."""
    return "F" if in_fahrenheit() else "C"


def degrees(temp_c: float) -> float:
    """A temperature [°C] in the degrees shown."""
    return temp_c / C_PER_F + F_FREEZING if in_fahrenheit() else temp_c


def temp(temp_c: float, decimals: int = 1) -> str:
    """A temperature with its unit: ``3.5 °C`` or ``38.3 °F``."""
    return f"{number(degrees(temp_c), decimals)} {temp_unit()}"


def temp_tidy(temp_c: float) -> str:
    """A temperature without needless decimals: ``5 °C`` or ``41 °F``."""
    return f"{_tidy(degrees(temp_c))} {temp_unit()}"


def temp_range(low_c: float, high_c: float) -> str:
    """A band: ``2–5 °C`` or ``35.6–41 °F``."""
    return f"{_tidy(degrees(low_c))}–{_tidy(degrees(high_c))} {temp_unit()}"


def temp_difference(kelvins: float) -> str:
    """A difference of temperatures: 0.5 °C are 0.9 °F."""
    return f"{_tidy(kelvins / C_PER_F if in_fahrenheit() else kelvins)} {temp_unit()}"


def _tidy(value: float) -> str:
    return f"{round(value, 1) + 0.0:g}".replace("-", MINUS)


# ── lengths ───────────────────────────────────────────────────────────────────────────────


def length_unit() -> str:
    """``mm`` or ``in``: shown, and the unit of a bare number typed on a screen."""
    return "in" if in_inches() else "mm"


def length(length_mm: float) -> str:
    """A thickness with its unit: ``82 mm`` or ``3.23 in``.

    Example
    -------
    >>> length(82), length(76.2)
    ('82 mm', '76.2 mm')
    """
    return f"{bare_length(length_mm)} {length_unit()}"


def bare_length(length_mm: float) -> str:
    """The same without its unit; inches to a hundredth, a quarter of a millimetre."""
    return number_tidy(length_mm / MM_PER_IN, 2) if in_inches() else number_tidy(length_mm, 1)


def number_tidy(value: float, decimals: int) -> str:
    """A number with up to so many decimals: ``3.5``, ``3``."""
    text = number(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


# ── sentences from below ──────────────────────────────────────────────────────────────────


def retold(sentence: str) -> str:
    """A sentence that knows its quantities, in the units shown; any other text as it is.

    Example
    -------
    >>> from curedash.domain.quantity_text import celsius, phrase
    >>> mean, limit = celsius(8.2), celsius(5, "5")
    >>> said = phrase("mean of 24 h is {mean}, over {limit}", mean=mean, limit=limit)
    >>> retold(said)
    'mean of 24 h is 8.2 °C, over 5'
    """
    return sentence.worded(_worded) if isinstance(sentence, QuantityText) else sentence


def _worded(part: Quantity) -> str:
    """A quantity in the units shown, with its unit where its own text has one."""
    if part.kind == "g":
        return pounds(part.value) if in_pounds() else part.text
    if part.kind == "mm":
        shown = length if part.text.endswith("mm") else bare_length
        return shown(part.value) if in_inches() else part.text
    if not in_fahrenheit():
        return part.text
    value = part.value / C_PER_F if part.kind == "K" else degrees(part.value)
    return _tidy(value) + (" °F" if part.text.endswith("°C") else "")
