"""The record of numbers: every constant of the domain with unit, source and how well it is known.

Tables whose rows name their source, the tuples called FACTS and constants whose comment says what
they are ("design value: …", "common practice: …") speak for themselves; all else is in RECORD.
`tests/docs/test_record_of_numbers.py` walks the modules and fails on a number that has no entry.
"""

import ast
import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

DESIGN = "design"  # how: a value of this program, no standard
FIXED = "exact"  # how: by definition
_OWN = "design value of this program, no standard"
_DEFINED = "by definition"
_BOUND = "bound of what is taken as typed: design value"
_FIT = (
    "set so that 80 % windows hold on pieces that dry by other laws, cross-validated by household"
)
_QUESTION = "where a question is asked about a weight: design value, tried on published logs"
_AGREED = "International yard and pound agreement of 1959 (NIST SP 811)"

# module of the domain → (names, unit, what it is and where it is from, how well known)
RECORD: dict[str, tuple[tuple[str, str, str, str], ...]] = {
    "needs.plan_back": (
        ("DAYS_SD", "log", "how far drying days of one style lie apart: " + _OWN, DESIGN),
        ("EIGHT_IN_TEN", "1", "90 % point of the unit normal", "derived"),
    ),
    "needs.alert_rules": (
        ("_STAGE_RULES RULES", "–", "each rule is a row of its own below", DESIGN),
    ),
    "places.air": (("HOUR_S", "s/h", _DEFINED, FIXED),),
    "places.bad_readings": (("HOUR_S", "s/h", _DEFINED, FIXED),),
    "curing.choices": (
        (
            "ABSORBED_AFTER_H EARLY_H",
            "h",
            "until when meat, or what is missing, is added: no text gives hours",
            DESIGN,
        ),
        ("FAR_FACTOR", "times", "far from the plan: a slip, not a scale", DESIGN),
        ("TABLE", "–", "the choices themselves: common practice", "memory"),
    ),
    "clock": (("TOLERANCE_S", "s", "a clock behind the newest entry: " + _OWN, DESIGN),),
    "household.codes": (("_LONGEST", "letters", _BOUND, DESIGN),),
    "curing.salt_diffusion_series": (
        (
            "_FO_EMPTY _FO_SHORT",
            "Fo",
            "below it a series is replaced by its short form;"
            " the difference is under the printed digits",
            "derived",
        ),
    ),
    "curing.cure_time": (
        ("COLD_C WARM_C", "°C", "2 to 5 °C for the cure: common practice", "memory"),
        ("_DENSITY_G_PER_MM3", "g/mm³", "lean meat, common practice", "memory"),
        (
            "_THICKER_THAN_A_BALL _WIDEST_SLAB_MM _LONGEST_ROUND_MM",
            "times, mm, mm",
            "sizes that make no piece of meat: " + _OWN,
            DESIGN,
        ),
    ),
    "curing.degree_hours": (
        ("C_PER_F BASE_TEMP_C", "°C/°F, °C", "60 °F of the printed base in °C", "derived"),
        ("LONGEST_GAP_H", "h", "a longer gap makes degree-hours unknown: " + _OWN, DESIGN),
        ("READ_TO_C", "°C", "half of the last digit that a sensor shows", DESIGN),
        ("CLOSE_H", "h", "readings within it count as one hour: " + _OWN, DESIGN),
        ("LONGEST_H", "h", "the longest time of the printed table", "derived"),
    ),
    "needs.diary": (("NEAR_EACH_OTHER_DAYS", "d", "weigh-ins closer than this are one", DESIGN),),
    "dosing.asked": (
        ("SLIP_SALT_PCT", "% total salt", "under it a slip is asked about", DESIGN),
        (
            "USUAL_SALT_PCT GROUND_SALT_PCT",
            "% total salt",
            "usual; the least for ground meat: common practice",
            "memory",
        ),
    ),
    "dosing.usual": (
        (
            "USUAL_NITRITE_MG_PER_KG",
            "mg/kg",
            "0.25 % of a 6.25 % curing salt: common practice",
            "memory",
        ),
        ("_SLIPS", "times", "slips of the decimal mark that are corrected", DESIGN),
    ),
    "dosing.compute": (("_MOST_FIXES", "1", "steps tried towards what is accepted", DESIGN),),
    "dosing.formulas": (
        ("SATURATED_BRINE_PCT", "% of brine", "saturated NaCl at room temperature", "memory"),
    ),
    "dosing.limit_checks": (
        ("STYLE_RATIO", "times", "over the style's own dose: caution", DESIGN),
    ),
    "dosing.misdose": (
        ("NEAR_PCT", "% of the plan", "nearer than this nothing is short or over", DESIGN),
    ),
    "dosing.plan": (
        (
            "MAX_TOTAL_SALT_PCT HIGH_TOTAL_SALT_PCT LOW_TOTAL_SALT_PCT",
            "% of the meat",
            "refused over, cautions over and under",
            DESIGN,
        ),
        ("WITHOUT_THE_PACK", "%", "usual salt where a pack is left out", DESIGN),
        ("IMMERSION_WATER_SHARE", "1", "least brine beside the meat", DESIGN),
    ),
    "dosing.plan_checks": (),
    "dosing.premix": (
        (
            "PARTS DIVISIONS_IN_A_PREMIX ENOUGH_DIVISIONS",
            "parts, divisions",
            "dilutions that are proposed, and how well they can be weighed",
            DESIGN,
        ),
    ),
    "dosing.request": (
        ("LONG_DRY_DAYS", "d", "longer than this nitrite is used up: common practice", "memory"),
        ("MAX_GREEN_G MAX_WATER_G MIN_GREEN_G", "g", _BOUND, DESIGN),
    ),
    "dosing.rounding": (
        (
            "FEW_DIVISIONS COARSE_ERROR_PCT",
            "divisions, %",
            "where a scale is said to be too coarse",
            DESIGN,
        ),
        ("COMMON_DIVISIONS_G", "g", "divisions of scales that are sold", "memory"),
    ),
    "dosing.salts": (
        ("PURE_NITRITE_PCT", "%", "stronger than any curing salt sold; taken as pure", DESIGN),
    ),
    "dosing.ticks": (
        ("MAX_WEIGHED_G", "g", _BOUND, DESIGN),
        ("ODD_FACTOR TENFOLD", "times", "a weight far from the plan is asked about", DESIGN),
    ),
    "weighing.doubts": (
        (
            "_FAR _NEAR _CURED _SLIPS _UNIT_SLIPS _HEAVIER_SHARE _STEPS _AGAIN_STEPS _AGAIN_MOST "
            "_AGAIN_SHARE _KNIFE_SHARE _LIGHTER _LIGHTER_SHARE _SLOWER _SLOWER_SHARE _JUMP_PCT "
            "_JUMP_DAYS _FIRST_PCT _JUMP_FROM_FORECAST",
            "shares, points",
            _QUESTION,
            DESIGN,
        ),
        ("_WETTEST_PCT", "% water", "no raw meat of the composition tables holds as much", DESIGN),
        (
            "_MAX_PCT_MM_PER_DAY _THIN_MM",
            "% · mm/d, mm",
            "faster than a free wet surface in a fan-stirred chamber dries (about 400)",
            DESIGN,
        ),
        ("_AHEAD_S", "s", "two clocks may differ by this: " + _OWN, DESIGN),
    ),
    "drying.drying_rate": (
        ("RATE_SPAN_DAYS RATE_APART_DAYS", "d", "what a rate is taken over", DESIGN),
        ("FAST_THIN FAST_THICK", "mm, % in the first week", "too fast: case hardening", DESIGN),
        ("COLLAPSE_SHARE COLLAPSE_BELOW_PCT NARROW_ENOUGH", "1, %, 1", "signs of a rim", DESIGN),
    ),
    "drying.equalising": (
        ("_DECAY", "1", "first zeros of J1 and of the slab, squared (Crank 1975)", "derived"),
    ),
    "facts.air": (
        ("AIR_LIMITS", "°C", "limits by stage; the household may change them", DESIGN),
        ("SENSOR_SILENT_H HAND_LOG_SILENT_H HAND_GAP_H GRACE_AFTER_LOADING_H", "h", _OWN, DESIGN),
        (
            "CLEARS_INSIDE_C CLEARS_INSIDE_RH_PCT SENSORS_APART_C SENSORS_APART_RH_PCT "
            "ENOUGH_COVERED",
            "°C, %, °C, %, 1",
            _OWN,
            DESIGN,
        ),
        ("POWER_ON_C", "°C", "power-on value of a common one-wire sensor (data sheet)", "memory"),
        ("NOT_CONNECTED_C", "°C", "what common one-wire libraries report", "memory"),
        (
            "SENSOR_RANGE_C NO_AIR_BELOW_RH_PCT FLAT_READINGS FLAT_H STUCK_AT_END_READINGS "
            "STUCK_AT_END_H",
            "°C, %, 1, h, 1, h",
            "what no air can be: " + _OWN,
            DESIGN,
        ),
        (
            "MAGNUS_HPA MAGNUS_A MAGNUS_B",
            "hPa, 1, °C",
            "Alduchov and Eskridge, J. Appl. Meteorol. 35 (1996) 601, eq. 21",
            "quoted",
        ),
        (
            "SALT_TEST_RH",
            "°C, % RH",
            "Greenspan, J. Res. Natl. Bur. Stand. 81A (1977) 89, NaCl: 25 °C read, other rows "
            "memory",
            "memory",
        ),
    ),
    "facts.bessel": (
        (
            "J1_ZEROS J0_ZEROS J0_AT_J1_ZEROS J1_AT_J0_ZEROS TAN_ZEROS",
            "1",
            "zeros of Bessel functions and of tan q = q; compared with scipy in the tests",
            "derived",
        ),
    ),
    "facts.cure_time_rules": (
        (
            "THIN_PIECE_MM WITHOUT_THICKNESS_MOST_G LONGEST_CURE_DAYS LONGEST_REST_DAYS "
            "RULES_TEMPS_C RULES_LEAST_SALT_PCT",
            "mm, g, d, d, °C, %",
            "where a rule is offered at all",
            DESIGN,
        ),
    ),
    "facts.degree_hours": (
        (
            "BASE_TEMP_F TARGET_PH LIMITS_F",
            "°F, pH, °F·h",
            "fermentation log form dated 2012-11-23: base 60 °F, pH 5.3, limits read off its table",
            "read",
        ),
    ),
    "facts.molar_mass": (
        (
            "NITROGEN OXYGEN SODIUM POTASSIUM CHLORINE",
            "g/mol",
            "IUPAC standard atomic weights before the intervals of 2009",
            "memory",
        ),
        (
            "NO2 NO3 NANO2 KNO2 NANO3 KNO3 NACL",
            "g/mol",
            "added up; compared with two independent libraries in the tests",
            "derived",
        ),
    ),
    "facts.styles": (("NEW_STYLE_LOSS_PCT", "% of hang", "where a new style begins", DESIGN),),
    "facts.trichina": (
        (
            "CHILL_FIRST_C",
            "°C",
            "7 Pa. Code 1.333 (a): after preparatory chilling to not above 40 °F (4.4 °C)",
            "read",
        ),
    ),
    "curing.ferment": (
        ("HOUR_S", "s/h", _DEFINED, FIXED),
        ("DECIDED_FOR_H", "h", "a decision on a ferment rests its need", DESIGN),
    ),
    "drying.forecast.drying_body": (
        (
            "_INNER _MIDDLE _OUTER _PER_INNER _PER_MIDDLE _PER_OUTER _COUPLE_IN _COUPLE_OUT "
            "_COUPLE_SURFACE _TWO_THIRDS",
            "1",
            "three shells of a round body, from its geometry",
            "derived",
        ),
    ),
    "drying.forecast.laws": (
        (
            "_SHORTEST_LEFT _STRETCHES _WANDER _LEVELS LAWS",
            "–",
            "the drying laws that are tried side by side, and their grids",
            DESIGN,
        ),
    ),
    "drying.forecast.layer": (
        ("_LEAST_LEFT _FAR", "1", "ends of the numbers of a drying layer", DESIGN),
    ),
    "drying.forecast.points": (("MOST_POINTS MOST_DAYS", "1, d", "more say nothing new", DESIGN),),
    "drying.forecast.posterior": (("_NUDGE _UNKNOWNS", "1", "step and size of the fit", DESIGN),),
    "drying.forecast.pull_forecast": (
        ("LEAST_WEIGH_INS", "1", "before it the rule of thumb is shown", DESIGN),
    ),
    "drying.forecast.own_record": (
        ("USUAL_HALF_WIDTHS", "1", "√(2/π) over the 90 % point of the unit normal", "derived"),
    ),
    "drying.forecast.window": (
        (
            "LAST_DAY AT_LEAST_AHEAD _SEEN_AHEAD _PATIENCE_DAYS _LEAST_LEFT",
            "d, d, d, d, 1",
            _FIT,
            DESIGN,
        ),
        ("_Z90", "1", "90 % point of the unit normal", "derived"),
    ),
    "dosing.limits": (
        ("_IN_NANO2 _IN_NANO3", "1", "ratios of molar masses", "derived"),
        (
            "CEILING_NITRITE_MG_PER_KG",
            "mg/kg NaNO2",
            "9 CFR 424.22(b) and FSIS Handbook 7620.3: the highest ingoing limit of the programme",
            "quoted",
        ),
        ("HIGH_NITRITE_MG_PER_KG", "mg/kg NaNO2", "caution above it, whatever the class", DESIGN),
        (
            "FLOOR_NITRITE_MG_PER_KG",
            "mg/kg NaNO2",
            "FSIS Handbook 7620.3: at least 40 where shelf stable without other means",
            "quoted",
        ),
        (
            "CONVERSION_ROUNDING_MG_PER_KG ROUNDING_MG_PER_KG TOLERANCE_MG_PER_KG",
            "mg/kg",
            "rounding of a conversion: 80.015 ion is 120 as NaNO2",
            DESIGN,
        ),
    ),
    "drying.inspections": (("MOULD_AGAIN_DAYS", "d", "when mould is looked at again", DESIGN),),
    "drying.lot_figures": (
        (
            "TREND_POINTS SLOWING_PER_DAY EXPECTED_PM_PCT",
            "1, 1/d, % of base",
            "what is expected on the scale",
            DESIGN,
        ),
    ),
    "needs.lot_needs": (
        ("FIRST_DAYS", "d", "how long the first week is spoken of", DESIGN),
        ("DEFAULT_RULES", "–", "the defaults of the alert rules below", DESIGN),
    ),
    "needs.step_needs": (("NAMED", "1", "ingredients named in one line: " + _OWN, DESIGN),),
    "needs.place_needs": (
        ("LOOK_BACK_H AFTER_FAILURE_H ACUTE_H", "h", "what an alert looks at", DESIGN),
        (
            "UNLIKELY_OFF_C OFF_BUT_THERE_C",
            "°C",
            "so far out of its band a reading is asked about",
            DESIGN,
        ),
        ("DEFAULT_AIR_RULES", "–", "the defaults of the alert rules below", DESIGN),
        ("NAMED BY_HAND", "–", "lots named in a line; the id of readings by hand", DESIGN),
    ),
    "weighing.rebase_reasons": (("MAX_REASON", "letters", _BOUND, DESIGN),),
    "curing.stages": (
        ("SEALED_MAX_C", "°C", "a sealed bag in a warmer place asks for a note", DESIGN),
        ("FERMENT_MIN_C", "°C", "a ferment hardly starts below it: common practice", "memory"),
    ),
    "household.styles": (("_MAX_ID", "letters", _BOUND, DESIGN),),
    "times": (("SECONDS_PER_DAY", "s/d", _DEFINED, FIXED),),
    "curing.turning": (
        ("BAG_DAYS BOX_DAYS TURNING", "d", "how often it is turned: common practice", "memory"),
    ),
    "typed.dates": (
        ("_UNITS", "h", _DEFINED, FIXED),
        ("_FIRST_YEAR _LAST_YEAR _MOST _LEAP", "years, 1, years", _BOUND, DESIGN),
    ),
    "typed.names": (("_KEPT", "names", "taken apart before: design value", DESIGN),),
    "typed.numbers": (
        ("_FRACTIONS", "1", _DEFINED, FIXED),
        ("MAX_TEXT MOST_DIGITS", "letters", _BOUND, DESIGN),
    ),
    "typed.pounds": (
        ("OZ_PER_LB", "oz/lb", _AGREED, FIXED),
        (
            "HEAVIEST_PIECE_G LEAST_PIECE_OZ LIKELY_OZ_UNDER _FITS_FROM _FITS_TO",
            "g, oz, oz, 1, 1",
            "which of two readings is likely",
            DESIGN,
        ),
    ),
    "typed.weights": (
        (
            "MAX_WEIGHT_G _MAX_WEIGHT_LB MAX_PIECES _SETTLES_FROM _SETTLES_TO",
            "g, lb, 1, 1, 1",
            _BOUND,
            DESIGN,
        ),
    ),
    "typed.unit_sizes": (
        ("_WEIGHTS_G _LENGTHS_MM", "g, mm", _AGREED + "; pint in the tests", FIXED),
    ),
    "typed.units": (
        ("MAX_LENGTH_MM MIN_TEMP_C MAX_TEMP_C _THINNEST_BARE_MM", "mm, °C, °C, mm", _BOUND, DESIGN),
        ("_KELVIN_AT_0_C", "K", "SI brochure, 9th edition, 2.3.1", FIXED),
    ),
    "places.vapour": (("_RANGE_C", "°C", "where the equation was fitted", "quoted"),),
    "weighing.weight_history": (
        ("SAME_G AFTER_ALL", "g, –", "two weights that are one; a place in an order", DESIGN),
    ),
    "weighing.weights": (
        ("_KERF_SHARE", "1", "parts may add up to so much more than the whole", DESIGN),
        (
            "_LEAK_PCT _LEAK_STEPS",
            "%, divisions",
            "a sealed bag that lost more may have leaked",
            DESIGN,
        ),
    ),
}

#: What could not be read yet, and where it is to be found.
UNREAD = (
    (
        "salt diffusivity in lean muscle, its band and activation energy",
        "Wood, J. Sci. Food Agric. 17 (1966) 138; Fox, J. Food Sci. 45 (1980) 1740; Gros and "
        "others, Rev. gén. froid 1984; a review: DYNA 82 (190) 155, "
        "2015, doi 10.15446/dyna.v82n190.42016",
    ),
    (
        "nitrite in pork: only the abstract was read (1.02–4.58e-12 m²/s at 2–12 °C, 60.32 "
        "kJ/mol): 50 to 200 times slower than salt",
        "J. Food Eng. 149 (2015) 188",
    ),
    (
        "frozen and thawed meat taking salt up 1.3 times as fast",
        "no text named; to be looked for with the review above",
    ),
    (
        "residual limits over the shelf life and the nitrate rows of the European Union",
        "Regulation (EU) 2023/2108, annex (Official Journal 9 October 2023); only its beginning "
        "was read, up to cheese; the rows of 08.3.1 to 08.3.4 are not",
    ),
    (
        "200 ppm nitrite in the finished product",
        "9 CFR 424.21(c), table; for home curing 21 CFR 172.170 and 172.175 (both read: nitrate "
        "500, nitrite 200 ppm in the finished product)",
    ),
    (
        "the table of freezing in the federal text (a state code with it was read)",
        "former 9 CFR 318.10(c)(2) (revision of 1 January 2000 or earlier); only its (a) and (b) "
        "were read",
    ),
    (
        "WHO on nitrite as a poison: read in a revision of its guidelines for drinking water",
        "WHO Food Additives Series 35 (1996), nitrite",
    ),
    (
        "NaCl rows of saturated salt solutions other than 25 °C",
        "Greenspan, J. Res. Natl. Bur. Stand. 81A (1977) 89",
    ),
)


def modules() -> Iterator[ModuleType]:
    """Every module of the domain."""
    import curedash.domain as domain

    for info in sorted(
        pkgutil.walk_packages(domain.__path__, f"{domain.__name__}."), key=lambda found: found.name
    ):
        yield importlib.import_module(info.name)


def short(module: ModuleType) -> str:
    """``facts.air`` of ``curedash.domain.facts.air``."""
    return module.__name__.removeprefix("curedash.domain.")


def has_numbers(value: object) -> bool:
    """Whether a value is a number, or holds one."""
    if isinstance(value, (bool, str)) or value is None:
        return False
    if isinstance(value, (int, float)):
        return True
    if isinstance(value, dict):
        return any(has_numbers(part) for pair in value.items() for part in pair)
    if isinstance(value, (tuple, list, set, frozenset)):
        return any(has_numbers(part) for part in value)
    return any(has_numbers(getattr(value, name)) for name in getattr(value, "__slots__", ()))


def constants(module: ModuleType) -> list[str]:
    """Names in capitals that a module itself gives a number, or a table of numbers."""
    found: list[str] = []
    for node in ast.parse(Path(inspect.getfile(module)).read_text(encoding="utf-8")).body:
        if isinstance(getattr(node, "value", None), ast.Dict) and not node.value.keys:  # type: ignore[attr-defined]
            continue  # empty in the source: it remembers what was computed
        targets = [node.target] if isinstance(node, ast.AnnAssign) and node.value else []
        targets += node.targets if isinstance(node, ast.Assign) else []  # type: ignore[arg-type]
        names = [part for target in targets for part in getattr(target, "elts", [target])]
        found += [part.id for part in names if isinstance(part, ast.Name)]
    return [
        name
        for name in found
        if name.lstrip("_").isupper() and name != "FACTS" and has_numbers(getattr(module, name))
    ]


def is_table(value: object) -> bool:
    """Whether every row names its own source and how well it is known."""
    return (
        isinstance(value, tuple)
        and bool(value)
        and all(hasattr(row, "source") and hasattr(row, "how") for row in value)
    )


def recorded(module: ModuleType) -> set[str]:
    """Names of a module that stand in the record."""
    rows = RECORD.get(short(module), ()) + tuple(getattr(module, "FACTS", ()))
    return {name for row in rows for name in row[0].split()}


def missing() -> list[str]:
    """Numbers of the domain that the record does not know."""
    return [
        f"{short(module)}.{name}"
        for module in modules()
        for name in constants(module)
        if name not in recorded(module) and not _speaks_for_itself(module, name)
    ]


def _speaks_for_itself(module: ModuleType, name: str) -> bool:
    return (
        is_table(getattr(module, name))
        or (short(module), name) == ("facts.composition", "COMPOSITION")
        or commented(module, name) is not None
    )


#: words of a comment → how well a number is known
SAYS = (("design value", DESIGN), ("common practice", "memory"), ("by definition", FIXED))


def commented(module: ModuleType, name: str) -> tuple[str, str] | None:
    """What the comment beside or above a constant says of it, and how well it is known."""
    lines = Path(inspect.getfile(module)).read_text(encoding="utf-8").splitlines()
    at = next(n for n, line in enumerate(lines) if re.match(rf"(?:\w+, )*{name}\b.*=", line))
    above = at
    while above and re.match(r"#|_?[A-Z][A-Z0-9_, ]* = ", lines[above - 1]):
        above -= 1  # one comment may stand over a block of constants
    said = [line.lstrip("#: ") for line in lines[above:at] if line.startswith("#")]
    said.append(lines[at].partition("  # ")[2])
    comment = " ".join(" ".join(said).split()).rstrip(".")
    how = next((how for words, how in SAYS if words in comment.casefold()), None)
    return None if how is None else (comment, how)


def rows() -> list[str]:
    """The record as lines of a table."""
    found = []
    for module in modules():
        for names, unit, source, how in RECORD.get(short(module), ()):
            here = [name for name in names.split() if hasattr(module, name)]
            if here:
                values = "; ".join(shown(getattr(module, name)) for name in here)
                where = short(module).removeprefix("facts.")
                said = " ".join(name.lstrip("_") for name in here)
                found.append(f"| {where}: {said} | {values} | {unit} | {source} | {how} |")
        for name in constants(module):
            if is_table(getattr(module, name)):
                found += _table_rows(module, name)
            elif name not in recorded(module) and (comment := commented(module, name)) is not None:
                value = shown(getattr(module, name))
                where = short(module).removeprefix("facts.")
                found.append(
                    f"| {where}: {name.lstrip('_')} | {value} | by its name |"
                    f" {comment[0].replace('|', '/')} | {comment[1]} |"
                )
    return found + _alert_rows()


def _alert_rows() -> list[str]:
    """Every threshold that the household can change."""
    from curedash.domain.needs.alert_rules import RULES

    return [
        f"| alert rule {rule.id} | {'off' if rule.default is None else shown(rule.default)} |"
        f" {rule.unit} | {rule.words}: {rule.source} | {DESIGN} |"
        for rule in RULES
    ]


def _table_rows(module: ModuleType, name: str) -> Iterator[str]:
    """A row for each row of a table, its first word as its name and its numbers."""
    for row in getattr(module, name):
        fields = [
            field
            for field in getattr(row, "_fields", None) or row.__slots__
            if field not in ("source", "how")
        ]
        words = [str(value) for field in fields if isinstance(value := getattr(row, field), str)]
        numbers = [
            f"{field} {shown(value)}"
            for field in fields
            if has_numbers(value := getattr(row, field))
        ]
        head = " ".join([name.lower().replace("_", " "), *words[:3]])
        if numbers:
            yield f"| {head} | {'; '.join(numbers)} | as named | {row.source} | {row.how} |"


def shown(value: object) -> str:
    """A value in few letters."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return f"{value:g}"
    if isinstance(value, dict):
        return (
            f"{len(value)} entries"
            if len(value) > 8
            else ", ".join(f"{key} {shown(part)}" for key, part in value.items())
        )
    if isinstance(value, (tuple, list, set, frozenset)):
        parts = list(value)
        if len(parts) > 12 or any(isinstance(part, (tuple, list)) for part in parts[:1]):
            return f"{len(parts)} entries"
        return ", ".join(shown(part) for part in parts)
    return str(value)
