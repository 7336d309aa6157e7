"""A dose as a JSON document and as lines: the same for the shell and the papers."""

from math import ceil
from typing import Any

from curedash.domain.curing.cure_time import CureWindow, RuleDays
from curedash.domain.curing.diffusion import Share
from curedash.domain.dosing import METHODS, Contents, Dose, Finding, MisDose, PackShare, Premix
from curedash.domain.dosing.contents import contents_of
from curedash.domain.dosing.limits import NOT_CHECKED, Limit, rule_sets
from curedash.domain.dosing.result import LEVELS, NOTE, UNCHECKED
from curedash.domain.typed.numbers import tidy
from curedash.domain.wording import count
from curedash.present.display_units import mass, retold
from curedash.present.numbers import number, parts, rounded, rounded_parts
from curedash.present.words import percent, plain


def dose_document(
    dose: Dose,
    window: CureWindow | None = None,
    premix: Premix | None = None,
    bench: MisDose | None = None,
) -> dict[str, Any]:
    """One dose as ``curedash dose --json`` lists it; unknown is null, keys are never missing."""
    request = dose.request
    return {
        "green_g": rounded(request.green_g),
        "method": request.method,
        "percent_of": request.basis,
        "pieces": request.pieces,
        "ingredients": [
            {
                **parts(item, "name", "kind"),
                "exact_g": rounded(item.exact_g, 6),
                **parts(item, "weigh_g", "division_g", "portions"),
            }
            for item in dose.ingredients
        ],
        **contents_document(dose.contents),
        "half_division_error_pct": rounded(dose.half_division_error_pct, 4),
        **parts(dose, "verdict", "verdict_words"),
        "compared": list(dose.compared),
        "not_compared": list(dose.not_compared),
        "questions": [question_document(f) for f in dose.findings if f.question],
        "messages": list(dose.messages),
        "limit": limit_document(dose.limit),
        "nitrate_limit": limit_document(dose.nitrate_limit),
        "accepted": [{"field": field, "value": value} for field, value in dose.accepted],
        "pack_ratio": rounded(dose.pack_ratio, 4),
        "cure_time": None if window is None else window_document(window),
        "premix": None if premix is None else premix_document(premix),
        "given": None if bench is None else bench_document(bench),
    }


def question_document(finding: Finding) -> dict[str, Any]:
    """A question of a dose; one that is answered holds its reason in its words."""
    return {
        "question": finding.question,
        "text": str(finding.text),
        "open": finding.level != NOTE,
        "must_be_answered": finding.must,
    }


def contents_document(contents: Contents) -> dict[str, float | None]:
    """Total salt, nitrite as NaNO2 and nitrate as NaNO3."""
    names = ("total_salt_pct", "nitrite_mg_per_kg", "nitrate_mg_per_kg")
    return rounded_parts(contents, *names, decimals=4)


def limit_document(limit: Limit | None) -> dict[str, Any] | None:
    """One limit with its source, null where no figure is known."""
    if limit is None:
        return None
    return {
        **parts(limit, "mg_per_kg", "min_mg_per_kg", "basis", "agent", "kind"),
        **parts(limit, "rule_set", "product_class"),
        "applies_from": limit.applies_from or None,
        **parts(limit, "source", "how"),
    }


def window_document(window: CureWindow) -> dict[str, Any]:
    """Days in the cure with every rule beside them."""
    rest = window.salt_rest
    return {
        **rounded_parts(window, "earliest_days", "usual_days", "overdue_from_days", decimals=1),
        "rule": window.rule_name or None,
        "stop_g": rounded(window.stop_g, 1),
        "core_share_on_rule_day_pct": _share(window.core_share_on_rule_day),
        "mean_uptake_pct": _share(window.mean_uptake),
        "salt_rest_days": None
        if rest is None
        else [round(rest.days_90, 1), round(rest.days_95, 1)],
        "rules": [_rule(rule) for rule in window.rules],
        "messages": list(window.messages),
        "questions": [str(text) for text in _asks(window)],
    }


def premix_document(premix: Premix) -> dict[str, Any]:
    """A pre-mix: its recipe and the strength it becomes."""
    return {
        "name": premix.salt.name,
        "parts_plain": premix.parts_plain,
        **rounded_parts(premix, "curing_salt_g", "plain_salt_g"),
        **rounded_parts(premix.salt, "nitrite_pct", "nitrate_pct", "nacl_pct", decimals=6),
        "recipe": premix.recipe,
    }


def bench_document(bench: MisDose) -> dict[str, Any]:
    """The mis-dose bench: planned beside given, what is in, the choices."""
    return {
        "ingredients": [
            parts(line, "name", "kind", "planned_g", "given_g")
            | rounded_parts(line, "top_up_g", "over_g", decimals=4)
            for line in bench.lines
        ],
        **contents_document(bench.inside),
        "at_least": None if bench.inside_low is None else contents_document(bench.inside_low),
        "planned": contents_document(bench.planned),
        "meat_to_plan_g": rounded(bench.meat_to_plan_g, 1),
        "messages": list(bench.messages),
        "choices": list(bench.choices),
    }


def dose_lines(
    dose: Dose,
    window: CureWindow | None = None,
    premix: Premix | None = None,
    bench: MisDose | None = None,
) -> list[str]:
    """One dose as plain lines for the terminal and the printed sheet."""
    head = f"{mass(round(dose.request.green_g, 2))} green, {dict(METHODS)[dose.request.method]}"
    if dose.request.fat_pct is not None:
        head += f", {percent(dose.request.fat_pct)} fat"
    if dose.request.basis != "meat":
        head = f"{head}, percentages of {dose.request.basis}"
    lines = [head]
    for item in dose.ingredients:
        name = plain(item.name)
        grams = number(item.weigh_g, scale_decimals(item.division_g))
        lines.append(f"  {name:<40} {grams:>9} g   exact {item.exact_g:.3f}")
    lines += [f"  {text}" for text in _in_it(dose)]
    if dose.half_division_error_pct is not None:
        lines.append(f"  half a step of the scale is ±{dose.half_division_error_pct:.1f} %")
    lines += [f"  {text}" for text in limit_lines(dose)]
    if window is not None:
        lines += [f"  {text}" for text in window_lines(window)]
    lines += [f"  {text}" for text in verdict_lines(dose)]
    if premix is not None:
        lines.append(f"  pre-mix: {plain(premix.recipe)}")
    if bench is not None:
        lines += [f"  {text}" for text in bench_lines(bench)]
    return lines


def _in_it(dose: Dose) -> list[str]:
    """What is in it as weighed; and by the exact grams, where a scale makes that another thing."""
    box = dose.request.method == "salt-box"
    weighed = contents_words(dose.contents, box=box)
    grams = [(item.kind, item.exact_g) for item in dose.ingredients]
    exact = contents_words(contents_of(dose.request, grams), box=box)
    if exact == weighed:
        return [weighed]
    return [f"as weighed: {weighed}", f"exact: {exact}; the higher counts against a limit"]


def verdict_lines(dose: Dose) -> list[str]:
    """The verdict as a sentence, what else there is to say, and what was not compared."""
    first = dose.verdict_words
    said = [
        finding.text
        for finding in sorted(dose.findings, key=lambda found: LEVELS.index(found.level))
        if finding.level != UNCHECKED and not first.endswith(finding.text)
    ]
    rest = [text for text in dose.compared if text not in first]
    if dose.verdict != UNCHECKED:
        rest += [f.text for f in dose.findings if f.level == UNCHECKED]
    left_out = [text for text in dose.not_compared if text.endswith("not computed here")]
    partly = dose.verdict == UNCHECKED and dose.compared
    judged = (*dose.compared, dose.unchecked_words) if partly else (first,)
    lines = (*judged, *(f"- {text}" for text in dict.fromkeys((*said, *rest, *left_out))))
    return [plain(retold(text)) for text in lines]


def scale_decimals(division_g: float) -> int:
    """Decimals that a scale of this division shows.

    Example
    -------
    >>> scale_decimals(0.1), scale_decimals(5.0), scale_decimals(0.05)
    (1, 0, 2)
    """
    text = f"{division_g:.6f}".rstrip("0")
    return len(text) - text.index(".") - 1


def contents_words(contents: Contents, *, box: bool = False) -> str:
    """Total salt, nitrite and nitrate in words; unknown is said, never 0."""
    if box:
        return "total salt, nitrite and nitrate: not known in a salt box"
    salt = _or_unknown(contents.total_salt_pct, "{:.2f} %")
    nitrite = _or_unknown(contents.nitrite_mg_per_kg, "{:.5g} mg/kg", 1)
    nitrate = _or_unknown(contents.nitrate_mg_per_kg, "{:.5g} mg/kg", 1)
    return f"total salt {salt} · nitrite {nitrite} · nitrate {nitrate}"


def limit_lines(dose: Dose) -> list[str]:
    """The limits that belong to a dose, each with its source and how well it is known."""
    return [limit_words(limit) for limit in limits_of(dose)]


def limits_of(dose: Dose) -> list[Limit]:
    """The limits that belong to a dose, each once."""
    found = dict.fromkeys((dose.limit, dose.nitrate_limit))
    return [limit for limit in found if limit is not None]


def limit_words(limit: Limit) -> str:
    """One limit in a line."""
    unverified = f"; {NOT_CHECKED}" if limit.unverified else ""
    return (
        f"limit {limit.agent} {limit.mg_per_kg:g} mg/kg {limit.basis}, {limit.kind} "
        f"({rules_words(limit.rule_set)}, {limit.product_class}; {limit.source}{unverified})"
    )


def rules_words(rule_set: str) -> str:
    """A rule set in two words, for a line: ``US rules``."""
    label = dict(rule_sets()).get(rule_set, rule_set)
    return f"{_SHORT_RULES.get(rule_set, label)} rules"


_SHORT_RULES = {
    "us": "US",
    "us-household": "US home curing",
    "eu": "EU",
    "eu-before-2025": "EU pre-2025",
    "gb": "British",
    "codex": "Codex",
}


def window_lines(window: CureWindow) -> list[str]:
    """Days in the cure, rule named, and what there is to say."""
    if window.usual_days is None or window.earliest_days is None:
        return [plain(retold(text)) for text in (*window.messages, *_asks(window))]
    if window.overdue_from_days is not None:
        first = f"out on day {ceil(window.overdue_from_days)}, overdue from then"
    else:
        first = (
            f"out: earliest day {ceil(window.earliest_days)}, "
            f"usual day {ceil(window.usual_days)}, then it can wait"
        )
    lines = [f"{first} (rule: {window.rule_name})"]
    if window.salt_rest is not None:
        lines.append(f"then a salt rest of about {ceil(window.salt_rest.days_90)} d")
    return lines + [plain(retold(text)) for text in (*window.messages, *_asks(window))]


def _asks(window: CureWindow) -> list[str]:
    return [text for _about, text in window.asks]


def bench_lines(bench: MisDose) -> list[str]:
    """The mis-dose bench in lines."""
    lines = ["what went in:"]
    for line in bench.lines:
        difference = "as planned"
        if line.top_up_g:
            difference = f"{_g(line.top_up_g)} g short"
        elif line.over_g:
            difference = f"{_g(line.over_g)} g over"
        lines.append(
            f"  {plain(line.name):<40} {tidy(line.given_g):>9} g   "
            f"planned {tidy(line.planned_g)}, {difference}"
        )
    lines += inside_words(bench)
    if bench.inside_low is not None:
        lines.append(f"at least: {contents_words(bench.inside_low)}")
    lines += [f"- {plain(retold(text))}" for text in bench.messages]
    return [*lines, "common fixes:", *(f"- {plain(retold(text))}" for text in bench.choices)]


def inside_words(bench: MisDose) -> list[str]:
    """What is in now; what is not ticked yet is said apart, for it is planned and not in."""
    if bench.ticked is None:
        return [f"in now: {contents_words(bench.inside)}"]
    return [
        f"in now: {contents_words(bench.ticked)}",
        f"once the rest is in as planned: {contents_words(bench.inside)}",
    ]


def pack_lines(share: PackShare | None) -> list[str]:
    """What all pieces together take of the packs."""
    if share is None:
        return []
    packs = count(share.packs_opened, "pack")
    return [f"{_g(share.used_g)} g out of {packs}, {_g(share.left_g)} g stay in the pack"]


def _or_unknown(value: float | None, form: str, decimals: int = 6) -> str:
    return "unknown" if value is None else form.format(round(value, decimals))


def _g(grams: float) -> str:
    return f"{round(grams, 2):g}" if grams < 1e5 else f"{grams:.0f}"


def _share(share: Share | None) -> dict[str, float | None] | None:
    return None if share is None else rounded_parts(share, "central", "lo", "hi", decimals=1)


def _rule(rule: RuleDays) -> dict[str, Any]:
    return {
        "rule": rule.name,
        "days": [rounded(rule.days_lo, 1), rounded(rule.days_hi, 1)],
        **parts(rule, "source", "how"),
    }
