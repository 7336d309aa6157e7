"""Makes what must not go stale: pictures from the demo, the reference of keys and commands.

    python docs/make.py            write the pages and pictures
    python docs/make.py --check    say which of them differ; exit 1 if any does
    python docs/make.py words      write the page of every sentence; print the reading ease

The checks run ``--check``; pictures are compared by the text they show.
"""

import asyncio
import os
import re
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import json_page

HERE = Path(__file__).resolve().parent
NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)

LEAST_SHOWN = 80  # letters on a picture of a page that was painted
#: typed into the form of a new batch; a word of several letters that is not a key is typed,
#: ``@field`` is gone to by Tab
NEW_BATCH = (
    "n",
    "f9",
    "bresaola",
    "@name",
    "Beef eye",
    "@pieces",
    "1134 1088 990 1041",
    "@thickness",
    "78 mm",
    "@curing_salt",
    "no2",
    "tab",
)

#: picture → size, keys pressed on the demo's Rack, what it shows
PICTURES: dict[str, tuple[tuple[int, int], tuple[str, ...], str]] = {
    "rack": ((80, 24), (), "The Rack: what needs somebody, and when each piece is ready"),
    "weigh-in": ((80, 24), ("down", "down", "down", "7", "0", "4"), "A weigh-in on the Rack"),
    "needs": ((80, 24), ("a",), "Needs: each with its number and the usual next action"),
    "keys": ((80, 24), ("f1",), "The keys of the Rack"),
    "lot": ((80, 24), ("down", "down", "down", "enter"), "One lot: curve, figures, log"),
    "places": ((80, 24), ("p",), "Places: last reading, means, bands"),
    "settings": ((80, 24), ("S",), "Settings: what one person sees, what the household settled"),
    "new-batch": ((100, 32), NEW_BATCH, "The form of a new batch"),
    "dose-sheet": ((80, 24), (*NEW_BATCH, "f10"), "The dose sheet"),
}

#: the same on a new file
ON_A_NEW_FILE = {"first-start": ((80, 24), (), "The first start on an empty file")}


# ── commands ──────────────────────────────────────────────────────────────────────────────


def commands_page() -> str:
    """The reference of the shell, from each command's own help."""
    from curedash.cli.dispatch import help_text
    from curedash.cli.verbs import help_of

    parts = [
        "# Commands",
        "Made from the commands' own help by `docs/make.py`; do not edit.",
        _fenced(help_text()),
    ]
    for words in all_commands():
        parts += [f"## curedash {words}", _fenced(help_of(words.split()))]
    return "\n\n".join(parts) + "\n"


def all_commands() -> list[str]:
    """Every command with its second word, in the order of the help."""
    from curedash.cli.verbs import VERBS, second_words

    found: list[str] = []
    for verb in VERBS:
        second = second_words(verb)
        found += [f"{verb} {word}" for word in second] or [verb]
    return found


def manual_page() -> str:
    """The manual page, from the same help (man(7) macros)."""
    from curedash import __version__
    from curedash.cli.verbs import VERBS, help_of

    lines = [
        f'.TH CUREDASH 1 "" "curedash {__version__}" "User Commands"',
        ".SH NAME",
        "curedash \\- bring several pieces of dry-cured meat to the right moment, one by one",
        ".SH SYNOPSIS",
        ".B curedash",
        "[\\-\\-db FILE] [\\-\\-now TIME] [COMMAND ...]",
        ".SH DESCRIPTION",
        "Without a command it opens the dashboard on the household's file. With a command it does",
        "one thing and leaves; data go to standard output, talk to standard error.",
        ".SH COMMANDS",
        *(f".TP\n.B {verb}\n{_roff(what)}" for verb, what in VERBS.items()),
        ".SH EXIT STATUS",
        "0 ok; 64 usage; 65 refused or doubtful input; 66 no such lot, place or file; 70 a bug;",
        "73 stored, but not all that follows from it could be written or printed;",
        "74 the file cannot be read or written; 130 interrupted.",
        ".B curedash check",
        "leaves with 0 for nothing, 1 for today, 2 for now;",
        ".B curedash doctor",
        "with 1 where something is worth a look.",
        ".SH GLOBAL OPTIONS",
        ".TP\n.B \\-\\-db FILE\nthe household's file",
        ".TP\n.B \\-\\-now TIME\ntake this ISO time as the present moment",
        ".TP\n.B \\-\\-version\nprint the version",
        ".TP\n.B \\-\\-json\\-schema\nthe JSON Schema of what the commands print with \\-\\-json",
        ".TP\n.B \\-\\-help\nthe commands; each command has its own",
        ".SH ENVIRONMENT",
        ".TP\n.B CUREDASH_DB\nthe household's file",
        ".TP\n.B CUREDASH_NOW\ntake this ISO time as the present moment",
        ".TP\n.B CUREDASH_TELL\nwhat the dashboard may do at a new alert: bell, title, desktop",
        ".TP\n.B NO_COLOR\nno colour at all",
        ".TP\n.B TZ\nthe zone that a new file starts with",
        ".SH FILES",
        ".TP\n.I $XDG_DATA_HOME/curedash/curedash.db\nthe household's file",
        ".TP\n.I $XDG_CONFIG_HOME/curedash/view.toml\nunits, look and keys of one person",
        ".TP\n.I $XDG_CACHE_HOME/curedash/demo.db\nthe demo",
        ".TP\n.I $XDG_STATE_HOME/curedash/trace.log\ndetails of a bug",
        ".SH OPTIONS OF EACH COMMAND",
    ]
    for words in all_commands():
        lines += [f".SS curedash {words}", ".nf", _roff(help_of(words.split())), ".fi"]
    return "\n".join(lines) + "\n"


def _roff(text: str) -> str:
    """Text that the formatter takes literally."""
    safe = text.rstrip("\n").replace("\\", "\\e").replace("-", "\\-")
    return "\n".join(f"\\&{line}" if line[:1] in (".", "'") else line for line in safe.split("\n"))


def schema_page() -> str:
    """The tables of a fresh file."""
    import sqlite3

    from curedash.store.file_trouble import SCHEMA_VERSION
    from curedash.store.open import open_db

    with tempfile.TemporaryDirectory() as folder:
        open_db(os.path.join(folder, "fresh.db"), create=True).close()
        conn = sqlite3.connect(os.path.join(folder, "fresh.db"))
        rows = conn.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name NOT LIKE"
            " '%sqlite%' ORDER BY name"
        ).fetchall()
        conn.close()
    parts = [
        "# Schema",
        f"Made from a fresh file of version {SCHEMA_VERSION} by `docs/make.py`; do not edit. Times"
        " are ISO-8601 UTC text, readings epoch seconds; weights are grams.",
    ]
    for name, sql in rows:
        parts += [f"## {name}", "```sql\n" + sql.strip() + "\n```"]
    return "\n\n".join(parts) + "\n"


def _fenced(text: str) -> str:
    return "```\n" + text.strip("\n") + "\n```"


# ── keys ──────────────────────────────────────────────────────────────────────────────────


def keys_page() -> str:
    """The reference of keys, from the one list that binds them."""
    from curedash.present.rack.around import LEGEND
    from curedash.tui.chassis.commands import COMMANDS

    signs = "\n".join(f"| `{sign}` | {words} |" for sign, words in LEGEND)
    parts = [
        "# Keys",
        "Made from the list that binds them by `docs/make.py`; do not edit. The name in the last"
        " column is what [view.toml](../guide/your-own-view.md) takes to give a command another"
        " key.",
        f"## Signs of the Rack\n\n| sign | |\n|---|---|\n{signs}",
        _letters(),
    ]
    pages: dict[str, list[str]] = {}
    for command in COMMANDS:
        row = f"| `{command.key_words}` | {command.label} | {command.help} | `{command.id}` |"
        pages.setdefault(command.page, []).append(row)
    for page, rows in pages.items():
        title = "Everywhere" if page == "any" else page.replace("-", " ").capitalize()
        parts.append(
            "\n".join(
                [f"## {title}", "", "| key | command | | its name |", "|---|---|---|---|", *rows]
            )
        )
    return "\n\n".join(parts) + "\n"


def _letters() -> str:
    """A letter means the same on every page: what it is called there."""
    from curedash.tui.chassis.commands import COMMANDS

    words: dict[str, dict[str, None]] = {}
    for command in COMMANDS:
        for key in command.keys:
            if len(key) == 1:
                words.setdefault(key, {})[command.label] = None
    rows = [
        f"| `{key}` | {', '.join(words[key])} |"
        for key in sorted(words, key=lambda key: (key.casefold(), key.isupper()))
    ]
    return "\n".join(
        [
            "## Letters",
            "",
            "A letter means the same on every page. It is called by what it does there.",
            "",
            "| letter | what it is called |",
            "|---|---|",
            *rows,
        ]
    )


# ── pictures ──────────────────────────────────────────────────────────────────────────────


def _typed(text: str) -> list[str]:
    """The keys of a text."""
    names = {" ": "space", ".": "full_stop", ",": "comma", "/": "slash"}
    return [names.get(char, char) for char in text]


def _is_word(key: str) -> bool:
    """Whether it is text to be typed and no key's name."""
    from textual.keys import Keys

    return len(key) > 1 and key not in {known.value for known in Keys}


async def _go_to(app: Any, pilot: Any, field_id: str) -> None:
    """Press Tab until the cursor is at a field of the form."""
    form = app.screen.form
    for _ in range(sum(len(row) for row in form.rows)):
        if form.at == field_id:
            return
        await pilot.press("tab")
    raise LookupError(f"no field {field_id} in sight: {form.rows}")


async def _picture(db_path: str, size: tuple[int, int], keys: tuple[str, ...]) -> str:
    from curedash.tui.app import Dashboard
    from curedash.tui.chassis.state import DashboardState

    house = DashboardState(db_path, lambda: NOW, theme=None)
    try:
        app = Dashboard(house)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            for key in keys:
                if key.startswith("@"):
                    await _go_to(app, pilot, key[1:])
                else:
                    await pilot.press(*(_typed(key) if " " in key or _is_word(key) else [key]))
            svg = ""
            while len(shown_text(svg)) < LEAST_SHOWN:  # a slow machine paints later
                await pilot.pause(0.2)
                svg = app.export_screenshot(title="curedash", simplify=True)
            return re.sub(r"terminal-\d+", "terminal", svg)
    finally:
        house.close()


def pictures() -> Iterator[tuple[str, str]]:
    """Each picture's name and its SVG, from a demo built for one fixed day."""
    from curedash.services.file.demo import build_demo

    os.environ["TZ"] = "UTC"
    for name in ("NO_COLOR", "COLUMNS", "LINES"):
        os.environ.pop(name, None)
    os.environ["TERM"] = "xterm-256color"
    os.environ["XDG_CONFIG_HOME"] = "/home/cook/.config"  # Settings shows where the view would lie
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_STATE_HOME"] = folder
        db_path = os.path.join(folder, "demo.db")
        build_demo(db_path, NOW)
        for name, (size, keys, _about) in PICTURES.items():
            yield name, asyncio.run(_picture(db_path, size, keys))
        for name, (size, keys, _about) in ON_A_NEW_FILE.items():
            yield name, asyncio.run(_picture(os.path.join(folder, f"{name}.db"), size, keys))


def shown_text(svg: str) -> str:
    """The text a picture shows, whatever its colours."""
    return re.sub(r"\s+", " ", " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", svg)))


# ── words of the trade ────────────────────────────────────────────────────────────────────


def glossary_page() -> str:
    """The words of the trade, as ``?`` explains them."""
    from curedash.present.glossary import TERMS

    rows = "\n".join(f"| {term} | {meaning} |" for term, meaning in TERMS.items())
    return (
        "# Words of the trade\n\n"
        "What does a word on the screen mean? `?` on the Rack explains the same words. Where each"
        " is used in the shell, in JSON and in the file: [words and units](nomenclature.md).\n\n"
        f"| word | meaning |\n|---|---|\n{rows}\n"
    )


# ── all of it ─────────────────────────────────────────────────────────────────────────────


def made() -> Iterator[tuple[Path, str]]:
    """Every file that is made, with what it should hold."""
    yield HERE / "reference" / "commands.md", commands_page()
    yield HERE / "reference" / "keys.md", keys_page()
    yield HERE / "reference" / "glossary.md", glossary_page()
    yield HERE / "reference" / "schema.md", schema_page()
    yield HERE / "reference" / "json.md", json_page.page()
    yield HERE / "curedash.1", manual_page()
    for name, svg in pictures():
        yield HERE / "pictures" / f"{name}.svg", svg


def stale() -> list[str]:
    """Made files that differ from what they should hold."""
    found = []
    for path, text in made():
        kept = path.read_text(encoding="utf-8") if path.exists() else ""
        same = shown_text(kept) == shown_text(text) if path.suffix == ".svg" else kept == text
        if not same:
            found.append(str(path.relative_to(HERE.parent)))
    return found


def main() -> int:
    """Write everything, or check it."""
    os.environ["COLUMNS"] = "88"
    if "--check" in sys.argv[1:]:
        found = stale()
        print("\n".join(f"{path} is stale; run python docs/make.py" for path in found))
        return 1 if found else 0
    if "words" not in sys.argv[1:]:
        for path, text in made():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
            print(path.relative_to(HERE.parent))
    write_words()
    return 0


def write_words() -> None:
    """The page of every sentence, and how easy each page and room is to read."""
    import words

    path = HERE / "reference" / "words.md"
    path.write_text(words.page(), encoding="utf-8")
    print(path.relative_to(HERE.parent))
    if "words" in sys.argv[1:]:
        print("\n".join(f"{ease:5.0f}  {name}" for name, ease in words.ease_of_files()))


if __name__ == "__main__":
    sys.exit(main())
