"""The fields of a new batch: which there are, which a method needs, what stands in them at first.

Every value is text as typed. A field nobody touched follows the style, the rule set and how the
household did it last; one that was touched stays.
"""

from collections.abc import Sequence

from curedash.domain.curing.cure_time import rules_for
from curedash.domain.dosing import (
    METHODS,
    CuringSalt,
    DoseRequest,
    Scale,
    curing_salts,
    resolve_curing_salt,
)
from curedash.domain.dosing.classes import fitting_rows
from curedash.domain.dosing.formulas import ingoing_mg_per_kg
from curedash.domain.dosing.limits import product_classes, rule_sets
from curedash.domain.dosing.words import cut as cut_number
from curedash.domain.errors import CuredashError
from curedash.domain.facts.cure_time_rules import CureTimeRule
from curedash.domain.household.styles import Style, usual_cure_pct
from curedash.domain.record import record
from curedash.present.display_units import bare_length, in_inches, in_pounds, length_unit, mass
from curedash.present.dosing.batch_cells import (
    BAGGED,
    MOST_ROWS,
    SOURCE_CELLS,
    Values,
    above,
    as_cells,
    joined,
    piece_cells,
    piece_rows,
)
from curedash.present.dosing.batch_texts import text_of
from curedash.present.household.settings import as_typed
from curedash.services.dosing.batch_start import Start
from curedash.services.dosing.dosing_means import find_style
from curedash.services.dosing.recipe import BAGS
from curedash.services.household.book import Again

YES, NO = "yes", "no"
COLD_C = 7.0  # design value: middle of a band in which a cure can lie
PARTIAL = ("immersion", "injection")
WHOLE = ("equilibrium", "equilibrium-brine", "ground")


@record
class Field:
    """One field: its label, how it is filled, and what to say while it is."""

    id: str
    label: str
    help: str
    kind: str = "text"  # text | choice: one of a few | combo, search: see tui/chassis/form.py


_FIELDS = {
    field.id: field
    for field in (
        Field("name", "name", "what the batch is called, e.g. Beef eye"),
        Field("species", "species", "beef, pork, duck, venison …"),
        Field("cut", "cut", "the cut, e.g. eye of round"),
        Field("style", "style", "letters, then → takes one; another name makes one", "combo"),
        Field("pieces", "green weights", "raw, one each: {weights}; or one divided: {divided}"),
        Field("each", "the pieces", "one by one: each its thickness, name, roast", "choice"),
        Field(
            "bags",
            "in one bag",
            "pieces salted together, by number: 1+2, or 1+2 3+4, or all; "
            "empty: each in a bag of its own",
        ),
        Field(
            "thickness",
            "thickness",
            "thickest spot, never rounded down: {thick}; or one each: {thicknesses}",
        ),
        Field("shape", "shape", "salt gets into a tied round sooner than a slab", "choice"),
        Field("skin", "skin, fat cap", "then salt enters from the other side only", "choice"),
        Field("method", "method", "how it is salted", "choice"),
        Field("salt", "salt", "total salt in percent; the curing salt counts in it or beside it"),
        Field("salt_means", "salt % means", "total salt, or salt beside the curing salt", "choice"),
        Field(
            "curing_salt", "curing salt", "←→ a type or own jar, or its strength: 5.88/0", "search"
        ),
        Field("cure", "cure dose", "curing salt in percent, or the nitrite wanted: 120 mg/kg"),
        Field("water", "water", "weight of the water, e.g. {water}"),
        Field("pickup", "pick-up", "brine the meat takes up, percent of its weight, e.g. 4 %"),
        Field("pump", "pump", "brine pumped in, percent of the meat's weight, e.g. 10 %"),
        Field("percent_of", "percent of", "what the percentages refer to", "choice"),
        Field("pack", "pack", "weight of one pack for how much meat: {pack}"),
        Field(
            "packs",
            "packs used",
            "on all pieces together, e.g. 1 or 0.5; empty: what they are rated for",
        ),
        Field("sugar", "sugar", "percent; empty: none"),
        Field("spices", "spices", "name and percent: black pepper 0.4, juniper 0.2"),
        Field("scale", "scale", "what it shows: 0.1; several with their maximum: 0.01/200, 1/5000"),
        Field("rules", "rule set", "whose limits count", "choice"),
        Field("class", "product class", "which of its limits", "choice"),
        Field("eaten", "eaten", "eaten raw, cooked soon, or fried", "choice"),
        Field("days", "planned days", "from salting to slicing, e.g. 60 d"),
        Field("target", "pulled at", "percent lost, e.g. 35–40 %"),
        Field("place", "place", "where it cures; → takes one, another name is new", "combo"),
        Field(
            "salted",
            "salted on",
            "if it is in the cure already: the day, e.g. yesterday; otherwise leave it empty",
        ),
        Field("rule", "days by rule", "the rule of thumb for the days in the cure", "choice"),
        Field("bag", "dries in a bag", "in a bag that lets vapour through", "choice"),
        Field("source", "source", "the roast it was cut from: 1, or a name; its price comes below"),
        Field("use_by", "use-by day", "on the meat's label, e.g. 2 Dec; empty: it has none"),
        Field("note", "note", "for next time"),
        # a line for each piece, and for each roast
        Field("green", "green weight", "raw, e.g. {green}; Enter on an empty one: no more"),
        Field("thick", "thickness", "at its thickest spot, e.g. {thick}; empty: as above"),
        Field("piece", "name", "what it is called, e.g. thick end; empty: by its code alone"),
        Field("from", "roast", "it was cut from: 1, 2 or a name; empty: as above"),
        Field("count", "count", "small pieces weighed together as this one; empty: 1"),
        Field("together", "bag", "pieces with the same number here share a bag; empty: its own"),
        Field("price", "price", "38.20 for the whole or {price}, with its currency or without"),
        Field("bought", "weight", "as bought, e.g. {bought}"),
        Field("shop", "shop", "where it was bought; empty: as above"),
        Field("packed", "packed", "the date on its label; empty: as above"),
        Field("condition", "meat", "fresh, frozen or wild", "choice"),
    )
}


def field(field_id: str) -> Field:
    """The field of an id; ``thick:2`` is the thickness of the third piece."""
    return _FIELDS[field_id.partition(":")[0]]


def help_words(field_id: str) -> str:
    """What to say of a field, with examples in the units shown."""
    return field(field_id).help.format(**examples())


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
        "thick": "3¼ or 80 mm" if inches else "80 or 3¼ in",
        "thicknesses": "3.5 3.25 in" if inches else "90 85 80 80 mm",
    }


def rows(values: Values, pieces: int, sources: Sequence[str]) -> list[list[str]]:
    """The ids of the fields, line by line, as far as the method needs them.

    Parameters
    ----------
    pieces : how many green weights can be read
    sources : the roasts named
    """
    method = values["method"]
    out = [["name"], ["style"], ["species"], ["cut"], ["place"], ["salted"]]
    by_one = values["each"] == YES
    if by_one:
        lines = range(min(MOST_ROWS, piece_rows(values) + 1))
        out += [["each"], *([f"{cell}:{n}" for cell in piece_cells(values)] for n in lines)]
    else:
        out += [["pieces"], ["each"], ["source"]]
    out += [[f"{cell}:{n}" for cell in SOURCE_CELLS] for n in range(len(sources))]
    out += (
        [["shape"], ["skin"], ["method"]]
        if by_one
        else [["thickness"], ["shape"], ["skin"], ["method"]]
    )
    if method == "pack":
        out += [["pack"], ["packs"]]
    out += [["salt"]]
    if method in (*WHOLE, *PARTIAL):
        out += [["salt_means"]]
    out += [["curing_salt"]]
    if method != "pack":
        out += [["cure"]]
    if method in ("equilibrium-brine", *PARTIAL):
        out += [["water"]]
    if method == "immersion":
        out += [["pickup"], ["percent_of"]]
    if method == "injection":
        out += [["pump"], ["percent_of"]]
    if pieces > 1 and method in BAGGED and not by_one:
        out += [["bags"]]
    out += [["sugar"], ["spices"], ["scale"], ["rules"], ["class"], ["eaten"], ["days"]]
    out += [["target"]]
    if len(options("rule", values, None)) > 1:
        out += [["rule"]]
    return [*out, ["use_by"], ["bag"], ["note"]]


def label(field_id: str, values: Values) -> str:
    """What stands before the field; the salt's says what its percentage is of."""
    if field_id == "salt":
        return {"pack": "salt beside", "salt-box": "salt to cover"}.get(values["method"], "salt")
    return field(field_id).label


def unit(field_id: str, values: Values) -> str:
    """What a bare number in this field is, shown behind it; empty for words."""
    name = field_id.partition(":")[0]
    if name in ("salt", "sugar", "cure"):
        return "% of " + _basis(values)
    grams = "" if in_pounds() else "g"  # there a bare number may be ounces
    units = {
        "pieces": grams,
        "thickness": length_unit(),
        "water": grams,
        "scale": "g",
        "pickup": "% of meat",
        "pump": "% of meat",
        "target": "% lost",
        "days": "d",
    }
    return units.get(name, "")


def _basis(values: Values) -> str:
    if values["method"] == "equilibrium-brine":
        return "meat and water"
    return "brine" if values["method"] in PARTIAL and values["percent_of"] == "brine" else "meat"


# ── choices ───────────────────────────────────────────────────────────────────────────────

Option = tuple[str, str]  # what is kept, and how it is said
_YES_NO = [(NO, "no"), (YES, "yes")]
_FIXED: dict[str, list[Option]] = {
    "each": [(NO, "all alike"), (YES, "one by one")],
    "shape": [("slab", "slab"), ("round", "round, tied")],
    "skin": _YES_NO,
    "method": list(METHODS),
    "salt_means": [
        ("includes", "all, curing salt included"),
        ("besides", "besides the curing salt"),
    ],
    "percent_of": [("brine", "the brine"), ("meat", "the meat")],
    "eaten": [
        ("", "not said"),
        ("as-is", "as it is"),
        ("cooked-soon", "cooked soon"),
        ("fried", "fried"),
    ],
    "bag": _YES_NO,
    "condition": [("fresh", "fresh"), ("frozen", "frozen"), ("wild", "wild")],
}


def options(field_id: str, values: Values, start: Start | None) -> list[Option]:
    """What a field offers, in order; nothing for a field of plain text."""
    name = field_id.partition(":")[0]
    if name == "rules":
        return [("", "none picked"), *rule_sets()]
    if name == "class":
        rules = values["rules"]
        follows = "the strictest class that fits" if rules else "none picked"
        return [("", follows), *(product_classes(rules) if rules else ())]
    if name == "rule":
        return [("", "the usual rule"), *((rule.name, rule.name) for rule in _rules(values))]
    if start is not None and name == "style":
        return [(style.id, style.name) for style in start.styles]
    if start is not None and name == "curing_salt":
        return [(salt.id, salt.name) for salt in (*start.defaults.jars, *curing_salts())]
    if start is not None and name == "place":
        return [(place, place) for place, _warm in start.places]
    return _FIXED.get(name, [])


def fitting(offered: Sequence[Option], typed: str) -> list[Option]:
    """The options that begin with what was typed, else those that have it somewhere."""
    wanted = typed.strip().casefold()
    return beginning(offered, typed) or [
        one for one in offered if wanted in f"{one[0]} {one[1]}".casefold()
    ]


def beginning(offered: Sequence[Option], typed: str) -> list[Option]:
    """The options whose id or words begin with what was typed; none while nothing is."""
    wanted = typed.strip().casefold()
    return [
        one for one in offered if wanted and any(way.casefold().startswith(wanted) for way in one)
    ]


def _rules(values: Values) -> tuple[CureTimeRule, ...]:
    return rules_for(values["method"]) if values["method"] in dict(METHODS) else ()


def value_of(field_id: str, values: Values) -> str:
    """A field's text; a roast is as the one above, the first one fresh until it is said."""
    if field_id.startswith("condition:"):
        return values.get(field_id) or above(field_id, values) or "fresh"
    return values.get(field_id, "")


def said(field_id: str, value: str, values: Values, start: Start) -> str:
    """A value as it is shown: the words of a choice, the text of everything else."""
    words = dict(options(field_id, values, start))
    if field(field_id).kind == "choice":
        return words.get(value, value)
    if field(field_id).kind in ("combo", "search") and value in words and words[value] != value:
        return f"{value} · {words[value]}"
    return value


# ── what stands there at first ────────────────────────────────────────────────────────────


def effective(touched: Values, start: Start) -> dict[str, str]:
    """Every field's value: what was typed, else what follows from the rest."""
    values = dict.fromkeys(_FIELDS, "")
    values |= _household(start)
    if start.again is not None:
        values |= _again(start)
    values |= touched
    style = known_style(values["style"], start)
    before = _of_before(start, style)
    values |= before | dict(touched)
    if style is not None and start.again is None:
        method = touched.get("method", before.get("method", style.method))
        values |= _of_style(style, start, method) | before | dict(touched)
    if "class" not in touched and start.again is None:
        values["class"] = _class(style, values)
    if "cure" not in touched and style is not None and start.again is None:
        values["cure"] = _cure(style, values, start)
    _keep_offered(values)
    if values["each"] == YES:
        for cell, text in as_cells(values).items():
            values.setdefault(cell, text)
    elif "pieces" not in touched:
        values["pieces"] = joined(values)
    return values


def _class(style: Style | None, values: Values) -> str:
    """The product class that follows from how it is made; empty while several fit."""
    asked = DoseRequest(
        green_g=1000.0,
        method=values["method"],
        rule_set=values["rules"] or None,
        cut=values["cut"],
        eaten=values["eaten"] or None,
        species=values["species"],
        skin=values["skin"] == YES,
    )
    rows = fitting_rows(asked)
    own = None if style is None else style.class_for(values["rules"])
    if any(own == row.product_class or own in row.also for row in rows):
        return own or ""
    names = {row.product_class for row in rows}
    return names.pop() if len(names) == 1 else ""


def known_style(text: str, start: Start) -> Style | None:
    """The style of this name; None while it is empty, new or impossible."""
    try:
        style, new = find_style(text, start.defaults, asks=False)
    except CuredashError:
        return None
    return None if new or not text.strip() else style


def _household(start: Start) -> dict[str, str]:
    values = {
        "each": NO,
        "shape": "slab",
        "skin": NO,
        "method": "equilibrium",
        "salt_means": "includes",
        "percent_of": "brine",
        "bag": NO,
    }
    last = start.last
    values["rules"] = start.defaults.rule_set or (last.rule_set if last else None) or ""
    scales = start.defaults.scales or (last.shelf_of_scales if last else (Scale(1.0),))
    values["scale"] = scales_text(scales)
    return values


def _of_style(style: Style, start: Start, method: str) -> dict[str, str]:
    values = {
        "species": style.species,
        "cut": style.cut,
        "method": method,
        "shape": "slab" if style.shape == "slab" else "round",
        "skin": YES if style.skin_on else NO,
        "eaten": style.eaten or "",
        "salt": text_of(style.salt_pct) if method in WHOLE else "",
        "days": "" if style.planned_days is None else str(style.planned_days),
        "target": f"{style.loss_lo_pct:g}–{style.loss_hi_pct:g}",
    }
    liked = start.liked.get(style.id)
    if liked is not None and liked.recipe.get("method") == method:
        for name in ("salt", "sugar"):
            if liked.recipe.get(f"{name}_pct"):
                values[name] = text_of(float(liked.recipe[f"{name}_pct"]))
    return values


#: of the batch entered just before: what a salting day keeps. Species, style, salt, the share of
#: curing salt, class and what is weighed are never among them: those decide a dose by themselves.
_CARRIED = ("sugar", "spices", "scale", "rules", "percent_of")
_OF_A_PACK = ("pack", "pickup", "pump")


def _of_before(start: Start, style: Style | None) -> dict[str, str]:
    """What the next batch of a salting day takes over from the one entered before it."""
    before = start.before
    if before is None:
        cold = [place for place, warm in start.places if warm is not None and warm <= COLD_C]
        return {"place": cold[0]} if len(cold) == 1 and start.again is None else {}
    values = {"place": before.place or "", "each": YES if before.by_one else NO}
    if before.request is not None:
        asked = _of_request(before.request)
        values |= {name: asked[name] for name in _CARRIED}
        usual = known_style(before.batch.style, start)
        salt = before.request.curing_salt
        # Leaving nitrite out is decided, with a reason, for one batch; the next begins as usual.
        left_out = (
            salt is not None
            and salt.strength_known
            and not (salt.nitrite_fraction or salt.nitrate_fraction)
        )
        if style is not None and usual is not None and _cured_alike(style, usual) and not left_out:
            values |= {name: asked[name] for name in ("curing_salt", "salt_means")}
        if style is not None and usual is not None and style.method == usual.method:
            values |= {"method": before.batch.method} | {name: asked[name] for name in _OF_A_PACK}
            values["bag"] = YES if before.in_bag else NO
    return {name: text for name, text in values.items() if text}


def _cured_alike(style: Style, other: Style) -> bool:
    """Whether two styles take the same type of curing salt."""
    return bool(style.cure_pct) and style.curing_salt == other.curing_salt


def near_styles(text: str, start: Start, most: int = 3) -> list[Option]:
    """Styles that a mistyped one may have meant, the likeliest first.

    Parameters
    ----------
    text : what was typed
    """
    from difflib import get_close_matches

    offered = options("style", {}, start)
    wanted = text.strip().casefold()
    names = {way.casefold(): one for one in offered for way in one}
    for one in offered:
        names |= dict.fromkeys((word.casefold() for word in one[1].split()), one)
    found = [names[near] for near in get_close_matches(wanted, names, most * 2, 0.7)]
    begun = fitting(offered, wanted) if len(wanted) > 2 else []
    return list(dict.fromkeys([*begun, *found]))[:most]


def taken_words(field_id: str, values: Values, touched: Values, start: Start) -> str:
    """Where a value nobody typed was taken from: the batch before, the only cold place."""
    if field_id in touched or start.again is not None:
        return ""
    taken = _of_before(start, known_style(values["style"], start))
    if field_id not in taken or taken[field_id] != values.get(field_id):
        return ""
    if start.before is None:
        return "the only cold place"
    usual = _household(start).get(field_id)
    return "" if taken[field_id] == usual else f"as batch {start.before.batch.code}"


def _again(start: Start) -> dict[str, str]:
    """An earlier batch as the form would have read it."""
    assert start.again is not None
    batch = start.again.batch
    whole = [lot for lot in start.again.lots if lot.parent_id is None]
    values = {
        "name": batch.name,
        "species": batch.species,
        "style": batch.style,
        "method": batch.method,
    }
    if whole:
        first = whole[0]
        values |= {
            "shape": first.shape,
            "bag": YES if first.in_bag else NO,
            "place": start.again.cured_in or "",
            "thickness": "" if first.thickness_mm is None else bare_length(first.thickness_mm),
            "bags": _bags_again(start.again),
            "target": f"{first.target_lo_pct:g}–{first.target_hi_pct:g}",
        }
    if start.again_request is not None:
        values |= _of_request(start.again_request)
    return values


def _bags_again(again: Again) -> str:
    """The bags of an earlier batch by the numbers of its pieces: ``1+2 3+4``."""
    whole = [lot for lot in again.lots if lot.parent_id is None]
    number = {lot.code: n for n, lot in enumerate(whole, 1)}
    bags = again.recipe.get(BAGS) or ()
    return " ".join("+".join(str(number[c]) for c in bag if c in number) for bag in bags)


def _of_request(asked: DoseRequest) -> dict[str, str]:
    """The fields a dose was computed from, as text."""
    amount = "" if asked.cure_pct is None else text_of(asked.cure_pct)
    if asked.wanted_nitrite_mg_per_kg is not None:
        amount = f"{asked.wanted_nitrite_mg_per_kg:g} mg/kg"
    elif asked.wanted_nitrate_mg_per_kg is not None:
        amount = f"{asked.wanted_nitrate_mg_per_kg:g} mg/kg nitrate"
    pack = ""
    if asked.pack_g is not None and asked.pack_for_g is not None:
        pack = f"{asked.pack_g:g} g for {mass(asked.pack_for_g)}"
    numbers = {
        "salt": asked.salt_pct,
        "sugar": asked.sugar_pct or None,
        "water": asked.water_g,
        "pickup": asked.pickup_pct,
        "pump": asked.pump_pct,
        "days": asked.planned_days,
    }
    return {
        **{name: "" if value is None else text_of(value) for name, value in numbers.items()},
        "cure": amount,
        "pack": pack,
        "salt_means": asked.salt_means,
        "cut": asked.cut,
        "curing_salt": salt_text(asked.curing_salt),
        "percent_of": asked.percent_of or "brine",
        "spices": ", ".join(f"{name} {text_of(pct)}" for name, pct in asked.extras),
        "scale": scales_text(asked.shelf_of_scales),
        "rules": asked.rule_set or "",
        "class": asked.product_class or "",
        "eaten": asked.eaten or "",
    }


def salt_text(salt: CuringSalt | None) -> str:
    """A curing salt as the form reads it back: its id, or the strength on its label."""
    return "" if salt is None else salt.id


def _cure(style: Style, values: Values, start: Start) -> str:
    """The style's own nitrite, with the curing salt that is really there."""
    pct = usual_cure_pct(style, values["rules"] or None)
    if not pct or values["method"] in ("pack", *PARTIAL):
        return ""
    try:
        usual = resolve_curing_salt(style.curing_salt)
        chosen = resolve_curing_salt(values["curing_salt"], start.defaults.jars)
    except CuredashError:
        return text_of(pct)
    if not chosen.strength_known or not chosen.nitrite_fraction:
        return text_of(pct) if chosen.id == usual.id else ""
    wanted = ingoing_mg_per_kg(pct, usual.nitrite_fraction, 100)
    return text_of(cut_number(wanted / 1e4 / chosen.nitrite_fraction, 3))


def _keep_offered(values: dict[str, str]) -> None:
    """A choice whose option is gone (another rule set, another method) falls back to none."""
    for name in ("class", "rule"):
        if values[name] not in dict(options(name, values, None)):
            values[name] = ""


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
