"""The page of formulas is what the docstrings say today."""

import importlib.util
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
