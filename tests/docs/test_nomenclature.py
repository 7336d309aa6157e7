"""The list of words names nothing that is not there."""

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
REFERENCE = ROOT / "docs" / "reference"
COLUMNS = ("word", "meaning", "screen", "shell", "json", "file", "code")


@cache
def page(name: str) -> str:
    """A page of the reference."""
    return (REFERENCE / name).read_text(encoding="utf-8")


def rows() -> list[dict[str, str]]:
    """The lines of the list, by column."""
    table = page("nomenclature.md").partition("\n## ")[0]
    cells = [line.strip("| ").split(" | ") for line in table.splitlines() if line.startswith("| ")]
    return [dict(zip(COLUMNS, row, strict=True)) for row in cells[1:]]


def named(column: str) -> Iterator[tuple[str, str]]:
    """The names in a column, each with its word."""
    for row in rows():
        for name in re.findall(r"`([^`]+)`", row[column]):
            yield row["word"], name


def keys(schema: object) -> set[str]:
    """Every key that a document of the shell may have."""
    if isinstance(schema, dict):
        own = set(schema["properties"]) if isinstance(schema.get("properties"), dict) else set()
        return own.union(*map(keys, schema.values()))
    return set().union(*map(keys, schema)) if isinstance(schema, list) else set()


def test_each_word_has_one_line_and_all_its_places() -> None:
    words = [row["word"] for row in rows()]
    assert len(words) == len(set(words)) > 30
    assert [row["word"] for row in rows() if not all(row.values())] == []


def test_commands_and_flags_of_the_list_are_there() -> None:
    known = page("commands.md")
    for word, name in named("shell"):
        command, _, flag = name.partition(" --")
        _, head, after = known.partition(f"\n## curedash {command}")
        assert head, (word, name)
        assert not flag or f"--{flag}" in after.partition("\n## ")[0], (word, name)


def test_keys_of_the_list_are_in_the_documents() -> None:
    known = keys(json.loads(page("json-schema.json")))
    assert [pair for pair in named("json") if pair[1] not in known] == []


def test_columns_of_the_list_are_in_the_file() -> None:
    for word, name in named("file"):
        table, _, column = name.partition(".")
        shape = re.search(rf'CREATE TABLE "?{table}"? \((.*?)```', page("schema.md"), re.DOTALL)
        assert shape, (word, name)
        assert re.search(rf"\b{column} ", shape[1]), (word, name)


def test_names_of_the_list_are_in_the_code() -> None:
    code = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "curedash").rglob("*.py"))
    assert [pair for pair in named("code") if not re.search(rf"\b{pair[1]}\b", code)] == []
