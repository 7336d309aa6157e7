"""A photo with a note, a look, a mould or a cut face.

First bytes: JPEG begins with FF D8 FF (ISO/IEC 10918-1), PNG with 89 50 4E 47 0D 0A 1A 0A
(ISO/IEC 15948).
"""

import json
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from curedash.services.household import photos
from tests.cli.conftest import Done
from tests.cli.test_json import demo, household  # noqa: F401 (fixtures)

Shell = Callable[..., Done]
JPEG = b"\xff\xd8\xff\xe0" + b"\x00\x10JFIF" + bytes(60)
PNG = b"\x89PNG\r\n\x1a\n" + bytes(60)


@pytest.fixture
def tip(tmp_path: Path) -> Path:
    path = tmp_path / "tip of D1.jpg"
    path.write_bytes(JPEG)
    return path


def test_a_note_keeps_the_path_and_shows_it(household: Shell, tip: Path) -> None:  # noqa: F811
    assert household("note", "D1", "firm spot", "--photo", str(tip)).code == 0
    (one,) = household("photo", "D1", "--json").json
    assert (one["path"], one["state"], one["kind"]) == (str(tip), "there", "note")
    assert "firm spot; photo tip of D1.jpg" in household("record", "D1").out
    assert str(tip) in household("record", "D1").out.replace("\n  ", " ")


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        (["look", "D2", "--rim", "hard", "--firmness", "soft", "--smell", "clean"], "target"),
        (["look", "D2", "--mould", "white", "powdery", "spots", "brushed"], "mould"),
        (["look", "D2", "--decide", "goes on"], "decision"),
        (["opened", "D2", "raw middle", "back"], "opened"),
    ],
    ids=lambda words: str(words[-1]),
)
def test_looks_moulds_and_cut_faces_take_one(
    household: Shell,  # noqa: F811
    tip: Path,
    words: list[str],
    kind: str,
) -> None:
    done = household(*words, "--photo", str(tip), "--copy")
    assert done.code == 0, done.err
    found = household("photo", "D2", "--json").json
    assert [(one["kind"], one["state"]) for one in found] == [(kind, "there")]


def test_a_copy_lies_beside_the_file_and_outlives_the_original(
    household: Shell,  # noqa: F811
    tip: Path,
    db_path: str,
) -> None:
    for _ in range(2):
        household("note", "D1", "firm spot", "--photo", str(tip), "--copy")
    tip.unlink()
    (copy,) = Path(db_path + ".photos").iterdir()
    assert "firm spot; photo tip of D1.jpg: " in household("photo", "D1").out
    assert copy.read_bytes() == JPEG
    assert copy.suffix == ".jpg"
    assert copy.stat().st_mode & 0o777 == 0o600
    assert {one["state"] for one in household("photo", "D1", "--json").json} == {"there"}


def test_nothing_breaks_when_it_is_gone_or_another(household: Shell, tip: Path) -> None:  # noqa: F811
    household("note", "D1", "firm spot", "--photo", str(tip))
    tip.write_bytes(PNG)
    assert "another photo is there now" in household("photo", "D1").out
    tip.unlink()
    assert household("photo", "D1").out.endswith("; the file is missing\n")
    assert "the file is missing" in household("record", "D1").out.replace("\n  ", " ")
    page = tip.with_name("rack.html")
    assert household("page", str(page)).code == 0
    assert "firm spot; photo tip of D1.jpg</bdi> (gone)" in page.read_text()


@pytest.mark.parametrize(
    ("body", "why"),
    [
        (b"GIF89a" + bytes(40), "holds no JPEG or PNG"),
        (b"", "holds no JPEG or PNG"),
        (None, "25 MB"),
    ],
)
def test_type_and_size_are_looked_at(
    household: Shell,  # noqa: F811
    tip: Path,
    body: bytes | None,
    why: str,
) -> None:
    if body is None:
        with tip.open("r+b") as file:
            file.truncate(photos.MOST_BYTES + 1)
    else:
        tip.write_bytes(body)
    done = household("note", "D1", "firm spot", "--photo", str(tip))
    assert (done.code, done.out) == (65, "")
    assert why in done.err
    assert "firm spot" not in household("record", "D1").out


@pytest.mark.parametrize("kind", ["missing", "folder", "pipe"])
def test_what_is_no_file_is_refused_at_once(household: Shell, tmp_path: Path, kind: str) -> None:  # noqa: F811
    path = tmp_path / "x.jpg"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    done = household("note", "D1", "firm spot", "--photo", str(path))
    assert done.code in (65, 66)
    assert len(done.err.splitlines()) == 1


def test_a_path_from_elsewhere_is_not_touched_before_it_is_confirmed(
    household: Shell,  # noqa: F811
    tip: Path,
    db_path: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    household("note", "D1", "firm spot", "--photo", str(tip))
    household("export", "all.json")
    monkeypatch.setenv("XDG_STATE_HOME", str(tip.parent / "another person"))
    assert household("import", "all.json", "--db", "new.db").code == 0
    touched: list[str] = []
    for name in ("stat", "lstat", "open"):
        real = getattr(os, name)

        def spy(path: object, *more: object, real=real, **given: object) -> object:
            touched.append(str(path))
            return real(path, *more, **given)

        monkeypatch.setattr(os, name, spy)
    (one,) = household("photo", "D1", "--json", "--db", "new.db").json
    assert one["state"] == "not confirmed"
    household("record", "D1", "--db", "new.db")
    household("page", "rack.html", "--db", "new.db")
    assert str(tip) not in touched
    assert 'href="./tip' not in Path("rack.html").read_text()
    (one,) = household("photo", "D1", "--confirm", "--json", "--db", "new.db").json
    assert one["state"] == "there"


@pytest.mark.parametrize(
    "told",
    [
        {"path": "../../etc/passwd", "sha256": "0" * 64, "copied": True, "name": "x"},
        {"path": "/etc/passwd", "sha256": "0" * 64, "copied": True, "name": "x"},
        {"path": "relative.jpg", "sha256": "0" * 64, "copied": False, "name": "x"},
        {"path": 7, "sha256": None, "copied": "yes", "name": "x"},
        "/etc/passwd",
        [],
    ],
)
def test_a_photo_that_the_program_could_not_have_kept_is_none(
    household: Shell,  # noqa: F811
    db_path: str,
    told: object,
) -> None:
    household("note", "D1", "firm spot")
    with sqlite3.connect(db_path) as conn:
        body = json.dumps({"photo": told})
        conn.execute("UPDATE event SET data = ? WHERE text = 'firm spot'", (body,))
    conn.close()
    assert household("photo", "D1", "--json").json == []
    assert "firm spot" in household("record", "D1").out


def test_the_page_links_it_and_keeps_its_policy(household: Shell, tip: Path) -> None:  # noqa: F811
    page = tip.with_name("rack.html")
    household("page", str(page))
    before = page.read_text()
    household("note", "D1", "firm <spot>", "--photo", str(tip))
    household("page", str(page))
    after = page.read_text()
    assert 'href="./tip%20of%20D1.jpg"' in after
    assert "firm &lt;spot&gt;" in after
    assert "<img" not in after
    rule = "Content-Security-Policy"
    line = next(one for one in before.splitlines() if rule in one)
    assert line in after


def test_an_undo_takes_the_note_back_and_leaves_the_photo(household: Shell, tip: Path) -> None:  # noqa: F811
    household("note", "D1", "firm spot", "--photo", str(tip))
    assert household("undo").code == 0
    assert household("photo", "D1", "--json").json == []
    assert tip.read_bytes() == JPEG


def test_copy_without_a_photo_is_said(household: Shell) -> None:  # noqa: F811
    assert household("note", "D1", "firm spot", "--copy").err == "--copy goes with --photo PATH.\n"
