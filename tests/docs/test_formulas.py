"""The page of formulas is what the docstrings say today."""

import importlib
import importlib.util
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def generator():
    spec = importlib.util.spec_from_file_location("formulas", ROOT / "docs" / "formulas.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_page_of_formulas_is_current():
    made = generator()
    assert made.PAGE.read_text(encoding="utf-8") == made.page(), "run: python docs/formulas.py"


def test_every_formula_of_the_page_has_parameters_returns_source_and_example():
    made = generator().page()
    formulas = made.split("\n### ")[1:]
    assert len(formulas) > 25
    for formula in formulas:
        text = formula.split("\n## ")[0]
        for part in ("**Parameters**", "**Returns**", "**Source**", "**Example**"):
            assert part in text, (part, text.splitlines()[0])


def test_every_module_that_names_a_source_is_on_the_page_or_said_to_be_no_formula():
    made = generator()
    found = set()
    for file in sorted((ROOT / "curedash" / "domain").rglob("*.py")):
        name = ".".join(file.relative_to(ROOT).with_suffix("").parts)
        if "\n    Source\n    ------\n" in file.read_text(encoding="utf-8"):
            found.add(name)
    assert found == set(made.MODULES) | made.OTHER
    assert not made.OTHER & set(made.MODULES)


def test_every_table_of_facts_and_every_outside_check_is_on_the_page():
    made = generator()
    page = made.PAGE.read_text(encoding="utf-8")
    for name in ("water", "salt_in_meat", "nitrite_poison", *made.FACTS):
        module = importlib.import_module(f"curedash.domain.facts.{name}")
        missing = [names for names, *_ in module.FACTS if f"\n| {names} |" not in page]
        assert missing == [], name
    outside = re.compile(r"^(?:import|from) (?:csv|scipy|numpy|pint|dateutil)\b", re.MULTILINE)
    checks = {
        file.stem
        for file in (ROOT / "tests" / "domain").glob("test_*.py")
        if outside.search(file.read_text(encoding="utf-8"))
    }
    assert checks <= set(made.CHECKS)
