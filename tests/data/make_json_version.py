"""Keep what a version of the JSON documents promises: every key with its type and unit.

    python tests/data/make_json_version.py

A test holds today's schema against it, so that a key is never renamed, removed or given another
type or unit within a version. Run it when the version in the schema is raised, and once more on
the day of a first release.
"""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
SCHEMA = HERE.parents[1] / "docs" / "reference" / "json-schema.json"


def promised(schema: dict[str, Any]) -> set[str]:
    """Each key of each shape as ``shape/key: type [unit]``; nested ones with their way there."""
    return {line for name, shape in schema["$defs"].items() for line in _keys(shape, name)}


def _keys(shape: dict[str, Any], where: str) -> Iterator[str]:
    for name, field in shape.get("properties", {}).items():
        unit = re.search(r"\[[^\]]*\]", field.get("description", ""))
        kind = field.get("type") or field.get("$ref") or sorted(set(field) - {"description"})
        words = kind if isinstance(kind, str) else "|".join(kind)
        yield f"{where}/{name}: {words} {unit[0] if unit else ''}".strip()
        yield from _keys(field, f"{where}/{name}")
    for way in (*shape.get("oneOf", ()), *shape.get("anyOf", ())):
        yield from _keys(way, where)
    if isinstance(shape.get("items"), dict):
        yield from _keys(shape["items"], f"{where}[]")


def kept(version: int) -> Path:
    """Where the promise of this version lies."""
    return HERE / f"json-version-{version}.txt"


def main() -> None:
    """Write it for the version of today's schema."""
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    text = "\n".join(sorted(promised(schema))) + "\n"
    kept(schema["version"]).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
