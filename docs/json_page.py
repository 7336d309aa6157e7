"""The page of JSON documents, from the schema that the program prints with --json-schema."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

SCHEMA = Path(__file__).resolve().parent / "reference" / "json-schema.json"
WHOLE: dict[str, Any] = json.loads(SCHEMA.read_text(encoding="utf-8"))
SHAPES: dict[str, Any] = WHOLE["$defs"]
HEAD = f"""# JSON

Made from [json-schema.json](json-schema.json) by `docs/make.py`; do not edit. The schema is JSON
Schema 2020-12; `curedash --json-schema` prints the one that belongs to the program you have. To
check a document, use its command's definition, such as `#/$defs/lots`.

This is version {WHOLE["version"]} (`version` in the schema). Within a version keys and shapes are
only added: none is renamed or removed, and none gets another type or unit. Read what you know and
skip what you do not. A change that breaks this raises the version and is in the list of changes.

What every document keeps to:

- Weights are grams, temperatures °C, lengths mm, percentages 0 to 100, whatever a view shows.
- Nitrite is always as NaNO2 and nitrate as NaNO3; a limit names its own basis.
- A loss names its base (`base`, `target_base`) beside it.
- Moments are UTC, days are calendar days in the household's zone.
- Unknown is `null`; a key is never missing, but where it says *sometimes*.
- One document on stdout, talk on stderr; a command that is refused prints none, but a refused dose.
"""


def page() -> str:
    """Every command's document, then the shapes they share."""
    commands = [name for name in SHAPES if name[0].islower()]
    shared = [name for name in SHAPES if name[0].isupper()]
    parts = [HEAD]
    for name in commands:
        parts += [f"## {name}", *_shape(SHAPES[name])]
    parts.append("# Shared shapes")
    for name in shared:
        parts += [f"## {name}", *_shape(SHAPES[name])]
    return "\n\n".join(part.strip("\n") for part in parts) + "\n"


def _shape(schema: dict[str, Any]) -> Iterator[str]:
    """A shape in words and its fields as a table; ways it can look, one after another."""
    ways = schema.get("oneOf") or schema.get("anyOf")
    kind = _kind(schema)
    words = _sentence(schema)
    yield words[:1].upper() + words[1:] + (f" ({kind})." if kind and not ways else ".")
    if ways:
        for way in ways:
            yield f"*{_kind(way)}* {_sentence(way)}".strip()
            yield from _table(way)
        return
    yield from _table(schema)


def _table(schema: dict[str, Any]) -> Iterator[str]:
    rows = list(_rows(schema, ""))
    if rows:
        yield "\n".join(["| field | is | |", "|---|---|---|", *rows])


def _rows(schema: dict[str, Any], where: str) -> Iterator[str]:
    """One row a field; what lies inside follows with its path."""
    for name, field in schema.get("properties", {}).items():
        sometimes = "" if name in schema.get("required", ()) else " *sometimes*"
        path = f"{where}{name}"
        yield f"| `{path}` | {_kind(field)}{sometimes} | {_sentence(field)} |"
        yield from _rows(field, f"{path}.")
        yield from _rows(field.get("items", {}), f"{path}[].")
    if "items" in schema and not where:
        yield from _rows(schema["items"], "[].")


def _sentence(schema: dict[str, Any]) -> str:
    """The description with the words or the range that are allowed."""
    text = str(schema.get("description", ""))
    if not text and "$ref" in schema:
        text = str(SHAPES[schema["$ref"].rpartition("/")[2]]["description"])
    if "enum" in schema:
        words = ", ".join(f"`{word}`" for word in schema["enum"] if word is not None)
        text = f"{text}: {words}" if text else words
    return text.replace("|", "\\|")


def _kind(schema: dict[str, Any]) -> str:
    """What it is, in a word or two."""
    if "$ref" in schema:
        name = schema["$ref"].rpartition("/")[2]
        return f"[{name}](#{name.lower()})"
    if "anyOf" in schema:
        return " or ".join(_kind(way) for way in schema["anyOf"])
    kinds = schema.get("type", "word" if "enum" in schema else "")
    kinds = [kinds] if isinstance(kinds, str) else kinds
    if "array" in kinds and "$ref" in schema.get("items", {}):
        kinds = [f"array of {_kind(schema['items'])}" if k == "array" else k for k in kinds]
    if "enum" in schema and None in schema["enum"]:
        kinds = [*kinds, "null"]
    return " or ".join(kinds)
