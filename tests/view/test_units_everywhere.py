"""Who chose pounds and °F sees no gram, °C or mm, but for what is named here with its reason.

The main shell verbs, every paper and every screen are made from the demo household under such a
view, and searched for metric units.
"""

import re
import shlex
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from curedash.__main__ import main
from curedash.papers.lot_facts import facts_of
from curedash.papers.pdf import Canvas
from curedash.papers.sheet_sizes import size_of
from curedash.papers.tag_pages import Layout
from curedash.papers.tags import tags_of
from curedash.present.display_units import show_in
from curedash.services.find import require_lot
from curedash.store.open import open_db
from curedash.tui.app import Dashboard
from curedash.tui.chassis.state import DashboardState
from tests.build import NOW
from tests.demo import copy_demo

METRIC = re.compile(r"\d ?(?:g|kg|mm|cm)\b(?!/)|°C|\b(?:grams?|mm|cm|kg)\b(?!/)")

#: what stays metric under every view → why
ALLOWED = {
    r"mg/kg": "the unit of every limit, in every rule set",
    r"^.*?\[[ x☐]\] .*\d g\b.*$": "a dose is weighed out on a scale of grams",
    r"  \S.*\d g   (exact|planned) .*$": "a dose is weighed out on a scale of grams",
    r"(planned|weighed) g\b": "heads of the columns of a dose",
    r"\[[x ]\] \d+(\.\d)? g \S+": "a dose on the tag of a cure",
    r"\d+(\.\d+)? g (short|over|out of|stay)\b": "a dose, or what stays in a pack of it",
    r"\d(\.\d+)? g on a scale of [\d.]+ g": "a dose against the division of a scale",
    r"5 g of 6\.25 % curing salt": "a caution about curing salt, which is weighed in grams",
    r"[\d.]+ g curing salt( and [\d.]+ g fine table salt)?": "the recipe of a pre-mix",
    r"steps of [\d.]+ g(, up to [\d.]+ g)?": "a scale as it is: its own step",
    r"three days plus one per kg|weeks per kg": "the name of a rule",
    r"\d+ of \d+ °C·h": "degree-hours as their guideline prints them",
    r"weigh to 0\.01 g": "a dose is weighed out on a scale of grams",
    r"type a (weight|temperature|length) like .*$": "what can be typed: any unit can",
}
ON_SCREENS = {
    r"scale +[\d.]+ g to [\d.]+ g(, [\d.]+ g to [\d.]+ g)*": "the scales as they were given",
    r"doses are always in grams": "says what this setting does",
    r"(grams that really went in|grams of liquid).*$": "a dose is typed in grams",
    r"\bg   (ticked|planned) [\d.]+ g": "a dose is typed in grams",
    r"[\d.]+ g ticked, as planned|(never ticked, )?planned [\d.]+ g": "a dose stays in grams",
}

SHELL = (
    """
lots
lots --base green
check
history
book
book --again A
rules list
settings list
place list
air last
jar list
style show bresaola
forecast D1
plan bresaola --ready-by "24 Dec 2027"
cure-time --thickness 3in --shape slab --temp 9C
dose --green 1134g --salt 2.75 --curing-salt no2 --cure 0.25 --rules us --class dry-cured
batch add --name Eye --species beef --style bresaola --green 1134g --green 1000g --salt 2.75 \
--curing-salt no2 --cure 0.25 --rules us --class dry-cured --scale 0.1 --thickness 80mm \
--salted-on 2026-11-01 --place Cellar
sheet L1
sheet H1
tick L1 --all
misdose L1 --given curing-salt=20g --look
freeze K1 --from 2026-11-01 --warmest -18C --thickness 80mm
freeze K1 --warmest 60C
air add Cellar 11.2C 74%
air add Cellar 500C 74%
air outage Cellar --from 2026-11-24T10:00 --to 2026-11-24T20:00 --highest 14C
weigh F1 1000g
weigh D1 5000g
weigh D1 1500g
weigh D1 3g
weigh H1 1000g --yes
weigh F2 1080g --yes
weigh F2 1080g
correct F2 --green 2000g
correct D1 --tare 3000g
void F2
stage G1 drying --weight 100g --tare 28g
stage G1 drying --weight 1kg --tare 28g --yes
stage D3 drying --weight 1kg --yes --note x
stage D2 equalising --place Cellar
hold D2 --weight 900g --yes
rebase C1 trimmed --before 1200g --after 100g
rebase C1 trimmed --before 1334g --after 1300g --yes
divide D1 4000g 2800g
divide D1 300g 200g
divide D1 600g 500g --yes
opened F2 "soft middle" back --before 1080g --after 1000g --yes
finish B1 400g --pack 400g --pack 9000g --yes
finish E1 600g --pack 400g --pack 9000g
ph J1
check
lots
""".replace("\\\n", "")
    .strip()
    .splitlines()
)

PAPERS = """
label C1 D1 F1 --kind hang
label H1 L1 K1 --kind cure
label B1 A1 --kind pack
dose-sheet H1 L1
record D1 C1 B1 H1 D3
record E1 J1 K1 L1 F1
handover --days 10
calendar --output {folder}/days.ics
""".strip().splitlines()

#: a screen → the keys that lead there from the Rack
SCREENS = {
    "rack": "",
    "needs": "a",
    "places": "p",
    "outage": "p O",
    "air": "p down enter",
    "air-table": "p down enter v",
    "diary": "d",
    "month": "d v",
    "stand-in": "d R",
    "book": "B",
    "compare": "B v",
    "history": "H",
    "settings": "S",
    "new-batch": "n",
    "dose-sheet": "down f3",
    "misdose": "down D",
    "round": "r 9 9 9 enter",
    "lot": "down down down down enter",
    "log": "down down down down enter right",
    "lot-sheet": "down down down down enter right right",
    "doubt": "down down down down w 1 0 0 0 0 enter",
    "refusal": "down down down down enter e 1 9 0 0 0 enter",
    "in-cure": "enter",
    "equalising": "end enter",
}


def metric_in(text: str) -> list[str]:
    """The lines that still show grams, °C or mm."""
    found = []
    for line in text.splitlines():
        rest = line
        for allowed in (*ALLOWED, *ON_SCREENS):
            rest = re.sub(allowed, " ", rest)
        if METRIC.search(rest):
            found.append(line.strip())
    return found


@pytest.fixture(scope="module")
def household(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's file."""
    path = tmp_path_factory.mktemp("household") / "demo.db"
    copy_demo(path, NOW)
    return path


@pytest.fixture(autouse=True)
def in_pounds(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """A person's view file; the units are grams again afterwards."""
    file = tmp_path / "config" / "curedash" / "view.toml"
    file.parent.mkdir(parents=True)
    file.write_text('weights = "lb"\ntemperatures = "F"\n', encoding="utf-8")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("CUREDASH_NOW", NOW.isoformat())
    yield
    show_in()


@pytest.fixture
def said(
    household: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Callable[[str], str]:
    """Run one line of the shell on a copy of the household: what it says, on both streams."""
    copy = tmp_path / "house.db"
    copy.write_bytes(household.read_bytes())
    monkeypatch.setenv("CUREDASH_DB", str(copy))

    def run(line: str) -> str:
        capsys.readouterr()
        code = main(shlex.split(line))
        streams = capsys.readouterr()
        assert code in (0, 1, 2, 65), f"{line}: {streams.err}"  # no slip of this test's own
        return streams.out + streams.err

    return run


def test_the_shell(said: Callable[[str], str]) -> None:
    odd = {line: metric for line in SHELL if (metric := metric_in(said(line)))}
    assert odd == {}


def test_the_papers(said: Callable[[str], str], tmp_path: Path) -> None:
    lines = [line.format(folder=tmp_path) for line in PAPERS]
    odd = {line: metric for line in lines if (metric := metric_in(said(line)))}
    odd["calendar"] = metric_in((tmp_path / "days.ics").read_text(encoding="utf-8"))
    assert odd == {"calendar": []}


@pytest.mark.parametrize("screen", SCREENS)
async def test_the_screens(screen: str, household: Path, tmp_path: Path) -> None:
    from curedash.tui.chassis import apply_preferences as person

    copy = tmp_path / "house.db"
    copy.write_bytes(household.read_bytes())
    person.take()
    app = Dashboard(DashboardState(str(copy), lambda: NOW))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        await pilot.press(*SCREENS[screen].split())
        await pilot.pause()
        shown = "\n".join(strip.text for strip in app.screen._compositor.render_strips())
    assert len(shown.split()) > 20
    assert metric_in(shown) == []


def test_each_exception_is_still_wanted(said: Callable[[str], str], tmp_path: Path) -> None:
    lines = [line.format(folder=tmp_path) for line in (*SHELL, *PAPERS)]
    everything = "\n".join(said(line) for line in lines)
    unused = [a for a in ALLOWED if not re.search(a, everything, re.MULTILINE)]
    assert unused == []


@pytest.mark.parametrize("unit", ["g", "lb"])
def test_a_tag_fits_the_smallest_label(unit: str, household: Path) -> None:
    """40 × 25 mm is the least a label may be: what is never left out is on it whole."""
    show_in(unit)
    conn = open_db(str(household))
    size = size_of("40x25")
    for code in ("D1", "F1", "C1"):
        (tag,) = tags_of(facts_of(conn, require_lot(conn, code), NOW), "hang")
        canvas = Canvas(size.page_width_mm, size.page_height_mm, code, NOW)
        canvas.page()
        room = size.tag_height_mm - 2 * size.inset_mm
        layout = Layout(canvas, tag, size.tag_width_mm - 2 * size.inset_mm, room)
        assert layout._flow(layout.rows, layout.size_pt) <= room
        assert any("PULL" in row.text for row in layout.rows)
    conn.close()


def test_grams_and_celsius_stay_inside_and_in_json(said: Callable[[str], str]) -> None:
    text = said("lots --json")
    assert '"green_g": 1134' in text or '"last_net_g"' in text
    assert " lb" not in text
    assert " oz" not in text
    assert "°F" not in said("check --json")
