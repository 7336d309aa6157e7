"""The guide: every page is in its index, and the page of one's own view names all there is."""

import re
import tomllib
from pathlib import Path

from curedash.services.household.preferences import CHOICES, View, read
from curedash.tui.chassis.apply_preferences import usable

GUIDE = Path(__file__).resolve().parents[2] / "docs" / "guide"


def test_the_index_lists_every_page() -> None:
    index = (GUIDE / "README.md").read_text(encoding="utf-8")
    pages = {path.name for path in GUIDE.glob("*.md")} - {"README.md"}
    assert {name for name in pages if f"({name})" not in index} == set()


def test_every_page_begins_with_the_question_it_answers() -> None:
    for page in sorted(GUIDE.glob("*.md")):
        if page.name != "README.md":
            lines = page.read_text(encoding="utf-8").splitlines()[1:]
            first = next(line for line in lines if line and not line.startswith("<!--"))
            assert re.fullmatch(r"\*\*.{10,90}\?\*\*", first), page.name


def test_every_guide_page_is_reached_from_readme_and_tutorial() -> None:
    root = GUIDE.parents[1]
    for page in (root / "README.md", root / "docs/tutorial/first-batch.md"):
        assert "guide/README.md" in page.read_text(encoding="utf-8"), page.name


def test_the_page_of_the_view_names_every_key_and_value() -> None:
    page = (GUIDE / "your-own-view.md").read_text(encoding="utf-8")
    own = page.partition("## view.toml")[2].partition("\n## ")[0]
    rows = {line.split("|")[1].strip(): line for line in own.splitlines() if line[:3] == "| `"}
    read_keys = (set(View.__annotations__) - {"troubles", "keys"}) | {"[keys]"}
    assert set(CHOICES) | {"[keys]"} == read_keys
    assert set(rows) == {f"`{name}`" for name in read_keys}
    for name, values in CHOICES.items():
        assert [v for v in values if f"`{v}`" not in rows[f"`{name}`"]] == []


def test_the_example_view_can_be_used_whole() -> None:
    page = (GUIDE / "your-own-view.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"^```toml\n(.*?)^```", page, re.DOTALL | re.MULTILINE)
    view = read(tomllib.loads(example), "view.toml")
    assert view.troubles == ()
    assert (view.weights, view.temperatures, view.theme) == ("lb", "F", "paper-light")
    taken, troubles = usable(view.keys or {})
    assert troubles == []
    assert taken == {"rack.weigh": ("G",), "rack.round": ("X", "f6")}
