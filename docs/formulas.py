"""Makes docs/reference/formulas.md from the docstrings of the domain, so that it cannot drift.

python docs/formulas.py            write the page
python docs/formulas.py --check    exit 1 if it differs
"""

import importlib
import inspect
import re
import sys
from pathlib import Path
from types import ModuleType

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent), str(HERE)]

import record_of_numbers  # noqa: E402

PAGE = HERE / "reference" / "formulas.md"

#: module → what its formulas are about
MODULES = {
    "curedash.domain.weighing.weights": "Weights, loss, bases and tares",
    "curedash.domain.drying.lot_figures": "The figures of a lot that are shown",
    "curedash.domain.dosing.formulas": "Doses",
    "curedash.domain.dosing.contents": "What a dose holds",
    "curedash.domain.dosing.rounding": "What a scale makes of a dose",
    "curedash.domain.dosing.premix": "Pre-mixes",
    "curedash.domain.dosing.limits": "Limits and what they are counted in",
    "curedash.domain.curing.cure_time": "Days in the cure",
    "curedash.domain.curing.salt_diffusion_series": "Salt inward: solutions without units",
    "curedash.domain.curing.diffusion": "Salt inward: days, shares, uptake",
    "curedash.domain.drying.equalising": "Softening the rim",
    "curedash.domain.drying.forecast.pull_forecast": "The pull window",
    "curedash.domain.drying.forecast.unsure_start": "The pull window where the start is unsure",
    "curedash.domain.drying.start_guess": "A hang weight nobody weighed",
    "curedash.domain.drying.forecast.drying_body": "The drying body behind it",
    "curedash.domain.drying.forecast.laws": "The plain laws beside it",
    "curedash.domain.drying.forecast.layer": "What weighs them on one piece",
    "curedash.domain.drying.forecast.own_record": "What windows of before do to the next",
    "curedash.domain.drying.forecast.evidence": "What moved a window",
    "curedash.domain.drying.drying_rate": "Signals of the drying curve",
    "curedash.domain.drying.water": "Water and water activity",
    "curedash.domain.places.vapour": "Humid air",
    "curedash.domain.places.air": "Air of a place over time",
    "curedash.domain.curing.degree_hours": "Degree-hours of a ferment",
    "curedash.domain.curing.trichina": "Freezing pork",
    "curedash.domain.household.book": "Medians of the Book",
}
#: modules whose functions name a source too, but are rules, questions or reading of what is typed
OTHER = {
    f"curedash.domain.{name}"
    for name in (
        "clock",
        "curing.choices",
        "curing.ferment",
        "curing.stages",
        "curing.turning",
        "dosing.answers",
        "dosing.asked",
        "dosing.classes",
        "dosing.compute",
        "dosing.cuts",
        "dosing.group",
        "dosing.limit_checks",
        "dosing.meat_kinds",
        "dosing.misdose",
        "dosing.plan",
        "dosing.plan_checks",
        "dosing.request",
        "dosing.result",
        "dosing.salts",
        "dosing.ticks",
        "dosing.usual",
        "dosing.words",
        "drying.inspections",
        "facts.cautions",
        "household.codes",
        "household.styles",
        "needs.days_away",
        "needs.diary",
        "needs.plan_back",
        "places.bad_readings",
        "places.outage",
        "typed.bands",
        "typed.csv_sheet",
        "typed.dates",
        "typed.meat_and_fat",
        "typed.names",
        "typed.pack_line",
        "typed.plan",
        "typed.prices",
        "typed.pounds",
        "typed.unit_sizes",
        "typed.units",
        "typed.weight_and_day",
        "typed.weights",
        "weighing.doubts",
        "weighing.neighbours",
        "weighing.rebase_reasons",
    )
}
#: the tables of numbers, each with its source
FACTS = sorted(
    file.stem
    for file in (HERE.parent / "curedash" / "domain" / "facts").glob("*.py")
    if "\nFACTS = (" in file.read_text(encoding="utf-8")
)
#: tests whose functions are checks against something outside the project
CHECKS = (
    "test_weights",
    "test_dose",
    "test_limits",
    "test_cure_time",
    "test_diffusion",
    "test_forecast",
    "test_own_record",
    "test_drying",
    "test_water",
    "test_air",
    "test_degree_hours",
    "test_trichina",
    "test_units",
    "test_book",
    "test_doubts",
    "test_ferment",
    "test_diary",
    "test_choices",
    "test_start_guess",
)
KNOWN = (
    "`read`: the text itself was read; `quoted`: in somebody's quotation of it; `derived`: "
    "arithmetic or a fit; `memory`: not seen; `exact`: by definition; `design`: a value of this "
    "program, no standard. A name stands behind the module of the domain it is in; a test fails on "
    "a number that is missing here."
)
SECTIONS = ("Parameters", "Returns", "Source", "Example")


def page() -> str:
    """The whole page."""
    parts = [
        "# Formulas",
        "Made from the docstrings by `docs/formulas.py`; do not edit. Units stand in brackets; "
        "outside its range a formula refuses, it never clamps.",
    ]
    for name, title in MODULES.items():
        parts += [f"## {title}", *_module(importlib.import_module(name))]
    parts += ["## Constants and how well they are known", KNOWN, _constants()]
    parts += ["## Not read yet, and where it is to be found", _unread()]
    parts += ["## Checks", _checks()]
    return "\n\n".join(parts) + "\n"


def _module(module: ModuleType) -> list[str]:
    found = [
        thing
        for name, thing in vars(module).items()
        if inspect.isfunction(thing)
        and thing.__module__ == module.__name__
        and not name.startswith("_")
        and all(f"{part}\n" in (thing.__doc__ or "") for part in ("Parameters", "Source"))
    ]
    about = (module.__doc__ or "").strip().split("\n\n", 1)
    return ["\n\n".join(about), *(_formula(function) for function in found)]


def _formula(function: object) -> str:
    text = inspect.getdoc(function) or ""
    head, *rest = re.split(rf"^({'|'.join(SECTIONS)})\n-+\n", text, flags=re.MULTILINE)
    lines = [f"### `{function.__name__}`", head.strip()]  # type: ignore[attr-defined]
    for title, body in zip(rest[::2], rest[1::2], strict=True):
        lines.append(f"**{title}**")
        lines.append(_body(title, body.strip("\n")))
    return "\n\n".join(lines)


def _body(title: str, body: str) -> str:
    if title == "Example":
        return f"```python\n{body}\n```"
    if title != "Parameters":
        return body
    return "\n".join(
        f"- {line}" if not line.startswith(" ") else f"  {line.strip()}"
        for line in body.splitlines()
    )


def _constants() -> str:
    rows = ["| constant | value | unit | source | how |", "|---|---|---|---|---|"]
    for name in FACTS:
        module = importlib.import_module(f"curedash.domain.facts.{name}")
        for names, unit, source, how in module.FACTS:
            values = "; ".join(_value(getattr(module, one)) for one in names.split())
            rows.append(f"| {names} | {values} | {unit} | {source} | {how} |")
    rows += record_of_numbers.rows()
    from curedash.domain.facts import composition

    for cut, (water, protein) in composition.COMPOSITION.items():
        source, _, how = composition.SOURCE.partition("; how: ")
        rows.append(f"| {cut} | {water} water, {protein} protein | % | {source} | {how} |")
    return "\n".join(rows)


def _unread() -> str:
    """What is known from memory or a quotation only."""
    rows = ["| what | where |", "|---|---|"]
    return "\n".join(
        [*rows, *(f"| {what} | {where} |" for what, where in record_of_numbers.UNREAD)]
    )


def _value(value: object) -> str:
    if isinstance(value, tuple) and value and isinstance(value[0], tuple):
        return f"{len(value)} × {len(value[0])} numbers"
    if isinstance(value, tuple):
        return ", ".join(f"{x:g}" for x in value)
    return f"{value:g}"


def _checks() -> str:
    """Every test that names what it checks against, from the tests themselves."""
    rows = ["| check | test |", "|---|---|"]
    for name in CHECKS:
        text = (HERE.parent / "tests" / "domain" / f"{name}.py").read_text(encoding="utf-8")
        for test in re.findall(r"^def (test_\w+)\(", text, re.MULTILINE):
            rows.append(f"| {test.removeprefix('test_').replace('_', ' ')} | `{name}` |")
    return "\n".join(rows)


def main() -> int:
    """Write the page, or tell whether it is current."""
    made = page()
    if "--check" in sys.argv[1:]:
        return 0 if PAGE.exists() and PAGE.read_text(encoding="utf-8") == made else 1
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(made, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
