"""The fields of a new batch: which there are, which a method needs, what stands in them at first.

Every value is text as typed. A field nobody touched follows the style, the rule set and how the
household did it last; one that was touched stays.
"""

from collections.abc import Mapping, Sequence

from curedash.domain.cure_time import rules_for
from curedash.domain.dose import (
    METHODS,
    CuringSalt,
    DoseRequest,
    Scale,
    curing_salts,
    resolve_curing_salt,
)
from curedash.domain.dose.formulas import ingoing_mg_per_kg
from curedash.domain.dose.words import cut as cut_number
from curedash.domain.errors import CuredashError
from curedash.domain.facts.cure_time_rules import CureTimeRule
from curedash.domain.limits import product_classes, rule_sets
from curedash.domain.record import record
from curedash.domain.styles import Style, usual_cure_pct
from curedash.present.view import bare_length, length_unit, mass
from curedash.services.batch_start import Start
from curedash.services.dosing import find_style

Values = Mapping[str, str]
YES, NO = "yes", "no"
PARTIAL = ("immersion", "injection")
WHOLE = ("equilibrium", "equilibrium-brine", "ground")
BAGGED = ("equilibrium", "equilibrium-brine")  # a bag is dosed by what is in it
MOST_ROWS = 40  # pieces with a line of their own; more are alike


@record
class Field:
    """One field: its label, how it is filled, and what to say while it is."""

    id: str
    label: str
    help: str
    kind: str = "text"  # text | choice: one of a few | combo, search: see tui/form.py


_FIELDS = {
    field.id: field
    for field in (
        Field("name", "name", "what the batch is called, e.g. Beef eye"),
        Field("species", "species", "beef, pork, duck, venison …"),
        Field("cut", "cut", "the cut, e.g. eye of round"),
        Field("style", "style", "letters, then → takes one of the list; any other name makes a "
              "new style", "combo"),
        Field("pieces", "green weights", "raw, one a piece: 1134 1088 990 1041, or one divided: "
              "4536 g / 4"),
        Field("each", "the pieces", "give each piece its own thickness, name and source",
              "choice"),
        Field("bags", "in one bag", "pieces salted together, by number: 1+2, or 1+2 3+4, or all; "
              "empty: each in a bag of its own"),
        Field("thickness", "thickness", "thickest spot, never rounded down: 80 mm, 3¼ in; or one "
              "each: 90 85 80 80"),
        Field("shape", "shape", "a tied round salts through sooner than a slab", "choice"),
        Field("skin", "skin, fat cap", "one side closed: the salt comes from the other only",
              "choice"),
        Field("method", "method", "how it is salted", "choice"),
        Field("salt", "salt", "total salt in percent, the curing salt's counted in or beside it"),
        Field("salt_means", "that salt is", "the whole salt, the curing salt counted in, or what "
              "comes besides it", "choice"),
        Field("curing_salt", "curing salt", "as its label says: a type by ←→, an own jar, or a "
              "strength 5.88/0", "search"),
        Field("cure", "its % or mg/kg", "curing salt in percent, or the nitrite wanted: 120 mg/kg"),
        Field("water", "water", "weight of the water, e.g. 1000 g"),
        Field("pickup", "pick-up", "brine the meat takes up, percent of its weight, e.g. 4"),
        Field("pump", "pump", "brine pumped in, percent of the meat's weight, e.g. 10"),
        Field("percent_of", "percent of", "whether the percentages are of the brine or the meat",
              "choice"),
        Field("pack", "pack", "weight of one pack for how much meat: 145 g for 5 lb"),
        Field("packs", "packs used", "on all pieces together, e.g. 1 or 0.5; empty: what they are "
              "rated for"),
        Field("sugar", "sugar", "percent; empty: none"),
        Field("spices", "spices", "name and percent: black pepper 0.4, juniper 0.2"),
        Field("scale", "scale", "what it shows: 0.1; several with their maximum: 0.01/200, 1/5000"),
        Field("rules", "rule set", "whose limits count", "choice"),
        Field("class", "product class", "which of its limits", "choice"),
        Field("eaten", "eaten", "as it is, cooked soon, or fried", "choice"),
        Field("days", "planned days", "from salting to slicing, e.g. 60"),
        Field("target", "pulled at", "percent lost, e.g. 35–40"),
        Field("place", "place", "where it cures; → takes a known one, another name makes a new "
              "place", "combo"),
        Field("salted", "salted on", "empty: tick the sheet off first; today, 14 Mar: went in as "
              "planned"),
        Field("rule", "days by rule", "the rule of thumb for the days in the cure", "choice"),
        Field("bag", "dries in a bag", "in a bag that lets vapour through", "choice"),
        Field("source", "source", "the roast it was cut from, e.g. roast 1"),
        Field("note", "note", "for next time"),
        # a line for each piece, and for each roast
        Field("thick", "thick", "thickest spot of this piece; empty: as the one above"),
        Field("piece", "name", "what this piece is called, e.g. thick end"),
        Field("from", "from", "the roast it was cut from; empty: as the one above"),
        Field("count", "count", "small pieces weighed together as this one; empty: 1"),
        Field("shop", "shop", "where it was bought"),
        Field("packed", "packed", "the date on its label"),
        Field("price", "price", "what it cost, e.g. 38.20 EUR"),
        Field("bought", "weight", "weight as bought, e.g. 4.8 kg"),
        Field("condition", "meat", "fresh, frozen or wild", "choice"),
    )
}  # fmt: skip
PIECE_CELLS = ("thick", "piece", "from", "count")
SOURCE_CELLS = ("shop", "packed", "price", "bought", "condition")


def field(field_id: str) -> Field:
    """The field of an id; ``thick:2`` is the thickness of the third piece."""
    return _FIELDS[field_id.partition(":")[0]]


def rows(values: Values, pieces: int, sources: Sequence[str]) -> list[list[str]]:
    """The ids of the fields, line by line, as far as the method needs them.

    Parameters
    ----------
    pieces : how many green weights can be read
    sources : the roasts named
    """
    method = values["method"]
    out = [["name"], ["species"], ["cut"], ["style"], ["pieces"]]
    if pieces > 1:
        out.append(["each"])
    by_one = pieces > 1 and values["each"] == YES
    if by_one:
        out += [[f"{cell}:{n}" for cell in PIECE_CELLS] for n in range(min(pieces, MOST_ROWS))]
    else:
        out += [["source"]]
    out += [[f"{cell}:{n}" for cell in SOURCE_CELLS] for n in range(len(sources))]
    out += [["thickness"], ["shape"], ["skin"], ["method"]]
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
    if pieces > 1 and method in BAGGED:
        out += [["bags"]]
    out += [["sugar"], ["spices"], ["scale"], ["rules"], ["class"], ["eaten"], ["days"]]
    out += [["target"], ["place"], ["salted"]]
    if len(options("rule", values, None)) > 1:
        out += [["rule"]]
    return [*out, ["bag"], ["note"]]


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
    units = {"pieces": "g", "thickness": length_unit(), "thick": length_unit(), "water": "g",
             "scale": "g", "pickup": "% of meat", "pump": "% of meat", "target": "% lost",
             "days": "d"}  # fmt: skip
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
    "salt_means": [("includes", "all, curing salt included"),
                   ("besides", "besides the curing salt")],
    "percent_of": [("brine", "the brine"), ("meat", "the meat")],
    "eaten": [("", "not said"), ("as-is", "as it is"), ("cooked-soon", "cooked soon"),
              ("fried", "fried")],
    "bag": _YES_NO,
    "condition": [("fresh", "fresh"), ("frozen", "frozen"), ("wild", "wild")],
}  # fmt: skip


def options(field_id: str, values: Values, start: Start | None) -> list[Option]:
    """What a field offers, in order; nothing for a field of plain text."""
    name = field_id.partition(":")[0]
    if name == "rules":
        return [("", "none picked"), *rule_sets()]
    if name == "class":
        rules = values["rules"]
        return [("", "none picked"), *(product_classes(rules) if rules else ())]
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
    """A field's text; a roast is fresh until something else is said."""
    usual = "fresh" if field_id.startswith("condition:") else ""
    return values.get(field_id, usual)


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
    if style is not None and start.again is None:
        values |= _of_style(style, start, touched.get("method", style.method)) | dict(touched)
    if "class" not in touched and style is not None and start.again is None:
        values["class"] = style.class_for(values["rules"]) or ""
    if "cure" not in touched and style is not None and start.again is None:
        values["cure"] = _cure(style, values, start)
    _keep_offered(values)
    return values


def known_style(text: str, start: Start) -> Style | None:
    """The style of this name; None while it is empty, new or impossible."""
    try:
        style, new = find_style(text, start.defaults)
    except CuredashError:
        return None
    return None if new or not text.strip() else style


def _household(start: Start) -> dict[str, str]:
    values = {"each": NO, "shape": "slab", "skin": NO, "method": "equilibrium",
              "salt_means": "includes", "percent_of": "brine", "bag": NO}  # fmt: skip
    last = start.last
    values["rules"] = start.defaults.rule_set or (last.rule_set if last else None) or ""
    scales = start.defaults.scales or (last.shelf_of_scales if last else (Scale(1.0),))
    values["scale"] = ", ".join(_scale_text(scale) for scale in scales)
    return values


def _of_style(style: Style, start: Start, method: str) -> dict[str, str]:
    values = {
        "species": style.species, "cut": style.cut, "method": method,
        "shape": "slab" if style.shape == "slab" else "round", "eaten": style.eaten or "",
        "salt": text_of(style.salt_pct) if method in WHOLE else "",
        "days": "" if style.planned_days is None else str(style.planned_days),
        "target": f"{style.loss_lo_pct:g}–{style.loss_hi_pct:g}",
    }  # fmt: skip
    liked = start.liked.get(style.id)
    if liked is not None and liked.recipe.get("method") == method:
        for name in ("salt", "sugar"):
            if liked.recipe.get(f"{name}_pct"):
                values[name] = text_of(float(liked.recipe[f"{name}_pct"]))
    return values


def _again(start: Start) -> dict[str, str]:
    """An earlier batch as the form would have read it."""
    assert start.again is not None
    batch = start.again.batch
    whole = [lot for lot in start.again.lots if lot.parent_id is None]
    values = {"name": batch.name, "species": batch.species, "style": batch.style,
              "method": batch.method}  # fmt: skip
    if whole:
        first = whole[0]
        values |= {
            "shape": first.shape, "bag": YES if first.in_bag else NO, "place": first.place or "",
            "thickness": "" if first.thickness_mm is None else bare_length(first.thickness_mm),
            "target": f"{first.target_lo_pct:g}–{first.target_hi_pct:g}",
        }  # fmt: skip
    if start.again_request is not None:
        values |= _of_request(start.again_request)
    return values


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
    numbers = {"salt": asked.salt_pct, "sugar": asked.sugar_pct or None, "water": asked.water_g,
               "pickup": asked.pickup_pct, "pump": asked.pump_pct,
               "days": asked.planned_days}  # fmt: skip
    return {
        **{name: "" if value is None else text_of(value) for name, value in numbers.items()},
        "cure": amount, "pack": pack, "salt_means": asked.salt_means, "cut": asked.cut,
        "curing_salt": salt_text(asked.curing_salt), "percent_of": asked.percent_of or "brine",
        "spices": ", ".join(f"{name} {text_of(pct)}" for name, pct in asked.extras),
        "scale": ", ".join(_scale_text(scale) for scale in asked.shelf_of_scales),
        "rules": asked.rule_set or "", "class": asked.product_class or "",
        "eaten": asked.eaten or "",
    }  # fmt: skip


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


def _scale_text(scale: Scale) -> str:
    most = "" if scale.max_g is None else f"/{text_of(scale.max_g)}"
    return text_of(scale.division_g) + most


def text_of(value: float) -> str:
    """A number as one would type it."""
    return f"{value:.10g}"
