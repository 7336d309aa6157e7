"""The fields of a new batch, each as one record, in groups and in order.

Every value is text as typed. The value of a field that nobody touched is in
:mod:`curedash.present.dosing.form.batch_follows`; how they are laid out is in ``batch_layout``.
"""

from collections.abc import Callable
from datetime import datetime, tzinfo

from curedash.domain.curing.cure_time import rules_for
from curedash.domain.curing.stages import GROUND, IN_CURE
from curedash.domain.dosing import METHODS, Scale, curing_salts, resolve_curing_salt
from curedash.domain.dosing.limits import product_classes, rule_sets
from curedash.domain.errors import CuredashError
from curedash.domain.facts.cure_time_rules import CureTimeRule
from curedash.domain.typed.prices import price
from curedash.domain.typed.units import parse_pct, parse_weight_g
from curedash.present.display_units import (
    in_fahrenheit,
    in_inches,
    in_pounds,
    length_unit,
    tare_example,
    typed_weight,
)
from curedash.present.dosing.form.batch_cells import BAGGED, Values, above
from curedash.present.dosing.form.batch_field import (
    ALWAYS,
    NO,
    PARTIAL,
    WHOLE,
    YES,
    Context,
    Field,
    Option,
    Shape,
    fitting,
)
from curedash.present.dosing.form.batch_texts import (
    amount,
    bags,
    loss_range,
    number_of_packs,
    one_name,
    pack_g,
    pieces_together,
    scales,
    scales_text,
    spices,
    thickness_mm,
    thicknesses_mm,
    weight_g,
    weights_g,
    whole_days,
)
from curedash.present.dosing.form.sausage_fields import MIXED, STARTED, STUFFING
from curedash.present.dosing.form.under_way_fields import STICKER, WHERE_NOW
from curedash.services.dosing.batch_start import Start
from curedash.services.dosing.dosing_means import find_style

# ── reading ───────────────────────────────────────────────────────────────────────────────


def _plain(parse: Callable[[str], object]) -> Callable[[str, Context], object]:
    """A reader that needs nothing but the text."""
    return lambda text, _context: parse(text)


def _style(text: str, context: Context) -> object:
    return find_style(text, context.start.defaults, asks=False)


def _moment(text: str, context: Context) -> object:
    from curedash.domain.typed.dates import parse_when

    return parse_when(text, context.now, context.zone)


def _day(text: str, context: Context) -> object:
    from curedash.domain.typed.dates import parse_day

    return parse_day(text, context.now, context.zone, ahead=False).isoformat()


def _label_day(text: str, context: Context) -> object:
    from curedash.domain.typed.dates import parse_near_day

    return parse_near_day(text, context.now, context.zone).isoformat()


def _salt(text: str, context: Context) -> object:
    return resolve_curing_salt(text, context.start.defaults.jars)


def _water_g(text: str) -> object:
    return parse_weight_g(typed_weight(text), marks_are_decimal=True)


# ── what a field offers ───────────────────────────────────────────────────────────────────

Options = Callable[[Values, Start | None], list[Option]]


def _few(*offered: Option) -> Options:
    """The same few, whatever else the form says."""
    return lambda _values, _start: list(offered)


_yes_no = _few((NO, "no"), (YES, "yes"))


def _rule_sets(_values: Values, _start: Start | None) -> list[Option]:
    return [("", "none picked"), *rule_sets()]


def _classes(values: Values, _start: Start | None) -> list[Option]:
    rules = values["rules"]
    follows = "the strictest class that fits" if rules else "none picked"
    return [("", follows), *(product_classes(rules) if rules else ())]


def _day_rules(values: Values, _start: Start | None = None) -> list[Option]:
    return [("", "the usual rule"), *((rule.name, rule.name) for rule in _rules(values))]


def _rules(values: Values) -> tuple[CureTimeRule, ...]:
    return rules_for(values["method"]) if values["method"] in dict(METHODS) else ()


def _styles(_values: Values, start: Start | None) -> list[Option]:
    return [] if start is None else [(style.id, style.name) for style in start.styles]


def _salts(_values: Values, start: Start | None) -> list[Option]:
    jars = () if start is None else (*start.defaults.jars, *curing_salts())
    return [(salt.id, salt.name) for salt in jars]


def _places(_values: Values, start: Start | None) -> list[Option]:
    return [] if start is None else [(place, place) for place, _warm in start.places]


# ── when a field is there ─────────────────────────────────────────────────────────────────


def _all_alike(shape: Shape) -> bool:
    return not shape.one_by_one


def _cut_alike(shape: Shape) -> bool:
    return not shape.one_by_one and not shape.ground


def _of_a_cut(shape: Shape) -> bool:
    """Not of a sausage, which has no cut, no skin and no bag."""
    return not shape.ground


def _in_one_place(shape: Shape) -> bool:
    """A sausage says where it ferments, and where it hangs."""
    return shape.under_way or not shape.ground


def _method_is(*methods: str) -> Callable[[Shape], bool]:
    return lambda shape: shape.method in methods


def _bags_shared(shape: Shape) -> bool:
    return shape.pieces > 1 and shape.method in BAGGED and not shape.one_by_one


# ── units, and what must not stay empty ───────────────────────────────────────────────────


def _of_basis(values: Values) -> str:
    if values["method"] == "equilibrium-brine":
        return "% of meat and water"
    brine = values["method"] in PARTIAL and values["percent_of"] == "brine"
    return "% of " + ("brine" if brine else "meat")


def _grams(_values: Values) -> str:
    return "" if in_pounds() else "g"  # there a bare number may be ounces


def _length(_values: Values) -> str:
    return length_unit()


def _such_as(text: str) -> Callable[[Values], str]:
    """``e.g. …``, with the quantities in the units shown."""
    return lambda _values: text.format(**examples())


def _salt_wanted(values: Values) -> str:
    return "" if values["method"] in ("pack", "salt-box") else "e.g. 2.75 %"


def _water_wanted(values: Values) -> str:
    brined = values["method"] == "equilibrium-brine"
    return f"e.g. {examples()['water']}" if brined else ""


# ── the usual value ───────────────────────────────────────────────────────────────────────


def _usual_rules(_values: Values, start: Start) -> str:
    last = start.last
    return start.defaults.rule_set or (last.rule_set if last else None) or ""


def _usual_scale(_values: Values, start: Start) -> str:
    last = start.last
    return scales_text(start.defaults.scales or (last.shelf_of_scales if last else (Scale(1.0),)))


# ── the fields ────────────────────────────────────────────────────────────────────────────

_MEAT = (
    Field(
        "style",
        "style",
        "letters, then → takes one; another name makes one",
        "combo",
        options=_styles,
        read=_style,
        wanted=_such_as("e.g. coppa"),
        when=ALWAYS,
    ),
    Field(
        "name",
        "name",
        "what the batch is called, e.g. Beef eye",
        read=_plain(one_name),
        wanted=_such_as("e.g. Beef eye"),
        when=ALWAYS,
    ),
    *WHERE_NOW,
    Field(
        "pieces",
        "green weights",
        "raw, one each: {weights}; or one divided: {divided}",
        visible=_all_alike,
        read=_plain(weights_g),
        wanted=_such_as("e.g. {two}"),
        unit=_grams,
    ),
    *MIXED,
    Field(
        "each",
        "the pieces",
        "one by one: each its thickness, name, roast",
        "choice",
        options=_few((NO, "all alike"), (YES, "one by one")),
        usual=NO,
    ),
    Field(
        "thickness",
        "thickness",
        "thickest spot, never rounded down: {thick}; or one each: {thicknesses}",
        visible=_cut_alike,
        read=_plain(thicknesses_mm),
        unit=_length,
        when=ALWAYS,
    ),
    Field(
        "bags",
        "in one bag",
        "pieces salted together, by number: 1+2, or 1+2 3+4, or all; empty: each in a bag of its"
        " own",
        visible=_bags_shared,
        read=lambda text, context: bags(text, context.pieces),
    ),
    Field("species", "species", "beef, pork, duck, venison …", when=ALWAYS),
    Field("cut", "cut", "the cut, e.g. eye of round", visible=_of_a_cut, when=ALWAYS),
    Field(
        "shape",
        "shape",
        "salt gets into a tied round sooner than a slab",
        "choice",
        visible=_of_a_cut,
        options=_few(("slab", "slab"), ("round", "round, tied")),
        usual="slab",
        when=ALWAYS,
    ),
    Field(
        "skin",
        "skin, fat cap",
        "then salt enters from the other side only",
        "choice",
        visible=_of_a_cut,
        options=_yes_no,
        usual=NO,
        when=ALWAYS,
    ),
)
_SALT = (
    Field(
        "curing_salt",
        "curing salt",
        "←→ a type or own jar, or its strength: 5.88/0",
        "search",
        options=_salts,
        read=_salt,
    ),
    Field(
        "cure",
        "cure dose",
        "curing salt in percent, or the nitrite wanted: 120 mg/kg",
        visible=lambda shape: shape.method != "pack",
        read=_plain(amount),
        unit=_of_basis,
    ),
    Field(
        "salt",
        "salt",
        "total salt in percent; the curing salt counts in it or beside it",
        read=_plain(parse_pct),
        wanted=_salt_wanted,
        unit=_of_basis,
    ),
    STARTED,
    Field(
        "water",
        "water",
        "weight of the water, e.g. {water}",
        visible=_method_is("equilibrium-brine", *PARTIAL),
        read=_plain(_water_g),
        wanted=_water_wanted,
        unit=_grams,
    ),
    Field(
        "pickup",
        "pick-up",
        "brine the meat takes up, percent of its weight, e.g. 4 %",
        visible=_method_is("immersion"),
        read=_plain(parse_pct),
        wanted=_such_as("e.g. 4 %"),
        unit="% of meat",
    ),
    Field(
        "pump",
        "pump",
        "brine pumped in, percent of the meat's weight, e.g. 10 %",
        visible=_method_is("injection"),
        read=_plain(parse_pct),
        wanted=_such_as("e.g. 10 %"),
        unit="% of meat",
    ),
    Field(
        "pack",
        "pack",
        "weight of one pack for how much meat: {pack}",
        visible=_method_is("pack"),
        read=_plain(pack_g),
        wanted=_such_as("{pack}"),
    ),
    Field(
        "packs",
        "packs used",
        "on all pieces together, e.g. 1 or 0.5; empty: what they are rated for",
        visible=_method_is("pack"),
        read=_plain(number_of_packs),
    ),
    Field(
        "method",
        "method",
        "how it is salted",
        "choice",
        options=_few(*METHODS),
        usual="equilibrium",
    ),
    Field(
        "salt_means",
        "salt % means",
        "all salt, or all but the curing salt",
        "choice",
        visible=_method_is(*WHOLE, *PARTIAL),
        options=_few(
            ("includes", "all, curing salt included"), ("besides", "besides the curing salt")
        ),
        usual="includes",
    ),
    Field(
        "percent_of",
        "percent of",
        "what the percentages refer to",
        "choice",
        visible=_method_is(*PARTIAL),
        options=_few(("brine", "the brine"), ("meat", "the meat")),
        usual="brine",
    ),
    Field("sugar", "sugar", "percent; empty: none", read=_plain(parse_pct), unit=_of_basis),
    Field(
        "spices", "spices", "name and percent: black pepper 0.4, juniper 0.2", read=_plain(spices)
    ),
    Field(
        "scale",
        "scale",
        "what it shows: 0.1; several with their maximum: 0.01/200, 1/5000",
        read=_plain(scales),
        wanted=_such_as("its steps, e.g. 0.1 g"),
        usual=_usual_scale,
        unit="g",
    ),
    Field(
        "rules", "rule set", "whose limits count", "choice", options=_rule_sets, usual=_usual_rules
    ),
    Field("class", "product class", "which of its limits", "choice", options=_classes),
    Field(
        "eaten",
        "eaten",
        "eaten raw, cooked soon, or fried",
        "choice",
        options=_few(
            ("", "not said"), ("as-is", "as it is"), ("cooked-soon", "cooked soon"), ("fried",) * 2
        ),
    ),
)
_PLACE = (
    Field(
        "place",
        "place",
        "where it cures; → takes one, another name is new",
        "combo",
        visible=_in_one_place,
        options=_places,
        read=_plain(one_name),
        when=ALWAYS,
    ),
    Field(
        "salted",
        "salted on",
        "if it is in the cure already: the day, e.g. yesterday; otherwise leave it empty",
        read=_moment,
    ),
    STICKER,
    Field("days", "planned days", "from salting to slicing, e.g. 60 d", read=_plain(whole_days)),
    Field(
        "target",
        "pulled at",
        "percent lost, e.g. 35–40 %",
        read=_plain(loss_range),
        unit="% lost",
        when=ALWAYS,
    ),
    Field(
        "rule",
        "days by rule",
        "the rule of thumb for the days in the cure",
        "choice",
        visible=lambda shape: len(_day_rules(shape.values)) > 1,
        options=_day_rules,
    ),
)
_LATER = (
    Field(
        "source",
        "source",
        "the roast it was cut from: 1, or a name; its price comes below",
        visible=_all_alike,
        when=ALWAYS,
    ),
    Field(
        "use_by",
        "use-by day",
        "on the meat's label, e.g. 2 Dec; empty: it has none",
        read=_label_day,
        when=ALWAYS,
    ),
    Field(
        "bag",
        "dries in a bag",
        "in a bag that lets vapour through",
        "choice",
        visible=_of_a_cut,
        options=_yes_no,
        usual=NO,
        when=ALWAYS,
    ),
    Field("note", "note", "for next time", when=ALWAYS),
)
#: a line for each piece
_PIECE = (
    Field(
        "green",
        "green weight",
        "raw, e.g. {green}; Enter on an empty one: no more",
        read=_plain(weight_g),
    ),
    Field(
        "thick",
        "thickness",
        "at its thickest spot, e.g. {thick}; empty: as above",
        read=_plain(thickness_mm),
    ),
    Field(
        "piece",
        "name",
        "what it is called, e.g. thick end; empty: by its code alone",
        read=_plain(one_name),
    ),
    Field("from", "roast", "it was cut from: 1, 2 or a name; empty: as above"),
    Field(
        "count",
        "count",
        "small pieces weighed together as this one; empty: 1",
        read=_plain(pieces_together),
    ),
    Field("together", "bag", "pieces with the same number here share a bag; empty: its own"),
)
#: a line for each roast
_ROAST = (
    Field(
        "price",
        "price",
        "38.20 for the whole or {price}, with its currency or without",
        read=_plain(price),
    ),
    Field("bought", "weight", "as bought, e.g. {bought}", read=_plain(weight_g)),
    Field("shop", "shop", "where it was bought; empty: as above", read=_plain(one_name)),
    Field("packed", "packed", "the date on its label; empty: as above", read=_day),
    Field(
        "condition",
        "meat",
        "fresh, frozen or wild",
        "choice",
        options=_few(("fresh", "fresh"), ("frozen", "frozen"), ("wild", "wild")),
    ),
)
#: the groups in order: name, fields
GROUPS: dict[str, tuple[str, ...]] = {
    name: tuple(each.id for each in fields)
    for name, fields in (
        ("meat", _MEAT),
        ("salt", _SALT),
        ("stuff", STUFFING),
        ("place", _PLACE),
        ("later", _LATER),
    )
}
HEADS = {"meat": "MEAT", "salt": "SALT", "stuff": "STUFF", "place": "WHERE", "later": "LATER"}
_MORE = tuple(
    Field(f"more-{group}", "more", "Enter opens these fields; F6 opens all of them", "fold")
    for group in GROUPS
)
FIELDS = {
    each.id: each
    for of in (_MEAT, _SALT, STUFFING, _PLACE, _LATER, _PIECE, _ROAST, _MORE)
    for each in of
}


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
    pounds, inches = in_pounds(), in_inches()
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
        "tare": tare_example(),
        "bowl": "3 lb + 12 oz" if pounds else "1600 + 400 g",
        "casing": "1¼ in" if inches else "32 mm",
        "casing_g": "1.5 oz casing" if pounds else "45 casing",
        "warm": "Warm box 70-75F" if in_fahrenheit() else "Warm box 20-24C",
        "cool": "Cellar 50-57F" if in_fahrenheit() else "Cellar 10-14C",
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
    return field(field_id).options(values, start)


WEIGHED_CELLS = ("green", "thick")  # cells of quantities; their unit is in the head above them


def reads_quantity(field_id: str, text: str, start: Start, now: datetime, zone: tzinfo) -> bool:
    """Whether a field is of a quantity, and reads this text as one."""
    if not field(field_id).unit and field_id.partition(":")[0] not in WEIGHED_CELLS:
        return False
    try:
        field(field_id).read(text, Context(start, now, zone))
    except CuredashError:
        return False
    return True


def wanted(field_id: str, values: Values) -> str:
    """What to type in a field that must not stay empty; empty where it may."""
    asks = field(field_id).wanted
    if field_id == "pieces" and values["method"] == GROUND:
        return f"e.g. {examples()['bowl']}"
    return "" if asks is None else asks(values)


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


def near_styles(text: str, start: Start, most: int = 3) -> list[Option]:
    """Styles that a mistyped one may have meant, the likeliest first.

    Parameters
    ----------
    text : what was typed
    """
    from difflib import get_close_matches

    offered = options("style", {}, start)
    typed = text.strip().casefold()
    names = {way.casefold(): one for one in offered for way in one}
    for one in offered:
        names |= dict.fromkeys((word.casefold() for word in one[1].split()), one)
    found = [names[near] for near in get_close_matches(typed, names, most * 2, 0.7)]
    begun = fitting(offered, typed) if len(typed) > 2 else []
    return list(dict.fromkeys([*begun, *found]))[:most]
