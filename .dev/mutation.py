"""Mutation testing of the domain: are its tests strong enough to notice a changed line?

.dev/check --mutation [module …]     e.g. curing/trichina dosing/limit_checks; none: all of MODULES

A copy of the house is made in a temporary directory, so that nothing here is touched; mutmut runs
there with the quick tests alone as the oracle. What survives is listed: changed words first apart,
since a reworded sentence is not a wrong number.
"""

import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent.parent
#: module of the domain → the tests that are its oracle
MODULES = {
    "curing/trichina": ["test_trichina"],
    "curing/stages": ["test_stages"],
    "curing/degree_hours": ["test_degree_hours", "test_ferment"],
    "curing/choices": ["test_choices"],
    "needs/lot_needs": ["test_needs"],
    "dosing/limits": ["test_limits", "test_dose", "test_dose_parts"],
    "dosing/formulas": ["test_dose", "test_dose_parts"],
    "dosing/contents": ["test_dose_bounds", "test_dose", "test_dose_bench", "test_dose_parts"],
    "dosing/rounding": ["test_dose", "test_dose_bench", "test_dose_parts"],
    "dosing/misdose": ["test_misdose_bounds", "test_dose_bench", "test_dose_parts"],
    "dosing/ticks": ["test_ticks"],
    "dosing/premix": ["test_dose_bounds", "test_dose_bench"],
    "dosing/compute": ["test_dose_bounds", "test_dose_plan", "test_dose", "test_dose_parts"],
    "dosing/limit_checks": ["test_dose_bounds", "test_limits", "test_dose", "test_compared"],
    "dosing/classes": ["test_product_classes", "test_answers", "test_compared"],
    "dosing/plan": ["test_dose_plan", "test_dose", "test_dose_bench"],
    "dosing/request": ["test_dose_requests"],
    "dosing/salts": ["test_dose_requests"],
    "dosing/asked": ["test_dose_requests"],
    "dosing/answers": ["test_dose_requests", "test_answers"],
    "dosing/group": ["test_dose_requests"],
    "dosing/result": ["test_dose_requests"],
    "dosing/usual": ["test_dose_requests"],
    "dosing/words": ["test_dose_requests"],
    "dosing/plan_checks": ["test_dose_plan", "test_dose"],
}
SETTINGS = """[project]
name = "curedash"
version = "0"
[tool.pytest.ini_options]
addopts = "--import-mode=importlib -p no:cacheprovider -p no:xdist"
asyncio_mode = "auto"
markers = ["external: needs a program from outside Python"]
[tool.mutmut]
source_paths = ["curedash"]
only_mutate = ["curedash/domain/{module}.py"]
also_copy = ["docs", "demo_db", "README.md"]
pytest_add_cli_args_test_selection = {tests}
"""
COPIED = ("curedash", "tests", "docs", "demo_db", "README.md", "DEVELOPERS.md")
#: fewer examples of the property tests: each mutant runs them anew
FEW_EXAMPLES = """
hypothesis_settings.register_profile(
    "mutation", derandomize=True, deadline=None, max_examples=12, database=None)
hypothesis_settings.load_profile("mutation")
"""


def mutate(module: str, tests: list[str]) -> tuple[int, list[str], list[str]]:
    """How many mutants there are, and what survived: changed code, and changed words."""
    with tempfile.TemporaryDirectory() as made:
        room = Path(made)
        for name in COPIED:
            source = HERE / name
            copy = shutil.copytree if source.is_dir() else shutil.copy
            copy(source, room / name)
        with (room / "tests" / "conftest.py").open("a") as conftest:
            conftest.write(FEW_EXAMPLES)
        paths = [f"tests/domain/{name}.py" for name in tests]
        (room / "pyproject.toml").write_text(SETTINGS.format(module=module, tests=paths))
        mutmut = Path(sys.executable).with_name("mutmut")
        with (room / "log").open("w") as log:
            subprocess.run(
                [mutmut, "run", "--max-children", "1"],
                cwd=room,
                stdout=log,
                stderr=log,
                check=False,
            )
        shown = subprocess.run(
            [mutmut, "results", "--all", "true"],
            cwd=room,
            check=False,
            capture_output=True,
            text=True,
        ).stdout
        rows = [line.strip().split(": ") for line in shown.splitlines() if ": " in line]
        if not rows:
            print((room / "log").read_text()[-2000:], file=sys.stderr)
        code: list[str] = []
        words: list[str] = []
        for name in (row[0] for row in rows if row[1] not in ("killed", "timeout", "suspicious")):
            diff = subprocess.run(
                [mutmut, "show", name], cwd=room, check=False, capture_output=True, text=True
            ).stdout
            changed = [
                line
                for line in diff.splitlines()
                if line[:1] in "+-" and line[:3] not in ("+++", "---")
            ]
            (words if _only_words(changed) else code).append(f"{name}\n" + "\n".join(changed))
        return len(rows), code, words


def _only_words(changed: list[str]) -> bool:
    """Whether only the text of a sentence was changed, not code nor a key."""
    before = " ".join(line[1:] for line in changed if line[0] == "-")
    after = " ".join(line[1:] for line in changed if line[0] == "+")
    if " " not in "".join(re.findall(r"""["']([^"']*)["']""", before)):
        return False  # a single word may be a key
    blank = re.compile(r"""f?(["']).*?\1""")
    return blank.sub("_", before).split() == blank.sub("_", after).split()


def main(names: list[str]) -> int:
    """Run the modules asked for; exit 1 where less than 90 % of the changes are noticed."""
    bad = 0
    for module in names or list(MODULES):
        total, code, words = mutate(module, MODULES.get(module, ["test_dose"]))
        counted = total - len(words)
        killed = 100 * (counted - len(code)) / counted if counted else 0.0
        every = 100 * (total - len(code) - len(words)) / total if total else 0.0
        print(
            f"{module}: {total} mutants, {len(code)} survived, {len(words)} more in words alone;"
            f" {killed:.1f} % of the code and {every:.1f} % of all noticed",
            flush=True,
        )
        print("\n".join(f"  {line}" for each in code for line in each.splitlines()), flush=True)
        bad += killed < 90
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
