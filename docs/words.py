"""Every sentence a person can meet, found in the source: ``python docs/make.py words``.

A sentence is a text of two words or more in the code (docstrings, SQL, patterns and style sheets
left out), or a label of the foot. Parts that are filled in later are shown in braces.
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent / "curedash"
#: folders and files whose texts nobody meets on a screen, on paper or in the shell
LEFT_OUT = ("domain/facts/", "store/migrations.py")
#: but these of them are shown
SHOWN = ("domain/facts/cautions.py",)
_SQL = re.compile(
    r"\s*(SELECT|INSERT|UPDATE|DELETE|CREATE|PRAGMA|WITH|BEGIN|ALTER|DROP|ATTACH|DETACH|FROM|WHERE|"
    r"ORDER BY|JOIN|LEFT JOIN|AND|OR|VALUES|SAVEPOINT|ROLLBACK|RELEASE|EXISTS|NOT EXISTS|VACUUM)\b"
)
_PATTERN = re.compile(r"\\[dwsbS(.\[]|\(\?|\]\+|\]\*|\$$|\^")
_WORDS = re.compile(r"[A-Za-zÀ-ÿ]{2,}")
#: calls whose texts are patterns, names or statements, never read by a person
_SILENT_CALLS = {
    "compile", "match", "search", "fullmatch", "sub", "split", "finditer", "findall", "execute",
    "executemany", "executescript", "getattr", "strftime", "strptime", "encode", "query",
    "namedtuple", "TypeVar", "cast", "startswith", "endswith", "removeprefix",
    "removesuffix", "set_name",
}  # fmt: skip


#: calls whose first text is a name, as ``--tare WEIGHT`` is of an option of the shell
_NAMING_CALLS = {"Word", "several"}


@dataclass(frozen=True)
class Said:
    """One text: the file below ``curedash/`` it is in, its line and its words."""

    file: str
    line: int
    text: str


def found() -> list[Said]:
    """Every text of the package, by file and line."""
    said: list[Said] = []
    for path in sorted(PACKAGE.rglob("*.py")):
        file = path.relative_to(PACKAGE).as_posix()
        if file in SHOWN or not file.startswith(LEFT_OUT):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            said += [Said(file, line, text) for line, text in _texts(tree)]
    return said


def _texts(tree: ast.Module) -> Iterator[tuple[int, str]]:
    silent = _silent(tree)
    for node in ast.walk(tree):
        if id(node) in silent:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        elif isinstance(node, ast.JoinedStr):
            text = _filled(node)
        else:
            continue
        for line in text.split("\n\n"):
            line = " ".join(line.split())
            if _is_sentence(line):
                yield node.lineno, line


def _filled(node: ast.JoinedStr) -> str:
    return "".join(
        str(part.value) if isinstance(part, ast.Constant) else "{" + _short(part) + "}"
        for part in node.values
    )


def _short(part: ast.expr) -> str:
    value = part.value if isinstance(part, ast.FormattedValue) else part
    words = re.findall(r"[A-Za-z_]\w*", ast.unparse(value))
    return words[-1] if words else "…"


def _silent(tree: ast.Module) -> set[int]:
    """Nodes that no person reads: docstrings, patterns, parts of f-strings, annotations."""
    found: set[int] = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)):
            first = body[0] if body else None
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                found.add(id(first.value))
        elif isinstance(node, ast.JoinedStr):
            # its own words are found with it; a sentence inside what is filled in is one for itself
            for part in node.values:
                silent = part.format_spec if isinstance(part, ast.FormattedValue) else part
                if silent is not None:
                    found |= {id(below) for below in ast.walk(silent)}
        elif isinstance(node, ast.Call):
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if name in _SILENT_CALLS | _NAMING_CALLS:
                for argument in node.args[:1] if name in _NAMING_CALLS else node.args:
                    found |= {id(below) for below in ast.walk(argument)}
        elif isinstance(node, ast.Assign):
            names = [target.id for target in node.targets if isinstance(target, ast.Name)]
            if "CSS" in names or "DEFAULT_CSS" in names:
                found |= {id(below) for below in ast.walk(node.value)}
        for note in (getattr(node, "annotation", None), getattr(node, "returns", None)):
            if isinstance(note, ast.expr):
                found |= {id(below) for below in ast.walk(note)}
    return found


def _is_sentence(text: str) -> bool:
    plain = re.sub(r"\{[^}]*\}", "", text)
    return (
        len(_WORDS.findall(plain)) >= 2
        and " " in plain.strip()
        and not _SQL.match(text)
        and not _PATTERN.search(text)
        and not text.startswith(("<", "http", "curedash."))
    )


def page() -> str:
    """The page of all sentences, a section for each file."""
    parts = [
        "# Every sentence",
        "Made from the source by `docs/words.py`; do not edit. In braces: what is filled in.",
    ]
    rows: dict[str, list[str]] = {}
    for said in found():
        rows.setdefault(said.file, []).append(said.text)
    for file, texts in rows.items():
        parts.append(f"## {title(file)}\n\n`{file}`")
        parts.append("\n".join(f"- {_escaped(text)}" for text in dict.fromkeys(texts)))
    return "\n\n".join(parts) + "\n"


def title(file: str) -> str:
    """What a reader calls the place of these sentences: a screen, a command, a topic."""
    *rooms, name = file.removesuffix(".py").split("/")
    name = name.replace("_", " ")
    if rooms == ["tui", "screens"]:
        return f"Screen: {name}"
    if rooms == ["cli"]:
        return f"Command: {name}"
    return f"{' · '.join(rooms)}: {name}" if rooms else name


def _escaped(text: str) -> str:
    return text.replace("|", "\\|").replace("<", "\\<").replace("`", "\\`")


# ── reading ease ──────────────────────────────────────────────────────────────────────────


def reading_ease(text: str) -> float:
    """Flesch's reading ease of a text: 100 very easy, 60 plain, below 30 hard.

    Source: R. Flesch, A new readability yardstick, J. Appl. Psychol. 32 (1948) 221-233:
    206.835 - 1.015 words a sentence - 84.6 syllables a word. Syllables are counted by groups of
    vowels, a silent e left out, so a score is good to a few points.
    """
    words = re.findall(r"[A-Za-z’']+", text)
    if not words:
        return 100.0
    sentences = len([part for part in re.split(r"[.!?;:]\s|\n", text) if _WORDS.search(part)])
    syllables = sum(map(_syllables, words))
    return 206.835 - 1.015 * len(words) / max(sentences, 1) - 84.6 * syllables / len(words)


def _syllables(word: str) -> int:
    plain = word.casefold()
    groups = len(re.findall(r"[aeiouy]+", plain))
    silent = plain.endswith("e") and not plain.endswith(("le", "ee")) and groups > 1
    return max(1, groups - silent)


def ease_of_files() -> list[tuple[str, float]]:
    """The reading ease of each page of the docs and of each room of the source, hardest first."""
    rooms: dict[str, list[str]] = {}
    for said in found():
        room = "/".join(said.file.split("/")[:2]).removesuffix(".py")
        rooms.setdefault(f"curedash/{room}", []).append(re.sub(r"\{[^}]*\}", "X", said.text))
    scores = {room: reading_ease("\n".join(texts)) for room, texts in rooms.items()}
    root = PACKAGE.parent
    for path in (root / "README.md", *sorted((root / "docs").rglob("*.md"))):
        text = path.read_text(encoding="utf-8")
        text = re.sub(r"```.*?```|<!--.*?-->|`[^`]*`|\]\([^)]*\)", "", text, flags=re.DOTALL)
        scores[path.relative_to(root).as_posix()] = reading_ease(text)
    return sorted(scores.items(), key=lambda one: one[1])
