"""Settings in words and as JSON: the rows of the screens, the lines of the shell."""

from collections.abc import Sequence
from typing import Any

from curedash.domain.dosing.limits import rule_sets
from curedash.domain.facts.units import G_PER_LB, G_PER_OZ
from curedash.domain.records import Place
from curedash.domain.typed.numbers import tidy
from curedash.present import display_units as units
from curedash.present.dosing.dose_weights import in_ounces
from curedash.present.household.settings_row import Row, head
from curedash.present.lines import WATCHES, place_line
from curedash.present.numbers import parts
from curedash.present.signs import set_for
from curedash.present.words import NOTHING, count, plain
from curedash.services.household.household_settings import (
    HouseholdSettings,
    OwnScale,
    rule_set_label,
)
from curedash.services.household.preferences import View
from curedash.services.household.styles import KnownStyle

LOOKS = (
    ("paper-dark", "dark, light letters on a dark ground"),
    ("paper-light", "light, dark letters on paper"),
    ("contrast", "high contrast, white on black"),
    ("terminal", "the terminal's own colours"),
)
SIGNS = (
    ("auto", "by the terminal"),
    ("braille", "Braille dots and blocks"),
    ("blocks", "blocks only"),
    ("ascii", "letters and digits only"),
)
MOUSES = (
    ("off", "off, left to the terminal"),
    ("on", "on: click rows and keys, scroll with the wheel"),
)
Options = tuple[tuple[str, str], ...]


_DOSES = "only how weights are shown; doses are always in grams"
#: kind → what it is called, and the help beside it
_WORDS = {
    "units": ("units shown", _DOSES),
    "weights": ("weights shown in", _DOSES),
    "temperatures": (
        "temperatures in",
        "for display and for numbers typed without a unit; the file has °C",
    ),
    "lengths": ("thicknesses in", "for display and for numbers typed in a form; the file has mm"),
    "paper": (
        "paper of a PDF",
        "unless another is named; it follows the weights until it is chosen",
    ),
    "theme": ("theme", "how the screens look"),
    "signs": ("signs", "of curves, trends and marks"),
    "mouse": ("mouse", "while on, hold Shift to select text"),
    "own-keys": (
        "own keys",
        "a command and its key, e.g. rack.weigh G; rack.weigh alone: the usual key",
    ),
    "rule-set": ("rule set", "whose limits a dose is checked against"),
    "zone": ("time zone", "a zone like Europe/Vienna or America/Chicago"),
    "copies": ("daily copies to keep", "1 to 1000; usually 14"),
    "keep-days": ("a pack keeps", "how many days you keep a pack; 0: type each keep-until day"),
}


def _row(kind: str, value: str, brief: str = "") -> Row:
    label, help = _WORDS[kind]
    return Row(kind, "", label, value, help, brief=brief)


def options_of(kind: str) -> Options:
    """The answers of a choice, each with its plain words."""
    return {
        "weights": units.WEIGHTS,
        "temperatures": units.TEMPERATURES,
        "lengths": units.LENGTHS,
        "paper": units.PAPERS,
        "units": UNITS,
        "theme": LOOKS,
        "signs": SIGNS,
        "mouse": MOUSES,
        "rule-set": rule_sets(),
        "watch": tuple(WATCHES.items()),
    }[kind]


def first_rows(view: View, found: HouseholdSettings) -> list[Row]:
    """What is asked once, on an empty file: three questions; all else where it first matters."""
    return [
        _row("units", dict(UNITS).get(units_of(view) or "", "mixed, by Settings")),
        *_scale_rows(found),
        *_another("scale", found.scales),
        *_place_rows(found),
        *_another("place", found.places),
    ]


def all_rows(
    view: View,
    found: HouseholdSettings,
    theme: str,
    path: str,
    known: Sequence[KnownStyle],
    *,
    plain_ink: bool = False,
    opened: str | None = None,
    remove_key: str,
    sensor_key: str,
    new_key: str,
) -> list[Row]:
    """Everything that can be changed, under heads.

    Parameters
    ----------
    known : every style there is; ``opened`` is the id of the one whose fields are shown
    plain_ink : colours are unwelcome here
    remove_key, sensor_key, new_key : are named at the heads they work under
    """
    from curedash.present.household.shelf_rows import alert_rows, jar_rows, limit_rows, style_rows

    return [
        *_person_rows(view, theme, path, plain_ink=plain_ink, remove_key=remove_key),
        *_household_rows(found),
        head("Scales", "doses are rounded to the finest that fits"),
        *_scale_rows(found),
        head("Places", f"their bands; {sensor_key}: who measures there"),
        *_place_rows(found),
        *limit_rows(found.rules, remove_key),
        *jar_rows(found.jars, new_key, remove_key),
        *style_rows(known, opened, new_key, remove_key),
        *alert_rows(found.rules, remove_key),
    ]


def _person_rows(
    view: View, theme: str, path: str, *, plain_ink: bool, remove_key: str
) -> list[Row]:
    own_keys = len(view.keys or {})
    keys_words = count(own_keys, "command") if own_keys else "the usual keys"
    look, signs = _look_words(theme, plain_ink=plain_ink), _signs_words(view)
    return [
        head("This person", path),
        _row("weights", dict(units.WEIGHTS)[view.weights]),
        _row("temperatures", dict(units.TEMPERATURES)[view.temperatures]),
        _row("lengths", dict(units.LENGTHS)[view.lengths_shown()]),
        _row("paper", dict(units.PAPERS)[view.paper_shown()]),
        _row("theme", look, look.partition(",")[0]),
        _row("signs", signs, signs.rpartition(": ")[2]),
        _row("mouse", dict(MOUSES)[view.mouse], view.mouse),
        _row("own-keys", keys_words),
        *(
            Row("own-key", name, "  " + name, " ".join(keys), f"{remove_key}: the usual key")
            for name, keys in (view.keys or {}).items()
        ),
    ]


def _household_rows(found: HouseholdSettings) -> list[Row]:
    rules = "none picked" if found.rule_set is None else rule_set_label(found.rule_set)
    return [
        head("This household", "in the file, for everybody who uses it"),
        _row("rule-set", rules),
        _row("zone", found.zone if found.zone_kept else f"{found.zone} (this machine's)"),
        _row("copies", str(found.copies_kept)),
        _row(
            "keep-days",
            _keep_words(found.keep_days),
            "no rule" if found.keep_days is None else count(found.keep_days, "day"),
        ),
    ]


#: the units of a household in one answer; None: they follow the weights
UNITS = (("metric", "g, °C, mm"), ("pounds", "lb and oz, °F, inches"))
UNITS_TOGETHER: dict[str, dict[str, str | None]] = {
    "metric": {"weights": "g", "temperatures": "C", "lengths": None, "paper": None},
    "pounds": {"weights": "lb", "temperatures": "F", "lengths": None, "paper": None},
}


def units_of(view: View) -> str | None:
    """Which of the two a view is; None where it mixes them."""
    shown = view.weights, view.temperatures, view.lengths_shown()
    known = {("g", "C", "mm"): "metric", ("lb", "F", "in"): "pounds"}
    return known.get(shown)


def _signs_words(view: View) -> str:
    """The set in use, and whether the terminal chose it."""
    words = dict(SIGNS)
    if view.signs is not None:
        return words[view.signs]
    return f"{words['auto']}: {words[set_for(None)]}"


def _look_words(theme: str, *, plain_ink: bool) -> str:
    return "no colour (NO_COLOR is set)" if plain_ink else dict(LOOKS).get(theme, theme)


def _keep_words(days: int | None) -> str:
    return (
        "no rule: you type each keep-until day"
        if days is None
        else f"{count(days, 'day')} by your rule"
    )


def _another(what: str, known: tuple[object, ...]) -> list[Row]:
    return [Row(f"new-{what}", "", f"another {what}", "")] if known else []


def _scale_rows(found: HouseholdSettings) -> list[Row]:
    rows = [
        Row("scale", scale.name, _scale_label(scale.name), scale_words(scale), _scale_help())
        for scale in found.scales
    ]
    return rows or [Row("new-scale", "", "scales", "none yet", _scale_help())]


def scales_help() -> str:
    """How several scales are typed in one line."""
    return (
        f"name, smallest step, maximum (the name may be left out): {units.several_scales_example()}"
    )


def places_help() -> str:
    """How several places are typed in one line."""
    point = units.by_temperature("13C", "55F")
    return f"name and band, or its set point: Fridge {units.band_example()}, Cellar {point} 75%"


def _scale_label(name: str) -> str:
    """The scale by its name, which may say already that it is one."""
    return plain(name) if "scale" in name.casefold() else f"scale {plain(name)}"


def _scale_help() -> str:
    return f"name, smallest step, maximum: {units.scale_example()}"


def _place_rows(found: HouseholdSettings) -> list[Row]:
    rows, band = [], units.band_example()
    for place in found.places:
        name, bands = plain(place.name), place_line(place).removeprefix(place.name)
        help = f"a band, or a new name, or both: {name} {band}"
        rows.append(Row("place", place.name, name, plain(bands.removeprefix(", ")), help))
    return rows or [Row("new-place", "", "places", "none yet", f"name and band: Fridge 2 {band}")]


def scale_words(scale: OwnScale) -> str:
    """``steps of 0.1 g, up to 500 g``."""
    finest = f"steps of {as_typed(scale.division_g)}"
    return finest if scale.max_g is None else f"{finest}, up to {as_typed(scale.max_g)}"


def scale_text(scale: OwnScale) -> str:
    """A scale as it would be typed: ``kitchen 0.1 oz 11 lb``."""
    most = "" if scale.max_g is None else f" {as_typed(scale.max_g)}"
    return f"{scale.name} {as_typed(scale.division_g)}{most}"


def as_typed(weight_g: float) -> str:
    """A weight of a scale in the unit it was given in: grams, or in pounds or ounces.

    Example
    -------
    >>> as_typed(0.1), as_typed(5000), as_typed(2.8349523125), as_typed(4989.51607)
    ('0.1 g', '5000 g', '0.1 oz', '11 lb')
    """
    pounds = weight_g / G_PER_LB
    if pounds >= 1 and abs(pounds - round(pounds, 1)) < 1e-6 < abs(weight_g - round(weight_g, 2)):
        return f"{round(pounds, 1):g} lb"
    if in_ounces(weight_g):
        return f"{round(weight_g / G_PER_OZ, 2):g} oz"
    return f"{tidy(float(f'{weight_g:.6g}'))} g"


def place_text(place: Place) -> str:
    """A place as it would be typed: ``Fridge 2..5C 70..80%``."""
    words = [place.name]
    if place.temp_lo_c is not None and place.temp_hi_c is not None:
        ends = (f"{round(units.degrees(end), 2):g}" for end in (place.temp_lo_c, place.temp_hi_c))
        words.append("..".join(ends) + units.temp_letter())
    if place.rh_lo_pct is not None and place.rh_hi_pct is not None:
        words.append(f"{place.rh_lo_pct:g}..{place.rh_hi_pct:g}%")
    return " ".join(words)


def place_words(place: Place) -> str:
    """A place as it was understood."""
    return plain(place_line(place))


# ── the shell ─────────────────────────────────────────────────────────────────────────────


def setting_lines(view: View, found: HouseholdSettings, path: str) -> list[str]:
    """Settings one a line, by the names ``settings set`` takes."""
    values = settings_document(view, found, path)
    shown = {name: values[name.replace("-", "_")] for name in SHELL}
    lines = [f"{n:<13} {NOTHING if value is None else value}" for n, value in shown.items()]
    lines += [f"{'scale':<13} {plain(scale.name)}: {scale_words(scale)}" for scale in found.scales]
    return [*lines, f"{'view file':<13} {path}"]


SHELL = (
    *("weights", "temperatures", "lengths", "paper", "theme", "signs", "mouse"),
    *("rule-set", "zone", "copies", "keep-days"),
)


def settings_document(view: View, found: HouseholdSettings, path: str) -> dict[str, Any]:
    """Settings as JSON."""
    return {
        **parts(view, "weights", "temperatures"),
        "lengths": view.lengths_shown(),
        "paper": view.paper_shown(),
        **parts(view, "theme", "signs", "mouse"),
        "keys": {name: list(keys) for name, keys in (view.keys or {}).items()},
        "view_file": path,
        **parts(found, "rule_set", "zone"),
        "copies": found.copies_kept,
        "keep_days": found.keep_days,
        "scales": [parts(scale, "name", "division_g", "max_g") for scale in found.scales],
    }
