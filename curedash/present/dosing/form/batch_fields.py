"""The fields of a new batch, each as one record, in groups and in order.

Every value is text as typed. The value of a field that nobody touched is in
:mod:`curedash.present.dosing.form.batch_follows`; how they are laid out is in ``batch_layout``.
"""

from collections.abc import Callable
from datetime import datetime, tzinfo
from difflib import get_close_matches

from curedash.domain.curing.cure_time import rules_for
from curedash.domain.curing.stages import GROUND, IN_CURE
from curedash.domain.dosing import METHODS, Scale, curing_salts, resolve_curing_salt
from curedash.domain.dosing.limits import product_classes, rule_sets
from curedash.domain.errors import CuredashError
from curedash.domain.typed.dates import parse_day, parse_near_day, parse_when
from curedash.domain.typed.prices import price
from curedash.domain.typed.units import parse_pct
from curedash.domain.typed.weights import parse_weight_g
from curedash.present import display_units as units
from curedash.present.dosing.form import batch_texts as texts
from curedash.present.dosing.form.batch_cells import BAGGED, Values, above
from curedash.present.dosing.form.batch_field import (
    ALWAYS,
    NO,
    NO_YES,
    PARTIAL,
    WHOLE,
    YES,
    Context,
    Field,
    Option,
    Shape,
    choice,
    entry,
    fitting,
    grams,
    in_time,
    places,
)
from curedash.present.dosing.form.sausage_fields import MIXED, STARTED, STUFFING
from curedash.present.dosing.form.under_way_fields import STICKER, WHERE_NOW
from curedash.services.dosing.batch_start import Start
from curedash.services.dosing.dosing_means import find_style

# ── what a field offers, and when it is there ─────────────────────────────────────────────


def _classes(values: Values, _start: Start | None) -> list[Option]:
    rules = values["rules"]
    follows = "the strictest class that fits" if rules else "none picked"
    return [("", follows), *(product_classes(rules) if rules else ())]


def _day_rules(values: Values, _start: Start | None = None) -> list[Option]:
    rules = rules_for(values["method"]) if values["method"] in dict(METHODS) else ()
    return [("", "the usual rule"), *((rule.name, rule.name) for rule in rules)]


def _styles(_values: Values, start: Start | None) -> list[Option]:
    return [] if start is None else [(style.id, style.name) for style in start.styles]


def _salts(_values: Values, start: Start | None) -> list[Option]:
    jars = () if start is None else (*start.defaults.jars, *curing_salts())
    return [(salt.id, salt.name) for salt in jars]


def _all_alike(shape: Shape) -> bool:
    return not shape.one_by_one


def _of_a_cut(shape: Shape) -> bool:
    """Not of a sausage, which has no cut, no skin and no bag."""
    return not shape.ground


def _bags_shared(shape: Shape) -> bool:
    return shape.pieces > 1 and shape.method in BAGGED and not shape.one_by_one


def _method_is(*methods: str) -> Callable[[Shape], bool]:
    return lambda shape: shape.method in methods


# ── units, what must not stay empty, the usual value ──────────────────────────────────────


def _of_basis(values: Values) -> str:
    if values["method"] == "equilibrium-brine":
        return "% of meat and water"
    brine = values["method"] in PARTIAL and values["percent_of"] == "brine"
    return "% of " + ("brine" if brine else "meat")


def _salt_wanted(values: Values) -> str:
    return "" if values["method"] in ("pack", "salt-box") else "e.g. 2.75 %"


def _water_wanted(values: Values) -> str:
    return "e.g. {water}" if values["method"] == "equilibrium-brine" else ""


def _usual_rules(start: Start) -> str:
    last = start.last
    return start.defaults.rule_set or (last.rule_set if last else None) or ""


def _usual_scale(start: Start) -> str:
    last = start.last
    return texts.scales_text(
        start.defaults.scales or (last.shelf_of_scales if last else (Scale(1.0),))
    )


# ── the fields ────────────────────────────────────────────────────────────────────────────

_MEAT = (
    entry(
        "style",
        "letters, then → takes one; a new name: a new style",
        kind="combo",
        options=_styles,
        read_in=lambda text, context: find_style(text, context.start.defaults, asks=False),
        wanted="e.g. coppa",
        when=ALWAYS,
    ),
    entry(
        "name",
        "what the batch is called, e.g. Beef eye",
        read=texts.one_name,
        wanted="e.g. Beef eye",
        when=ALWAYS,
    ),
    *WHERE_NOW,
    entry(
        "pieces",
        "raw, one for each piece: {weights}; or a total divided: {divided}",
        label="green weights",
        visible=_all_alike,
        read=texts.weights_g,
        wanted="e.g. {two}",
        unit=grams,
    ),
    *MIXED,
    choice(
        "each",
        "one by one: each with its thickness, name, roast",
        ((NO, "all alike"), (YES, "one by one")),
        label="the pieces",
        usual=NO,
    ),
    entry(
        "thickness",
        "at the thickest spot, rounded up: {thick}; or one each: {thicknesses}",
        visible=lambda shape: not shape.one_by_one and not shape.ground,
        read=texts.thicknesses_mm,
        unit=lambda _values: units.length_unit(),
        when=ALWAYS,
    ),
    entry(
        "bags",
        "pieces salted together, by number: 1+2, or 1+2 3+4, or all; empty: each in a bag of its"
        " own",
        label="in one bag",
        visible=_bags_shared,
        read_in=lambda text, context: texts.bags(text, context.pieces),
    ),
    entry("species", "beef, pork, duck, venison …", when=ALWAYS),
    entry("cut", "the cut, e.g. eye of round", visible=_of_a_cut, when=ALWAYS),
    choice(
        "shape",
        "salt gets into a tied round sooner than a slab",
        (("slab", "slab"), ("round", "round, tied")),
        visible=_of_a_cut,
        usual="slab",
        when=ALWAYS,
    ),
    choice(
        "skin",
        "covers one side; salt enters from the other",
        NO_YES,
        label="skin, fat cap",
        visible=_of_a_cut,
        usual=NO,
        when=ALWAYS,
    ),
)
_SALT = (
    entry(
        "curing_salt",
        "←→ a type or your jar; or its strength 5.88/0",
        kind="search",
        options=_salts,
        read_in=lambda text, context: resolve_curing_salt(text, context.start.defaults.jars),
    ),
    entry(
        "cure",
        "curing salt in percent, or the nitrite wanted: 120 mg/kg",
        label="cure dose",
        visible=lambda shape: shape.method != "pack",
        read=texts.amount,
        unit=_of_basis,
    ),
    entry(
        "salt",
        "salt in percent, curing salt included unless the next field says otherwise",
        read=parse_pct,
        wanted=_salt_wanted,
        unit=_of_basis,
    ),
    STARTED,
    entry(
        "water",
        "weight of the water, e.g. {water}",
        visible=_method_is("equilibrium-brine", *PARTIAL),
        read=lambda text: parse_weight_g(units.typed_weight(text), marks_are_decimal=True),
        wanted=_water_wanted,
        unit=grams,
    ),
    entry(
        "pickup",
        "brine the meat takes up, percent of its weight, e.g. 4 %",
        label="pick-up",
        visible=_method_is("immersion"),
        read=parse_pct,
        wanted="e.g. 4 %",
        unit="% of meat",
    ),
    entry(
        "pump",
        "brine pumped in, percent of the meat's weight, e.g. 10 %",
        visible=_method_is("injection"),
        read=parse_pct,
        wanted="e.g. 10 %",
        unit="% of meat",
    ),
    entry(
        "pack",
        "weight of one pack, and how much meat it is for: {pack}",
        visible=_method_is("pack"),
        read=texts.pack_g,
        wanted="{pack}",
    ),
    entry(
        "packs",
        "packs for all pieces together, e.g. 1 or 0.5; empty: as the label says",
        label="packs used",
        visible=_method_is("pack"),
        read=texts.number_of_packs,
    ),
    choice("method", "how it is salted", METHODS, usual="equilibrium"),
    choice(
        "salt_means",
        "whether the curing salt is part of this percent",
        (("includes", "with the curing salt"), ("besides", "without the curing salt")),
        label="salt % is",
        visible=_method_is(*WHOLE, *PARTIAL),
        usual="includes",
    ),
    choice(
        "percent_of",
        "what the percentages refer to",
        (("brine", "the brine"), ("meat", "the meat")),
        visible=_method_is(*PARTIAL),
        usual="brine",
    ),
    entry("sugar", "percent; empty: none", read=parse_pct, unit=_of_basis),
    entry("spices", "name and percent: black pepper 0.4, juniper 0.2", read=texts.spices),
    entry(
        "scale",
        "its smallest step: 0.1; several with their maximum: 0.01/200, 1/5000",
        read=texts.scales,
        wanted="its smallest step, e.g. 0.1 g",
        usual=_usual_scale,
        unit="g",
    ),
    choice(
        "rules",
        "whose limits the dose is checked against",
        (("", "none picked"), *rule_sets()),
        label="rule set",
        usual=_usual_rules,
    ),
    choice("class", "which limits of the rule set", _classes, label="product class"),
    choice(
        "eaten",
        "eaten raw, cooked soon, or fried",
        (("", "not given"), ("as-is", "as it is"), ("cooked-soon", "cooked soon"), ("fried",) * 2),
    ),
)
_PLACE = (
    entry(
        "place",
        "where it cures; → takes one, another name adds one",
        kind="combo",
        visible=lambda shape: shape.under_way or not shape.ground,
        options=places,
        read=texts.one_name,
        when=ALWAYS,
    ),
    entry(
        "salted",
        "if it is in the cure already: the day, e.g. yesterday; otherwise leave it empty",
        label="salted on",
        read_in=in_time(parse_when),
    ),
    STICKER,
    entry(
        "days", "from salting to slicing, e.g. 60 d", label="planned days", read=texts.whole_days
    ),
    entry(
        "target",
        "percent lost, e.g. 35–40 %",
        label="pulled at",
        read=texts.loss_range,
        unit="% lost",
        when=ALWAYS,
    ),
    choice(
        "rule",
        "the rule of thumb for the days in the cure",
        _day_rules,
        label="days by rule",
        visible=lambda shape: len(_day_rules(shape.values)) > 1,
    ),
)
_LATER = (
    entry(
        "source",
        "the roast it was cut from: 1, or a name; its price comes below",
        label="roast, price",
        visible=_all_alike,
        when=ALWAYS,
    ),
    entry(
        "use_by",
        "on the meat's label, e.g. 2 Dec; empty: it has none",
        label="use-by date",
        read_in=in_time(lambda *typed: parse_near_day(*typed).isoformat()),
        when=ALWAYS,
    ),
    choice(
        "bag",
        "in a bag that lets vapour through",
        NO_YES,
        label="dries in a bag",
        visible=_of_a_cut,
        usual=NO,
        when=ALWAYS,
    ),
    entry("note", "for next time", when=ALWAYS),
)
#: a line for each piece
_PIECE = (
    entry(
        "green",
        "raw, e.g. {green}; Enter on an empty one ends the list",
        label="green weight",
        read=texts.weight_g,
    ),
    entry(
        "thick",
        "at its thickest spot, e.g. {thick}; empty: as above",
        label="thickness",
        read=texts.thickness_mm,
    ),
    entry(
        "piece",
        "what it is called, e.g. thick end; empty: by its code alone",
        label="name",
        read=texts.one_name,
    ),
    entry("from", "the roast it was cut from: 1, 2 or a name; empty: as above", label="roast"),
    entry(
        "count", "how many small pieces are weighed as one; empty: 1", read=texts.pieces_together
    ),
    entry("together", "pieces with the same number here share a bag; empty: its own", label="bag"),
)
#: a line for each roast
_ROAST = (
    entry("price", "38.20 for the whole or {price}, with its currency or without", read=price),
    entry("bought", "as bought, e.g. {bought}", label="weight", read=texts.weight_g),
    entry("shop", "where it was bought; empty: as above", read=texts.one_name),
    entry(
        "packed",
        "the date on its label; empty: as above",
        read_in=in_time(lambda *typed: parse_day(*typed, ahead=False).isoformat()),
    ),
    choice(
        "condition",
        "fresh, frozen or wild",
        (("fresh", "fresh"), ("frozen", "frozen"), ("wild", "wild")),
        label="meat",
    ),
)
#: the groups in order: name, fields
_GROUPS = {"meat": _MEAT, "salt": _SALT, "stuff": STUFFING, "place": _PLACE, "later": _LATER}
GROUPS = {name: tuple(each.id for each in fields) for name, fields in _GROUPS.items()}
HEADS = {"meat": "MEAT", "salt": "SALT", "stuff": "STUFF", "place": "WHERE", "later": "LATER"}
_MORE = tuple(
    entry(
        f"more-{group}", "Enter opens these fields; F6 opens all of them", label="more", kind="fold"
    )
    for group in GROUPS
)
FIELDS = {each.id: each for of in (*_GROUPS.values(), _PIECE, _ROAST, _MORE) for each in of}


# ── asking a field ────────────────────────────────────────────────────────────────────────


def field(field_id: str) -> Field:
    """The field of an id; ``thick:2`` is the thickness of the third piece."""
    return FIELDS[field_id.partition(":")[0]]


def help_words(field_id: str, values: Values | None = None) -> str:
    """What to say of a field, with examples in the units shown."""
    ground = values is not None and values.get("method") == GROUND
    text = _BOWL if ground and field_id == "pieces" else field(field_id).help
    return text.format(**examples())


def examples() -> dict[str, str]:
    """Quantities as one would type them under the units shown."""
    pounds, inches = units.in_pounds(), units.in_inches()
    return {
        "weights": "2 lb 8 oz, 2 lb 6.4 oz" if pounds else "1134 1088 990 1041 g",
        "two": "2 lb 8 oz" if pounds else "1134 1088 g",
        "divided": "10 lb / 4" if pounds else "4536 g / 4",
        "green": "2 8.5 (lb oz) or 40oz" if pounds else "1134 g",
        "bought": "10 9 (lb oz)" if pounds else "4.8 kg",
        "price": "8.50/lb" if pounds else "17.90/kg",
        "water": "2 lb 3 oz" if pounds else "1000 g",
        "pack": "5 oz for 5 lb" if pounds else "145 g for 2.25 kg",
        "roast": "roast 5 lb" if pounds else "roast 2.3 kg",
        "tare": units.tare_example(),
        "bowl": "3 lb + 12 oz" if pounds else "1600 + 400 g",
        "casing": "1¼ in" if inches else "32 mm",
        "casing_g": "1.5 oz casing" if pounds else "45 casing",
        "warm": "Warm box 70-75F" if units.in_fahrenheit() else "Warm box 20-24C",
        "cool": "Cellar 50-57F" if units.in_fahrenheit() else "Cellar 10-14C",
        "thick": "3¼ or 80 mm" if inches else "80 or 3¼ in",
        "thicknesses": "3.5 3.25 in" if inches else "90 85 80 80 mm",
    }


_BOWL = "of one bowl, as {bowl}; or both together in one weight"
#: what a field is called where the meat is ground
_OF_A_SAUSAGE = {"pieces": "meat and fat", "salted": "mixed on", "how_many": "strings"}


def label(field_id: str, values: Values) -> str:
    """The words before the field; the salt's says what its percentage is of."""
    if values["method"] == GROUND and field_id in _OF_A_SAUSAGE:
        return _OF_A_SAUSAGE[field_id]
    if field_id == "weighed":
        return "green weights" if values["now"] == IN_CURE else "weight now"
    if field_id == "salt":
        return {"pack": "salt beside", "salt-box": "salt to cover"}.get(values["method"], "salt")
    return field(field_id).label


def unit(field_id: str, values: Values) -> str:
    """What a bare number in this field is, shown behind it; empty for words."""
    if ":" in field_id:
        return ""
    found = field(field_id).unit
    return found if isinstance(found, str) else found(values)


def options(field_id: str, values: Values, start: Start | None) -> list[Option]:
    """What a field offers, in order; nothing for a field of plain text."""
    found = field(field_id).options
    return list(found) if isinstance(found, tuple) else found(values, start)


WEIGHED_CELLS = ("green", "thick")  # cells of quantities; their unit is in the head above them


def reads_quantity(field_id: str, text: str, start: Start, now: datetime, zone: tzinfo) -> bool:
    """Whether a field is of a weight or a length, and reads this text as one.

    A percent is never guessed: it decides a dose.
    """
    cell, found = field_id.partition(":")[0], field(field_id)
    decides = cell in GROUPS["salt"] or cell == "target"
    if decides or not (found.unit or cell in WEIGHED_CELLS):
        return False
    try:
        field(field_id).value(text, Context(start, now, zone))
    except CuredashError:
        return False
    return True


def wanted(field_id: str, values: Values) -> str:
    """What to type in a field that must not stay empty; empty where it may."""
    if field_id == "pieces" and values["method"] == GROUND:
        return f"e.g. {examples()['bowl']}"
    asks = field(field_id).wanted
    return (asks if isinstance(asks, str) else asks(values)).format(**examples())


def value_of(field_id: str, values: Values) -> str:
    """A field's text; a roast is as the one above, the first one fresh until it is said."""
    if field_id.startswith("condition:"):
        return values.get(field_id) or above(field_id, values) or "fresh"
    return values.get(field_id, "")


def shown_words(field_id: str, value: str, values: Values, start: Start) -> str:
    """A value as it is shown: the words of a choice, the text of everything else."""
    words = dict(options(field_id, values, start))
    if field(field_id).kind == "choice":
        return words.get(value, value)
    if field(field_id).kind in ("combo", "search") and value in words and words[value] != value:
        return f"{value} · {words[value]}"
    return value


MOST_NEAR = 3  # styles that a mistyped one may have meant


def near_styles(text: str, start: Start) -> list[Option]:
    """Styles that a mistyped one may have meant, the likeliest first.

    Parameters
    ----------
    text : what was typed
    """
    offered = options("style", {}, start)
    typed = text.strip().casefold()
    names = {way.casefold(): one for one in offered for way in one}
    for one in offered:
        names |= dict.fromkeys((word.casefold() for word in one[1].split()), one)
    found = [names[near] for near in get_close_matches(typed, names, 2 * MOST_NEAR, 0.7)]
    begun = fitting(offered, typed) if len(typed) > 2 else []
    return list(dict.fromkeys([*begun, *found]))[:MOST_NEAR]
