"""The page for developers draws the house as it is, and the paths it names lead somewhere."""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HOUSE = ROOT / "curedash"
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def rooms() -> dict[str, tuple[int, int]]:
    """Every folder of the package: its files, and the lines that are code."""
    found = {}
    for folder in [HOUSE, *HOUSE.rglob("*/")]:
        files = sorted(folder.glob("*.py"))
        if files and folder.name != "__pycache__":
            found[folder.relative_to(ROOT).as_posix()] = (len(files), sum(map(code_lines, files)))
    return found


def code_lines(path: Path) -> int:
    """Lines that are neither blank nor comment nor docstring."""
    text = path.read_text(encoding="utf-8")
    lines = {
        number
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    }
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            lines -= set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    return len(lines)


def drawn() -> dict[str, tuple[int, float]]:
    """The rooms of the drawing: files, and thousands of lines."""
    part = PAGE.partition("### The rooms\n")[2]
    block = part.partition("\n    curedash/")[2].partition("\n\n")[0]
    found, path = {}, ["curedash"]
    for line in block.splitlines()[1:]:
        fitting = re.match(r"^( +)(\w+)/ .*?(\d+) +([\d.]+)k", line)
        if fitting is not None:
            depth = (len(fitting[1]) - 4) // 2
            path = [*path[:depth], fitting[2]]
            found["/".join(path)] = (int(fitting[3]), float(fitting[4]))
    return found


def test_the_drawing_shows_every_room_about_as_large_as_it_is() -> None:
    real = rooms()
    del real["curedash"]
    shown = drawn()
    assert set(shown) == set(real)
    for room, (files, thousands) in shown.items():
        assert abs(files - real[room][0]) <= max(2, files // 5), room
        assert abs(thousands * 1000 - real[room][1]) <= max(150, 0.25 * real[room][1]), room


def is_there(name: str) -> bool:
    """Whether a path is a file or folder of the project or of the package, its ending left out."""
    endings = ("", ".py", ".md", ".json")
    return any(list(top.glob(name + end)) for top in (ROOT, HOUSE) for end in endings)


def test_every_file_it_names_is_there() -> None:
    bad = []
    for code in re.findall(r"`([^`\n]+)`", PAGE):
        match = re.fullmatch(r"((?:[a-z_.]+/)+[a-z_*]+)(?:\.\w+)*(?:\(.*\))?", code)
        if match is not None and not (is_there(match[1]) or is_there(code)):
            bad.append(code)
    assert bad == []


def test_the_table_of_topics_names_files() -> None:
    table = PAGE.partition("### Where a topic lives\n")[2].partition("\n\n### ")[0]
    lines = [line for line in table.splitlines() if line.startswith("|")]
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    heads, cells = rows[0], rows[2:]
    assert len(cells) >= 12
    for row in cells:
        for head, cell in zip(heads[1:], row[1:], strict=True):
            for name in re.findall(r"[\w/]+", cell):
                assert (HOUSE / head.strip("`/") / f"{name}.py").exists(), (head, name)
