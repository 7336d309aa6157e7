"""What the fields of a new batch hold at first: what follows from the rest of the form.

A field nobody touched follows the style, the rule set and how the household did it last; one that
was touched stays.
"""

from curedash.domain.curing.stages import RAW
from curedash.domain.dosing import DoseRequest, resolve_curing_salt
from curedash.domain.dosing.classes import fitting_rows
from curedash.domain.dosing.formulas import ingoing_mg_per_kg
from curedash.domain.dosing.words import cut as cut_number
from curedash.domain.errors import CuredashError
from curedash.domain.household.styles import Style, usual_cure_pct
from curedash.present.display_units import bare_length, mass
from curedash.present.dosing.form.batch_cells import Values, as_cells, joined
from curedash.present.dosing.form.batch_field import NO, PARTIAL, WHOLE, YES
from curedash.present.dosing.form.batch_fields import FIELDS, options
from curedash.present.dosing.form.batch_place import answered_before
from curedash.present.dosing.form.batch_texts import scales_text, text_of
from curedash.present.dosing.form.sausage_fields import is_starter, starter_text
from curedash.present.numbers import parts
from curedash.services.dosing.batch_start import Cured, Start
from curedash.services.dosing.dosing_means import find_style
from curedash.services.dosing.recipe import BAGS, PLAN
from curedash.services.household.book import Again

COLD_C = 7.0  # design value: middle of a band in which a cure can lie


def effective(touched: Values, start: Start) -> dict[str, str]:
    """Every field's value: what was typed, else what follows from the rest."""
    values = dict.fromkeys(FIELDS, "") | _usual(start)
    if start.again is not None:
        values |= _again(start)
    values |= touched
    style = known_style(values["style"], start)
    before = _of_before(start, style)
    values |= before | dict(touched)
    if style is not None and start.again is None:
        method = touched.get("method", before.get("method", style.method))
        values |= _of_style(style, start, method) | before | dict(touched)
    fresh = start.again is None or start.again_request is None
    if "class" not in touched and fresh:
        values["class"] = _class(style, values)
    if "cure" not in touched and style is not None and fresh:
        values["cure"] = _cure(style, values, start)
    _keep_offered(values, start)
    values |= answered_before(values, start)
    if style is not None and not values["name"].strip():
        values["name"] = style.name
    if values["each"] == YES:
        for cell, text in as_cells(values).items():
            values.setdefault(cell, text)
    elif "pieces" not in touched:
        values["pieces"] = joined(values)
    return values


def _usual(start: Start) -> dict[str, str]:
    """The value of each field while nothing else decides it."""
    found = {}
    for each in FIELDS.values():
        usual = each.usual if isinstance(each.usual, str) else each.usual(start)
        if usual:
            found[each.id] = usual
    return found


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


def _of_style(style: Style, start: Start, method: str) -> dict[str, str]:
    values = {
        "species": style.species,
        "cut": style.cut,
        "method": method,
        "shape": "slab" if style.shape == "slab" else "round",
        "skin": YES if style.skin_on else NO,
        "ferments": YES if style.fermented else NO,
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
_CARRIED = ("scale", "rules", "percent_of")
_OF_ITS_STYLE = ("sugar", "spices")  # for another piece of the same style only
_OF_A_SALT = ("curing_salt", "salt_means")  # for a style that takes the same type, on any day
_OF_A_PACK = ("pack", "pickup", "pump")


def _of_before(start: Start, style: Style | None) -> dict[str, str]:
    """What the next batch takes over: from the one before it on a salting day, and its salt."""
    before = start.before
    if start.again is not None:
        return {}
    cured = _cured_before(start, style)
    asked = {} if cured is None else _of_request(cured.request)
    values = {name: text for name, text in asked.items() if name in _OF_A_SALT}
    values["place"] = _only_cold(start)
    if before is not None:
        values |= {"place": before.place or values["place"], "each": YES if before.by_one else NO}
    if before is not None and before.request is not None:
        asked = _of_request(before.request)
        values |= {name: asked[name] for name in _CARRIED}
        usual = known_style(before.batch.style, start)
        if style is not None and style.id == before.batch.style:
            values |= {name: asked[name] for name in _OF_ITS_STYLE}
        if style is not None and usual is not None and style.method == usual.method:
            values |= {"method": before.batch.method} | {name: asked[name] for name in _OF_A_PACK}
            values["bag"] = YES if before.in_bag else NO
    return {name: text for name, text in values.items() if text}


def _only_cold(start: Start) -> str:
    """The only place that is cold enough for a cure; empty where there are none or several."""
    cold = [place for place, warm in start.places if warm is not None and warm <= COLD_C]
    return cold[0] if len(cold) == 1 else ""


def _cured_before(start: Start, style: Style | None) -> Cured | None:
    """The newest batch of a style that takes the same type of curing salt, if that is there."""
    if style is None or not style.cure_pct:
        return None
    for cured in start.cured:
        usual = known_style(cured.style, start)
        if usual is not None and usual.curing_salt == style.curing_salt:
            return cured if _is_there(cured, start) else None
    return None


def _is_there(cured: Cured, start: Start) -> bool:
    """Whether its curing salt still has its name; a jar may be gone."""
    salt = cured.request.curing_salt
    try:
        return salt is not None and bool(resolve_curing_salt(salt.id, start.defaults.jars))
    except CuredashError:
        return False


def taken_words(field_id: str, values: Values, touched: Values, start: Start) -> str:
    """Where a value nobody typed was taken from: the batch before, the only cold place."""
    if field_id == "name" and not touched.get("name", "").strip():
        return "as its style" if values["name"] and start.again is None else ""
    if field_id in touched or start.again is not None:
        return ""
    taken = _of_before(start, known_style(values["style"], start))
    if field_id not in taken or taken[field_id] != values.get(field_id):
        return ""
    before, usual = start.before, _usual(start).get(field_id)
    cured = _cured_before(start, known_style(values["style"], start))
    if cured is not None and field_id in _OF_A_SALT:
        return "" if taken[field_id] == usual else f"as batch {cured.code}"
    if before is None or (field_id == "place" and before.place is None):
        return "the only cold place"
    code = before.place_of if field_id == "place" else before.batch.code
    return "" if taken[field_id] == usual else f"as batch {code}"


def _again(start: Start) -> dict[str, str]:
    """An earlier batch as the form would have read it."""
    assert start.again is not None
    batch = start.again.batch
    whole = [lot for lot in start.again.lots if lot.parent_id is None]
    values = {**parts(batch, "name", "species", "style", "method")}
    if whole:
        first = whole[0]
        values |= {
            "shape": first.shape,
            "bag": YES if first.in_bag else NO,
            "place": start.again.cured_in or "",
            "thickness": "" if first.thickness_mm is None else bare_length(first.thickness_mm),
            "bags": _bags_again(start.again),
            "sausages": "" if first.count == 1 else str(first.count),
            "casing": "" if first.thickness_mm is None else bare_length(first.thickness_mm),
            "ferments": YES if first.ferments else NO,
            **{name: str(text) for name, text in (start.again.recipe.get(PLAN) or {}).items()},
            "target": f"{first.target_lo_pct:g}–{first.target_hi_pct:g}",
        }
    if start.again_request is not None:
        return values | _of_request(start.again_request)
    style = known_style(batch.style, start)
    # how it was salted was not written down: its style says the usual, as for a new one
    return values if style is None else _of_style(style, start, values["method"]) | values


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
    started = next((one for one in asked.extras if is_starter(one[0])), None)
    return {
        **{name: "" if value is None else text_of(value) for name, value in numbers.items()},
        "starter": "" if started is None else starter_text(*started),
        "cure": amount,
        "pack": pack,
        "salt_means": asked.salt_means,
        "cut": asked.cut,
        "curing_salt": ("" if asked.curing_salt is None else asked.curing_salt.id),
        "percent_of": asked.percent_of or "brine",
        "spices": ", ".join(
            f"{name} {text_of(pct)}" for name, pct in asked.extras if (name, pct) != started
        ),
        "scale": scales_text(asked.shelf_of_scales),
        "rules": asked.rule_set or "",
        "class": asked.product_class or "",
        "eaten": asked.eaten or "",
    }


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


def _keep_offered(values: dict[str, str], start: Start) -> None:
    """A choice whose option is gone (another rule set, another method) falls back to none."""
    for name in ("class", "rule"):
        if values[name] not in dict(options(name, values, None)):
            values[name] = ""
    if values["now"] not in dict(options("now", values, start)):
        values["now"] = RAW
