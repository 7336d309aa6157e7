"""The style library from the shell: shown with its sources, copied, edited, used in a batch."""

from collections.abc import Callable
from pathlib import Path

import pytest

from curedash.domain.household.styles import styles
from tests.cli.conftest import BATCH, Done

Shell = Callable[..., Done]


def test_the_library_is_shown_without_a_file(shell: Shell, db_path: str) -> None:
    found = shell("style", "list", "--json").json
    assert [one["id"] for one in found] == [style.id for style in styles()]
    shown = shell("style", "show", "coppa")
    assert "others: The recipe says 30 %" in shown.out
    assert "from: practitioners' page" in shown.out
    assert "from memory, not checked against a text" in shell("style", "show", "bresaola").out
    assert not Path(db_path).exists()


def test_a_library_style_is_made_ones_own_and_taken_back(shell: Shell) -> None:
    done = shell("style", "set", "bresaola", "--loss", "33..38%", "--weigh-every", "5", "--json")
    assert done.code == 0, done.err
    assert (done.json["loss_lo_pct"], done.json["weigh_every_days"], done.json["own"]) == (
        33,
        5,
        True,
    )
    assert "library 35" in shell("style", "show", "bresaola").out
    lot = shell(*BATCH, "--json").json["lots"][0]
    assert lot["target_pct"] == [33, 38]
    assert "is used again" in shell("style", "remove", "bresaola").out
    assert shell("style", "show", "bresaola", "--json").json["loss_lo_pct"] == 35
    assert shell("style", "remove", "bresaola").code == 65
    assert shell("undo").code == 0
    assert shell("style", "show", "bresaola", "--json").json["loss_lo_pct"] == 33


def test_a_copy_is_edited_at_once_and_used(shell: Shell) -> None:
    done = shell(
        "style",
        "copy",
        "coppa",
        "neck",
        "--name",
        "my neck",
        "--salt",
        "3.5",
        "--class",
        "us=dry-cured",
        "--class",
        "eu=non-heat-treated",
        "--way",
        "has-rest",
        "--min-age",
        "30",
        "--temp",
        "8..12C",
        "--rh",
        "75..85%",
        "--json",
    )
    assert done.code == 0, done.err
    neck = done.json
    assert (neck["salt_pct"], neck["salt_lo_pct"], neck["salt_hi_pct"]) == (3.5, 2.25, 3.5)
    assert (neck["temp_lo_c"], neck["rh_hi_pct"], neck["min_age_days"]) == (8, 85, 30)
    assert neck["source"].startswith("own, from coppa")
    dose = shell(
        "dose",
        "--style",
        "my neck",
        "--green",
        "1 kg",
        "--rules",
        "eu",
        "--scale",
        "0.01",
        "--json",
    )
    assert dose.json["lots"][0]["total_salt_pct"] == pytest.approx(3.5, abs=0.1)
    assert shell("style", "copy", "coppa", "neck").code == 65
    assert shell("style", "copy", "coppa", "lonza").code == 65


def test_a_style_goes_through_toml_unchanged(shell: Shell, tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    for style in styles():
        text = shell("style", "show", style.id, "--toml").out
        file.write_text(text.replace(f'id = "{style.id}"', f'id = "my-{style.id}"'))
        made = shell("style", "add", str(file), "--json")
        assert made.code == 0, made.err
        theirs = shell("style", "show", style.id, "--json").json
        assert made.json == theirs | {"id": f"my-{style.id}", "own": True}


def test_a_short_toml_starts_from_another(shell: Shell, tmp_path: Path) -> None:
    file = tmp_path / "eye.toml"
    file.write_text('id = "eye"\nname = "my eye"\nlike = "bresaola"\nloss_hi_pct = 38\n')
    assert shell("style", "add", str(file)).code == 0
    eye = shell("style", "show", "eye", "--json").json
    assert (eye["loss_lo_pct"], eye["loss_hi_pct"], eye["how"]) == (35, 38, "own")
    assert shell("style", "add", str(file)).code == 65  # it is there already


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('id = "Eye 1"\nname = "x"', 65),
        ('id = "eye"', 65),
        ('id = "eye"\nname = "x"\ncolour = "red"', 65),
        ('id = "eye"\nname = "x"\nloss_lo_pct = 50', 65),
        ('id = "eye"\nname = "x"\nlike = "nothing"', 66),
        ('id = "eye"\nname = "a\\nb"', 65),
        ("id = ", 64),
        ('id = "eye"\nname = "x"\n[product_classes]\nus = "shelf-stable"', 65),
        ('id = "eye"\nname = "x"\nsalt_pct = nan', 65),
    ],
)
def test_a_file_that_makes_no_style_keeps_nothing(
    shell: Shell, tmp_path: Path, text: str, code: int
) -> None:
    file = tmp_path / "x.toml"
    file.write_text(text)
    done = shell("style", "add", str(file))
    assert done.code == code, done.err
    assert done.err.count("\n") == 1
    assert not any(one["own"] for one in shell("style", "list", "--json").json)


@pytest.mark.parametrize(
    "words",
    [
        ("--loss", "30..90"),
        ("--salt", "-1"),
        ("--salt", "3..2..1"),
        ("--class", "us"),
        ("--method", "spoon"),
        ("--rh", "70..170%"),
        ("--curing-salt", "magic"),
        ("--name", ""),
        (),
    ],
)
def test_an_edit_that_cannot_be_changes_nothing(shell: Shell, words: tuple[str, ...]) -> None:
    shell("place", "add", "Cellar")
    done = shell("style", "set", "coppa", *words)
    assert done.code in (64, 65)
    assert done.err.count("\n") == 1
    assert not any(one["own"] for one in shell("style", "list", "--json").json)


def test_missing_file_and_style(shell: Shell) -> None:
    assert shell("style", "add", "nowhere.toml").code == 66
    assert shell("style", "show", "goose").code == 66
    assert shell("style").code == 64


def test_an_unknown_style_made_by_a_batch_stays_usable(shell: Shell) -> None:
    words = [w if w != "bresaola" else "goose leg" for w in BATCH]
    assert "--new-style" in shell(*words, "--json").err  # a slip makes no style
    first = shell(*words, "--new-style", "--json")
    assert first.code == 0, first.err
    second = shell(*words, "--json")
    assert second.code == 0, second.err
    assert "new style" not in second.err
    assert shell("style", "show", "goose-leg", "--json").json["own"] is True


def test_belly_that_is_fried_gets_no_nitrate_by_its_style_alone(shell: Shell) -> None:
    # 9 CFR 424.22(b)(1): no nitrate in bacon; the style says how it is eaten, under any rule set
    for rules in ("us", "eu", "ca"):
        done = shell(
            "dose",
            "--style",
            "belly-to-fry",
            "--green",
            "1 kg",
            "--rules",
            rules,
            "--curing-salt",
            "no2",
            "--cure",
            "0.1",
            "--scale",
            "0.01",
        )
        assert done.code == 65, rules
        assert "fried" in done.err
