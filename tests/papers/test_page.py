"""The page for the phone: what it says and keeps out, how it is written, how a browser sees it.

Contrast and size of what is tapped: WCAG 2.1, 1.4.3 (4.5 : 1) and 2.5.5 (44 by 44 CSS pixels),
luminance by its definition of relative luminance. The content policy: CSP Level 3 (W3C).
"""

import base64
import functools
import hashlib
import http.server
import os
import re
import sqlite3
import stat
import threading
from collections.abc import Iterator
from datetime import datetime, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from curedash.domain.errors import FileTrouble, Refused, UsageError
from curedash.papers.page_file import PageFile
from curedash.papers.page_html import page, undated
from curedash.services.rack import read_rack
from tests.browser import Browser
from tests.hostile import HOSTILE

VOID = {"meta", "link", "br"}


class Read(HTMLParser):
    """The elements of a page, with what is wrong about their nesting."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


def test_every_open_lot_has_a_row_and_a_section(house: sqlite3.Connection, at: datetime) -> None:
    read = Read(page(house, at))
    assert read.open == []
    ids = [attrs["id"] for _, attrs in read.tags if "id" in attrs]
    links = [attrs["href"] for tag, attrs in read.tags if tag == "a"]
    codes = {row.lot.code for row in read_rack(house, at).rows}
    assert len(codes) > 5
    assert {f"lot-{code}" for code in codes} <= set(ids)
    assert len(ids) == len(set(ids))
    assert {f"#lot-{code}" for code in codes} <= set(links)
    assert {str(link)[1:] for link in links} <= set(ids)


def test_a_drying_lot_has_curve_target_window_and_fan(
    house: sqlite3.Connection, at: datetime
) -> None:
    made = page(house, at)
    own = made.partition('id="lot-D1"')[2].partition("</section>")[0]
    for name in ("curve", "target", "window", "fan", "today-mark"):
        assert f'class="{name}"' in own, name
    assert "pull window" in own
    reached = made.partition('id="lot-D2"')[2].partition("</section>")[0]
    assert 'class="curve"' in reached
    assert 'class="fan"' not in reached
    assert 'class="window"' not in reached


def test_an_empty_household_has_a_page_too(conn: sqlite3.Connection, at: datetime) -> None:
    read = Read(page(conn, at))
    assert "No open lots." in read.text
    assert "Nothing needs you today." in read.text


MARKUP = [
    "<script>alert(1)</script>",
    "</style><img src=x>",
    '" onload="x',
    "&amp;lt;",
    "javascript:x",
]


@pytest.mark.parametrize("name", [*filter(str.strip, HOSTILE), *MARKUP])
def test_a_name_stays_a_name(house: sqlite3.Connection, at: datetime, name: str) -> None:
    usual = Read(page(house, at))
    for table, column in (
        ("place", "name"),
        ("lot", "piece"),
        ("batch", "name"),
        ("lot", "tare_what"),
        ("sensor", "name"),
    ):
        row = house.execute(f"SELECT min(rowid) FROM {table} WHERE {column} IS NOT NULL").fetchone()
        house.execute(f"UPDATE {table} SET {column} = ? WHERE rowid = ?", (name, row[0]))
    made = page(house, at)
    read = Read(made)
    assert read.open == []
    sections = [sum(tag == "section" for tag, _ in one.tags) for one in (usual, read)]
    assert sections[0] == sections[1]
    known = {tag for tag, _ in usual.tags}
    assert {tag for tag, _ in read.tags} <= known
    assert not [a for _, attrs in read.tags for a in attrs if a.startswith("on")]
    assert not set(made) & {"\x1b", "\x00", "\u202e"}


def test_nothing_in_it_runs_or_is_fetched(house: sqlite3.Connection, at: datetime) -> None:
    made = page(house, at)
    read = Read(made)
    tags = [tag for tag, _ in read.tags]
    assert not {"script", "iframe", "object", "embed", "form", "base", "img"} & set(tags)
    assert not [attrs for _, attrs in read.tags if "style" in attrs or "src" in attrs]
    linked = {attrs["href"] for tag, attrs in read.tags if tag == "link"}
    assert linked == {"data:,"}
    policy = next(
        a["content"]
        for t, a in read.tags
        if t == "meta" and a.get("http-equiv") == "Content-Security-Policy"
    )
    assert policy is not None
    style = made.partition("<style>")[2].partition("</style>")[0]
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert policy == (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:;"
        " base-uri 'none'; form-action 'none'"
    )
    assert not re.search(r"url\(|@import|https?:", style)


# ── the file ──────────────────────────────────────────────────────────────────────────────


def test_it_is_for_its_owner_only_unless_the_file_was_readable(
    house: sqlite3.Connection, at: datetime, tmp_path: Path
) -> None:
    path = tmp_path / "rack.html"
    kept = PageFile(str(path), never="/nowhere.db")
    kept.write(house, at)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    path.chmod(0o644)
    kept.write(house, at)
    assert stat.S_IMODE(path.stat().st_mode) == 0o644
    assert os.listdir(tmp_path).count("rack.html") == 1
    assert not [name for name in os.listdir(tmp_path) if ".part" in name]


def test_it_is_written_again_when_something_changed_or_after_five_minutes(
    house: sqlite3.Connection, at: datetime, tmp_path: Path
) -> None:
    path = tmp_path / "rack.html"
    kept = PageFile(str(path), never="/nowhere.db")
    assert kept.refresh(house, at)
    assert 'http-equiv="refresh"' in path.read_text(encoding="utf-8")
    minute = timedelta(minutes=1)
    assert not kept.refresh(house, at + timedelta(seconds=1))
    house.execute(
        "UPDATE batch SET name = 'Another' WHERE id = (SELECT min(batch_id) FROM lot"
        " WHERE stage = 'drying')"
    )
    assert kept.refresh(house, at + timedelta(seconds=2))
    assert "Another" in path.read_text(encoding="utf-8")
    assert kept.refresh(house, at + 6 * minute)
    path.unlink()
    assert kept.refresh(house, at + 6 * minute + timedelta(seconds=1))


def test_only_the_moment_it_was_written_is_left_out(
    house: sqlite3.Connection, at: datetime
) -> None:
    made = page(house, at)
    assert undated(made) != made
    assert len(made) - len(undated(made)) < 100


def test_it_is_never_written_over_something_else(
    house: sqlite3.Connection, at: datetime, tmp_path: Path
) -> None:
    with pytest.raises(UsageError, match=r"rack\.html"):
        PageFile(str(tmp_path / "house.db"), never="x")
    own = tmp_path / "odd.html"
    own.write_bytes((tmp_path / "house.db").read_bytes())
    with pytest.raises(Refused, match="own file"):
        PageFile(str(own), never=str(own)).write(house, at)
    with pytest.raises(FileTrouble, match="Cannot write"):
        PageFile(str(tmp_path / "none" / "rack.html"), never="x").write(house, at)


# ── as a browser sees it ──────────────────────────────────────────────────────────────────

TAPPED = """[...document.querySelectorAll('a')].map(a => {const r = a.getBoundingClientRect();
  return [a.textContent.slice(0, 30), r.width, r.height]})"""
INKS = """[...document.querySelectorAll('body *')].filter(e => [...e.childNodes].some(
  n => n.nodeType === 3 && n.data.trim())).map(e => {
  const svg = e.closest('svg'); let ground, at = e;
  while (at) {const c = getComputedStyle(at).backgroundColor;
    if (c !== 'rgba(0, 0, 0, 0)') {ground = c; break} at = at.parentElement}
  const own = getComputedStyle(e);
  return [e.textContent.slice(0, 30), svg ? own.fill : own.color, ground,
    parseFloat(own.fontSize) * (svg ? svg.getBoundingClientRect().width / 360 : 1)]})"""
BEYOND = """[...document.querySelectorAll('body *')].filter(
  e => e.getBoundingClientRect().right > innerWidth + 0.5).map(e => e.outerHTML.slice(0, 80))"""


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[Path, str, list[str]]]:
    """A folder served on loopback, its address, and every path that was asked for."""
    asked: list[str] = []

    class Handler(http.server.SimpleHTTPRequestHandler):
        def log_message(self, format: str, *args: Any) -> None:
            asked.append(self.path)

    folder = tmp_path / "served"
    folder.mkdir()
    server = http.server.ThreadingHTTPServer(
        ("127.0.0.1", 0), functools.partial(Handler, directory=str(folder))
    )
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield folder, f"http://127.0.0.1:{server.server_address[1]}", asked
    server.shutdown()
    server.server_close()


def channel(value: float) -> float:
    """Linear share of one channel of sRGB (WCAG 2.1, relative luminance)."""
    value /= 255
    return value / 12.92 if value <= 0.03928 else ((value + 0.055) / 1.055) ** 2.4


def contrast(one: str, other: str) -> float:
    """WCAG 2.1, contrast ratio of two colours as a browser writes them."""
    light = []
    for colour in (one, other):
        red, green, blue = (float(part) for part in re.findall(r"[\d.]+", colour)[:3])
        light.append(0.2126 * channel(red) + 0.7152 * channel(green) + 0.0722 * channel(blue))
    return (max(light) + 0.05) / (min(light) + 0.05)


def test_the_contrast_ratio_is_that_of_its_definition() -> None:
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21)
    # WCAG technique G18: #767676 on white is just 4.54 : 1
    assert contrast("rgb(118, 118, 118)", "rgb(255, 255, 255)") == pytest.approx(4.54, abs=0.01)


@pytest.mark.external("chromium")
def test_a_browser_shows_it_whole_quietly_and_in_both_lights(
    house: sqlite3.Connection, at: datetime, served: tuple[Path, str, list[str]], tmp_path: Path
) -> None:
    folder, address, asked = served
    house.execute("UPDATE lot SET piece = ? WHERE code = 'D1'", ("x" * 200,))
    house.execute(
        "UPDATE batch SET name = '<script>document.title=1</script><img src=//192.0.2.1>'"
        " WHERE id = (SELECT batch_id FROM lot WHERE code = 'D1')"
    )
    kept = PageFile(str(folder / "rack.html"), never="/nowhere.db")
    kept.refresh(house, at)
    browser = Browser()
    try:
        for dark in (False, True):
            browser.open(f"{address}/rack.html", width=360, dark=dark)
            assert browser.value("document.title") == "Rack, The mill flat"
            assert browser.value("document.documentElement.scrollWidth") == 360
            assert browser.value(BEYOND) == []
            small = [tap for tap in browser.value(TAPPED) if min(tap[1:]) < 44]
            assert small == []
            inks = browser.value(INKS)
            assert len(inks) > 100
            pale = [ink for ink in inks if contrast(ink[1], ink[2]) < 4.5]
            assert pale == []
            assert [ink for ink in inks if ink[3] < 10.5] == []
            ground = browser.value("getComputedStyle(document.documentElement).backgroundColor")
            assert (contrast(ground, "rgb(0, 0, 0)") < 3) is dark
        top = "document.getElementById('lot-D1').getBoundingClientRect().top"
        assert browser.value(top) > 1000
        browser.value("""document.querySelector('#rack a[href="#lot-D1"]').click()""")
        browser.listen(0.3)
        assert abs(browser.value(top)) < 60
        browser.printed(tmp_path / "rack.pdf")
        assert (tmp_path / "rack.pdf").read_bytes().startswith(b"%PDF-")
        browser.value("new Image().src = '//192.0.2.1/leak.png'")  # the policy at work
        browser.listen(0.3)
    finally:
        browser.close()
    wanted = {one.partition("#")[0] for one in browser.requests if one[:5] != "data:"}
    assert wanted <= {f"{address}/rack.html", "http://192.0.2.1/leak.png"}
    assert set(asked) == {"/rack.html"}
    refused = [line for line in browser.console if "192.0.2.1" in line]
    assert len(refused) == 1
    assert "Content Security Policy" in refused[0]
    assert browser.console == refused
