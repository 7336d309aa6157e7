"""Every JSON document of the shell is what docs/reference/json-schema.json says of it.

The schema is checked by the jsonschema library against the metaschema of JSON Schema 2020-12.
"""

import json
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from curedash.cli.verbs import VERBS, help_of, second_words
from tests.cli.conftest import Done
from tests.data.make_json_version import kept, promised
from tests.demo import copy_demo

Shell = Callable[..., Done]
ROOT = Path(__file__).resolve().parents[2]
SCHEMA = json.loads((ROOT / "docs/reference/json-schema.json").read_text(encoding="utf-8"))
NEW = (
    "--species",
    "beef",
    "--style",
    "bresaola",
    "--salt",
    "2.75",
    "--curing-salt",
    "no2",
    "--rules",
    "us",
    "--class",
    "dry-cured",
    "--scale",
    "0.1",
)
HANGING = ("--weight", "800 g", "--thickness", "70mm", "--style", "lonza")
DOSE = (
    "dose",
    "--curing-salt",
    "no2",
    "--cure",
    "0.25",
    "--rules",
    "us",
    "--class",
    "dry-cured",
    "--salt",
    "2.75",
)

#: command → command lines on the demo that print it in each of its shapes; what stands before a
#: | only prepares
CASES: dict[str, list[list[str]]] = {
    "lots": [["lots"], ["lots", "--base", "green"]],
    "weigh": [
        ["weigh", "D1", "781"],
        ["weigh", "D1", "900", "--yes"],
        ["weigh", "G1", "1100 g"],
        ["weigh", "D1", "781", "--at", "tomorrow", "--yes"],
        ["weigh", "D1", "781", "|", "weigh", "D1", "781", "--yes"],
    ],
    "dose": [
        [*DOSE, "--green", "1134 g", "--thickness", "89mm", "--scale", "0.1"],
        [*DOSE, "--green", "300 g", "--scale", "1", "--given", "curing-salt=3g"],
        [
            "dose",
            "--green",
            "1 kg",
            "--method",
            "salt-box",
            "--thickness",
            "60mm",
            "--rules",
            "us",
            "--class",
            "dry-cured",
            "--scale",
            "1",
        ],
        [
            "dose",
            "--green",
            "1 kg",
            "--salt",
            "3",
            "--curing-salt",
            "no1",
            "--cure",
            "2.5",
            "--rules",
            "eu",
            "--class",
            "dry-cured",
            "--scale",
            "0.1",
        ],
    ],
    "batch add": [
        [
            "batch",
            "add",
            "--name",
            "Eye",
            *NEW,
            "--cure",
            "0.25",
            "--green",
            "1134 g",
            "--thickness",
            "78mm",
            "--place",
            "Cellar",
            "--salted-on",
            "today",
        ],
        [
            "batch",
            "add",
            "--name",
            "Raw",
            *NEW,
            "--cure",
            "0.25",
            "--green",
            "900 g",
            "--thickness",
            "unknown: no ruler",
        ],
        ["batch", "add", "--from", "pieces.csv", "--dry-run"],
        ["batch", "add", "--name", "Halves", "--stage", "in-cure", "--since", "-4d"],
        ["batch", "add", "--name", "Loin", "--stage", "drying", "--since", "-21d", *HANGING],
    ],
    "answer": [["answer", "G1"], ["answer", "G1", "thickness=78mm"], ["answer", "G"]],
    "jar add": [["jar", "add", "red", "6.25/0", "--opened-on", "today"]],
    "jar list": [["jar", "list"], ["jar", "add", "red", "0.6/1", "|", "jar", "list", "--own"]],
    "jar premix": [["jar", "premix", "no1", "--parts", "4", "--weight", "200g", "--name", "weak"]],
    "sheet": [["sheet", "L1"], ["sheet", "G1"], ["sheet", "H1"]],
    "tick": [["tick", "L1", "--all"]],
    "misdose": [["misdose", "G1", "--given", "curing-salt=7g", "--look"]],
    "turn": [["turn", "G1"]],
    "ph": [["ph", "J1", "5.4"], ["ph", "D1"]],
    "freeze": [
        ["freeze", "G1", "--from", "-8d", "--warmest", "-18C", "--thickness", "60mm"],
        ["freeze", "G1", "--from", "-8d", "--warmest", "-5C", "--thickness", "60mm"],
    ],
    "style list": [["style", "list"]],
    "style show": [["style", "show", "bresaola"]],
    "style add": [["style", "add", "eye.toml"]],
    "style copy": [["style", "copy", "bresaola", "ours"]],
    "style set": [["style", "set", "bresaola", "--loss", "33..38"]],
    "stage": [
        ["stage", "D2", "equalising", "--weight", "704", "--place", "Pantry fridge"],
        ["stage", "D2", "D1", "on-hold", "--place", "Pantry fridge"],
    ],
    "note": [["note", "C1", "smells of nuts"]],
    "photo": [
        ["note", "C1", "a firm spot", "--photo", "tip.png", "|", "photo", "C1"],
        ["photo", "D1"],
    ],
    "look": [
        ["look", "D2", "--rim", "hard", "--firmness", "soft", "--smell", "clean"],
        ["look", "C1", "--mould", "white", "powdery", "spots", "brushed"],
        ["look", "C1", "--bag", "partly"],
    ],
    "rebase": [
        ["rebase", "D1", "trimmed", "--before", "781", "--after", "760"],
        ["rebase", "D1", "larded", "--before", "781", "--after", "990"],
    ],
    "divide": [["divide", "F1", "500", "400", "--yes"]],
    "opened": [["opened", "D1", "raw middle", "back", "--before", "781", "--after", "760"]],
    "hold": [["hold", "F1", "--place", "Pantry fridge"]],
    "move": [["move", "F1", "Landing fridge"]],
    "discard": [["discard", "F1", "dropped"]],
    "finish": [["finish", "D2", "700", "--liked", "4", "--pack", "300g", "--given-to", "Jon"]],
    "pack": [
        ["finish", "D2", "700", "|", "pack", "D2", "200"],
        [
            "finish",
            "D2",
            "700",
            "|",
            "finish",
            "D1",
            "760",
            "|",
            "pack",
            "D2",
            "120",
            "D1",
            "80",
            "--given-to",
            "Jon",
        ],
        ["pack"],
    ],
    "price": [
        ["price", "A1"],
        ["price", "D1", "38.20", "EUR"],
        ["price", "A1", "17/kg", "--bought", "2.3kg"],
    ],
    "void": [["void", "D1"]],
    "swap": [
        ["weigh", "D1", "770", "--yes", "|", "weigh", "D2", "760", "--yes", "|", "swap", "D1", "D2"]
    ],
    "correct": [["correct", "D1", "--tare", "30g"]],
    "book": [["book"], ["book", "--sum"], ["book", "--again", "A"]],
    "history": [
        ["history"],
        ["weigh", "D1", "781", "|", "undo", "|", "history", "D1"],
        ["history", "--change", "20"],
    ],
    "check": [["check"]],
    "place add": [["place", "add", "Shed", "--temp", "2..14C"], ["place", "add", "Box"]],
    "place list": [["place", "list"]],
    "air add": [["air", "add", "Landing fridge", "3.5C", "78%", "--at", "2026-11-25T19:00+02:00"]],
    "air last": [["air", "last"], ["place", "add", "Box", "|", "air", "last"]],
    "air outage": [
        ["air", "outage", "Cellar", "--from", "-1d", "--to", "today", "--highest", "21C"]
    ],
    "service status": [["service", "status"]],
    "sensor list": [
        [
            "sensor",
            "add",
            "Cellar",
            "top",
            "|",
            "sensor",
            "salt-test",
            "Cellar",
            "top",
            "--shown",
            "79%",
            "|",
            "sensor",
            "list",
        ]
    ],
    "rules list": [["rules", "list"]],
    "settings list": [["settings", "list"]],
    "undo": [["note", "C1", "x", "|", "undo"]],
    "forecast": [
        ["forecast", "F1"],
        ["forecast", "F1", "--target", "38", "--hold", "7d"],
        ["forecast", "--file", "days.csv", "--target", "35"],
        ["forecast", "--past"],
    ],
    "cure-time": [
        ["cure-time", "--thickness", "89mm"],
        ["cure-time", "--thickness", "60mm", "--boundary", "salt-box", "--weight", "1 kg"],
    ],
    "backup": [["backup", "copy.db"], ["backup", "|", "backup", "--list"]],
    "restore": [["backup", "copy.db", "|", "restore", "copy.db"], ["backup", "|", "restore"]],
    "doctor": [["doctor"]],
    "calendar": [["calendar"], ["away", "add", "1–9 Dec", "|", "calendar"]],
    "away": [["away", "add", "1–9 Dec"], ["away", "add", "1–9 Dec", "|", "away"]],
    "plan": [["plan", "bresaola", "--ready-by", "24 May", "--thickness", "70mm"]],
    "import": [
        ["import", "sheet.csv", "--dry-run"],
        ["import", "pieces.csv"],
        ["export", "--output", "all.json", "|", "import", "all.json", "--db", "new.db"],
    ],
}

#: leave with another code than 0, as they are to
CODES = {"check": 2, "doctor": 1, "dose": 65, "import": 65}


def commands_with_json() -> list[str]:
    """Every command whose own help names --json."""
    found = []
    for verb in VERBS:
        words = [f"{verb} {word}" for word in second_words(verb)] or [verb]
        found += [one for one in words if "--json" in help_of(one.split())]
    return found


def lines(words: list[str]) -> list[list[str]]:
    """The command lines that a ``|`` parts."""
    found: list[list[str]] = [[]]
    for word in words:
        if word == "|":
            found.append([])
        else:
            found[-1].append(word)
    return found


def objects(schema: Any, where: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Each schema of an object inside a schema."""
    if isinstance(schema, dict):
        if "properties" in schema and isinstance(schema["properties"], dict):
            yield where, schema
        for key, inner in schema.items():
            yield from objects(inner, f"{where}/{key}")
    elif isinstance(schema, list):
        for inner in schema:
            yield from objects(inner, where)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "household.db"
    copy_demo(path, datetime(2026, 11, 25, 18, tzinfo=UTC))
    return path


@pytest.fixture
def household(
    demo: Path, shell: Shell, db_path: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Shell:
    """The demo as this test's file, and a few small files to read."""
    shutil.copy(demo, db_path)
    monkeypatch.chdir(tmp_path)
    Path("eye.toml").write_text('like = "bresaola"\nid = "eye"\nname = "Eye"\n', encoding="utf-8")
    Path("tip.png").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(40))
    Path("days.csv").write_text("day,net_g\n0,1000\n4,930\n9,880\n15,830\n", encoding="utf-8")
    Path("pieces.csv").write_text("style,stage,since,place\nlonza,drying,9 Nov,Cellar\n")
    Path("sheet.csv").write_text("date,lot,weight\n2026-11-25,D1,780 g\n2026-11-25,Q9,7 g\n")
    return shell


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == Draft202012Validator.META_SCHEMA["$id"]


def test_no_command_with_json_is_forgotten() -> None:
    commands = commands_with_json()
    assert sorted(CASES) == sorted(commands)
    defined = {name for name in SCHEMA["$defs"] if name[0].islower()}
    assert defined == {command.replace(" ", "-") for command in commands}


def test_every_field_is_described_and_every_number_has_its_unit() -> None:
    missing = []
    for where, schema in objects(SCHEMA["$defs"]):
        assert schema["additionalProperties"] is False or where.endswith("/recipe"), where
        for name, field in schema["properties"].items():
            if "description" not in field and "$ref" not in field:
                missing.append(f"{where}/{name}")
            if "number" in field.get("type", ()) and "[" not in field["description"]:
                missing.append(f"{where}/{name}: unit")
    assert missing == []


def test_words_are_those_of_the_program() -> None:
    from curedash.domain.curing.stages import STAGES
    from curedash.domain.needs.diary import KINDS

    assert SCHEMA["$defs"]["Stage"]["enum"] == list(STAGES)
    item = SCHEMA["$defs"]["calendar"]["items"]["properties"]
    assert item["kind"]["enum"] == list(KINDS)


def test_what_a_version_promises_is_kept() -> None:
    """Keys are added within a version; none goes, and none gets another type or unit."""
    promise = kept(SCHEMA["version"]).read_text(encoding="utf-8").splitlines()
    assert len(promise) > 500
    assert sorted(set(promise) - promised(SCHEMA)) == []


@pytest.mark.parametrize(
    ("before", "after"), [('"gross_g":', '"scale_g":'), ("[g]", "[kg]"), ('"integer"', '"string"')]
)
def test_a_broken_promise_is_found(before: str, after: str) -> None:
    broken = json.loads(json.dumps(SCHEMA, ensure_ascii=False).replace(before, after))
    assert promised(SCHEMA) - promised(broken)


def test_the_program_prints_its_schema(shell: Shell) -> None:
    assert shell("--json-schema").json == SCHEMA


def test_every_shared_shape_is_used() -> None:
    text = json.dumps(SCHEMA)
    shared = [name for name in SCHEMA["$defs"] if name[0].isupper()]
    assert [name for name in shared if f'"#/$defs/{name}"' not in text] == []


@pytest.mark.parametrize(
    ("command", "words"),
    [(command, words) for command, cases in CASES.items() for words in cases],
    ids=lambda case: "-".join(case)[:60] if isinstance(case, list) else case.replace(" ", "-"),
)
def test_what_is_printed_fits(household: Shell, command: str, words: list[str]) -> None:
    *before, last = lines(words)
    for line in before:
        prepared = household(*line)
        assert prepared.code == 0, prepared.err
    done = household(*last, "--json")
    assert done.code in (0, CODES.get(command, 0)), done.err
    schema = {"$ref": f"#/$defs/{command.replace(' ', '-')}", "$defs": SCHEMA["$defs"]}
    checks = Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER)
    found = [f"{e.json_path}: {e.message}" for e in checks.iter_errors(done.json)]
    assert found == []
