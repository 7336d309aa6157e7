"""What one field of a new batch says: each function reads one text, or refuses it in a sentence."""

import re
from collections.abc import Sequence

from curedash.domain.dosing import Scale
from curedash.domain.dosing.salts import not_a_spice
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.typed import units as typed_units
from curedash.domain.typed.bands import typed_place
from curedash.domain.typed.numbers import as_float, tidy
from curedash.domain.typed.prices import Price
from curedash.domain.typed.weights import parse_weight_g, parse_weights_g
from curedash.domain.typed.words import on_one_line
from curedash.present import display_units as units
from curedash.present.household.settings import as_typed
from curedash.services.dosing.add_batch import MAX_NAME
from curedash.services.places.places import NewPlace

MOST_COUNT = 1000


def one_name(text: str) -> str:
    """One line of words, of a length the screens can show."""
    clean = on_one_line(text)
    if not clean:
        raise Refused("A batch needs a name, e.g. Beef eye.")
    if len(clean) > MAX_NAME:
        raise Refused(f"At most {MAX_NAME} characters; this one has {len(clean)}.")
    return clean


def loss_range(text: str) -> tuple[float, float]:
    """The loss a lot is pulled at [%]: ``35–40``, or one number for both ends."""
    try:
        low, high = typed_units.parse_pct_range(text)
    except Refused:
        low = high = typed_units.parse_pct(text)
    if not 0 < low <= high < 80:
        raise Refused("Give the loss from low to high, between 0 and 80 %, e.g. 35–40.")
    return low, high


def thicknesses_mm(text: str) -> list[float]:
    """One thickness for all pieces, or one each in their order."""
    try:
        return [thickness_mm(text)]
    except CuredashError as whole:
        words = text.replace(";", " ").split()
        unit = words.pop() if words and words[-1].isalpha() else ""
        if len(words) < 2 or not all(word[:1].isdigit() for word in words):
            raise whole
        return [thickness_mm(word if word[-1:].isalpha() else f"{word} {unit}") for word in words]


def thickness_mm(text: str) -> float:
    """One thickness; a bare number is in the unit that is shown."""
    return typed_units.parse_length_mm(text, default_unit=units.length_unit())


def weight_g(text: str) -> float:
    """One weight of meat [g]; in pounds ``2 4.6`` are pounds and ounces."""
    return parse_weight_g(units.typed_weight(text))


def weights_g(text: str) -> list[float]:
    """The weights of several pieces [g]."""
    return parse_weights_g(units.typed_weights(text))


def typed_new_place(text: str) -> NewPlace:
    """A place by its name, and behind it the band it keeps: ``Warm box 20-24C``.

    Raises
    ------
    Refused: no name, or one end of a band
    """
    name, temp_c, rh_pct = typed_place(text, default_unit=units.temp_letter())
    return NewPlace(one_name(name), temp_c, rh_pct)


def bags(text: str, pieces: int) -> tuple[tuple[int, ...], ...]:
    """Pieces salted in one bag, by their numbers from 0: ``1+2 3+4``, or ``all``.

    Example
    -------
    >>> bags("1+2, 3 + 4", 5), bags("all", 3)
    (((0, 1), (2, 3)), ((0, 1, 2),))
    """
    if text.strip().casefold() == "all":
        return (tuple(range(pieces)),)
    found: list[tuple[int, ...]] = []
    for word in text.replace(",", " ").replace(" +", "+").replace("+ ", "+").split():
        numbers = word.split("+")
        if len(numbers) < 2 or not all(n.isascii() and n.isdecimal() for n in numbers):
            raise Refused("Numbers of the pieces in one bag, joined by +: 1+2, or 1+2 3+4, or all.")
        found.append(tuple(int(n[:6]) - 1 for n in numbers))
    every = [n for bag in found for n in bag]
    if len(set(every)) < len(every):
        raise Refused("A piece lies in one bag only; name it once.")
    if not all(0 <= n < pieces for n in every):
        raise Refused(f"The pieces are numbered 1 to {pieces}.")
    return tuple(found)


def pieces_together(text: str) -> int:
    """How many small pieces weigh so much together."""
    if not (text.isascii() and text.isdecimal() and 1 <= int(text[:6]) <= MOST_COUNT):
        raise Refused(
            f"How many pieces weigh that together? Give a whole number, 1 to {MOST_COUNT}."
        )
    return int(text)


def price_echo(asked: Price, bought_g: float | None) -> str:
    """How a price for a weight was understood: ``8.50 a lb × 3 lb 4 oz = 27.63``."""
    total = asked.total(bought_g)
    if asked.per_g is None or total is None or bought_g is None:
        return ""
    each, cost = (units.money(sum_, asked.currency) for sum_ in (asked.amount, total))
    return f"{each} {asked.each} × {units.mass(bought_g)} = {cost}"


def amount(text: str) -> dict[str, float | None]:
    """A percentage of curing salt, or the wanted nitrite or nitrate."""
    bare = text.casefold().replace("ppm", "mg/kg")
    if "mg/kg" not in bare:
        return {"cure_pct": typed_units.parse_pct(text)}
    number, _, agent = bare.partition("mg/kg")
    agent = agent.strip(" .") or "nitrite"
    try:
        value = as_float(number)
    except ValueError:
        raise Refused("Type the wanted nitrite like 120 mg/kg, or a percentage.") from None
    if agent not in ("nitrite", "nitrate") or not 0 <= value < 1e5:
        raise Refused("Give the nitrite or nitrate you want, e.g. 120 mg/kg or 100 mg/kg nitrate.")
    return {f"wanted_{agent}_mg_per_kg": value}


def whole_days(text: str) -> float:
    """A whole number of days."""
    bare = text.casefold().removesuffix("days").removesuffix("d").strip()
    if not (bare.isascii() and bare.isdecimal() and int(bare[:6]) <= 3650):
        raise Refused("Give a whole number of days, up to 3650, e.g. 60.")
    return float(bare)


def pack_g(text: str) -> tuple[float, float]:
    """``145 g for 5 lb``: the weight of a pack and the meat it is for [g]."""
    pack, word, meat = text.partition("for")
    if not word:
        pack, word, meat = text.partition("/")
    if not word:
        raise Refused("Type a pack like 145 g for 5 lb: its weight and how much meat it is for.")
    return (
        parse_weight_g(pack, marks_are_decimal=True),
        parse_weight_g(meat, marks_are_decimal=True),
    )


def scales(text: str) -> tuple[Scale, ...]:
    """``0.1``, or several with their maximum: ``0.01/200, 1/5000``."""
    found = []
    for part in text.replace(";", ", ").split(", "):
        division, slash, most = part.partition("/")
        most_g = parse_weight_g(most, marks_are_decimal=True) if slash else None
        found.append(Scale(parse_weight_g(division, marks_are_decimal=True), most_g))
    return tuple(found)


def spices(text: str) -> tuple[tuple[str, float], ...]:
    """``black pepper 0.4, juniper 0.2``; a comma between digits is a decimal mark."""
    for part in re.split(r"[,;]\s+|(?<=[\d%])\s+(?=[^\d\s%])", text):
        not_a_spice(part)
    found: list[tuple[str, float]] = []
    name, at = "", 0
    while at < len(text):
        if not text[at].isdecimal():
            name += text[at]
            at += 1
            continue
        end = at + 1
        while end < len(text) and (
            text[end].isdecimal() or (text[end] in ".," and text[end + 1 : end + 2].isdecimal())
        ):
            end += 1
        clean = " ".join(name.replace("%", " ").strip(" ,;:=").split())
        if not clean:
            raise Refused(
                "Type a spice as its name, then its percent: black pepper 0.4, juniper 0.2."
            )
        found.append((clean, typed_units.parse_pct(text[at:end])))
        name, at = "", end
    if name.strip(" %,;"):
        raise Refused(f"How much {name.strip(' %,;')[:30]}? Give percent: black pepper 0.4.")
    return tuple(found)


def number_of_packs(text: str) -> float:
    """How many packs go on all pieces together."""
    try:
        packs = as_float(text)
    except ValueError:
        raise Refused("How many packs? Give a number such as 1, 2 or 0.5.") from None
    if not 0 < packs <= 1000:
        raise Refused("How many packs? Give a number above 0, up to 1000.")
    return packs


def whole_weight(text: str) -> str:
    """A weight as it was typed, in pounds as it was understood: ``2 8`` is 2 lb 8 oz."""
    try:
        return weight_text(weight_g(text)) if units.in_pounds() and text.strip() else text
    except CuredashError:
        return text


def weight_text(grams: float) -> str:
    """A weight as one would type it, exactly: in pounds where those say it to 0.1 oz."""
    if not units.in_pounds():
        return text_of(round(grams, 6))
    shown = units.pounds(grams)
    return shown if abs(parse_weight_g(shown) - grams) < 0.01 else f"{tidy(grams)} g"


def text_of(value: float) -> str:
    """A number as one would type it."""
    return tidy(value)


def scales_words(text: str) -> str:
    """What was typed of scales in words, as far as it is bare numbers.

    Example
    -------
    >>> scales_words("0.01/200, 1/5000"), scales_words("0.1"), scales_words("0.1 oz")
    ('0.01 g to 200 g, 1 g to 5000 g', '0.1', '0.1 oz')
    """
    found = []
    for each in text.split(","):
        step, slash, most = (part.strip() for part in each.partition("/"))
        bare = (step + most).replace(".", "").isdecimal()
        found.append(f"{step} g to {most} g" if slash and most and bare else each.strip())
    return ", ".join(found)


def scales_text(scales: Sequence[Scale]) -> str:
    """Scales as one would type them: bare grams, each with its unit where one is in ounces.

    Example
    -------
    >>> scales_text([Scale(0.01, 200.0), Scale(1.0)])
    '0.01/200, 1'
    >>> scales_text([Scale(0.1), Scale(2.834952313, 4989.51607)])
    '0.1 g, 0.1 oz/11 lb'
    """
    sizes = [[g for g in (one.division_g, one.max_g) if g is not None] for one in scales]
    texts = [[as_typed(g) for g in pair] for pair in sizes]
    if all(text.endswith(" g") for pair in texts for text in pair):
        texts = [[text_of(g) for g in pair] for pair in sizes]
    return ", ".join("/".join(pair) for pair in texts)
