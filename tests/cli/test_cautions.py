"""Short cautions at their moment, once to each person; what a new batch takes from its style."""

import sqlite3
from collections.abc import Callable

import pytest

from curedash.domain.facts.cautions import CAUTIONS, cautions_for
from tests.cli.conftest import BATCH, Done

Shell = Callable[..., Done]


def said(done: Done) -> set[str]:
    """Ids of the cautions on stderr."""
    assert done.code == 0, done.err
    lines = done.err.splitlines()
    found = [caution.id for caution in CAUTIONS if caution.text in lines]
    assert len(found) == sum(lines.count(caution.text) for caution in CAUTIONS)
    return set(found)


def test_a_first_batch_says_what_belongs_to_it_and_the_next_one_nothing(shell: Shell) -> None:
    assert said(shell(*BATCH)) == {
        "weigh-never-spoon",
        "lock-and-label",
        "no-rescue",
        "sealed-bag-cold",
        "local-rules",
    }
    assert said(shell(*BATCH)) == set()


def test_without_curing_salt_nothing_is_said_of_it(shell: Shell) -> None:
    done = shell(
        "batch",
        "add",
        "--name",
        "strips",
        "--green",
        "500 g",
        "--salt",
        "2.5",
        "--thickness",
        "5cm",
    )
    assert said(done) == {"no-rescue"}


def test_each_stage_says_its_own_once(hanging: Shell) -> None:
    equalise = hanging("stage", "A1", "equalising", "--weight", "720 g", "--yes")
    assert said(equalise) == {"sealed-piece-fridge"}
    assert said(hanging("stage", "A1", "keeping", "--weight", "715 g", "--yes")) == {"vulnerable"}
    assert said(hanging("stage", "A1", "closed", "--weight", "715 g", "--yes")) == set()


def test_another_person_is_told_too(
    shell: Shell, batch: Done, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LOGNAME", "aunt-ilse")
    assert "no-rescue" in said(shell(*BATCH))


def test_what_is_refused_says_no_caution_and_keeps_it_for_later(shell: Shell) -> None:
    words = ["2.5" if word == "0.25" else word for word in BATCH]
    refused = shell(*words)
    assert (refused.code, refused.err.count("\n")) == (65, 1)
    assert "weigh-never-spoon" in said(shell(*BATCH))


def test_what_was_shown_for_a_batch_is_shown_again_once_that_batch_is_undone(shell: Shell) -> None:
    first = said(shell(*BATCH))
    assert said(shell(*BATCH)) == set()
    assert shell("undo").code == 0  # the second one: the first is still there
    assert said(shell(*BATCH)) == set()
    assert shell("undo").code == 0
    assert shell("undo").code == 0
    assert "no-rescue" in first
    assert said(shell(*BATCH)) == first


def test_sharing_is_said_when_a_name_is_given_first(hanging: Shell) -> None:
    done = hanging("finish", "A1", "700 g", "--pack", "300 g", "--yes")
    assert said(done) == {"vulnerable"}
    given = hanging("pack", "A1", "100 g", "--given-to", "Ilse")
    assert said(given) == {"why-vulnerable", "selling"}
    assert said(hanging("pack", "A1", "100 g", "--given-to", "Jon")) == set()
    first, last = cautions_for("sharing")
    assert "Listeria" in first
    assert "pregnancy" in first
    assert last == "Selling needs a licence."


def test_a_first_ph_says_how_it_is_measured(shell: Shell) -> None:
    """Michigan State University Extension, Processed Meat Quick Guide: two points, pH 7 and 4."""
    assert shell(*BATCH).code == 0
    first = shell("ph", "A1", "5.6")
    assert said(first) == {"calibrate", "where-ph"}
    assert said(shell("ph", "A1", "5.4")) == set()


@pytest.mark.parametrize(
    ("mould", "caution", "decides"),
    [
        (("white", "powdery", "spots"), "fridge-mould", False),
        (("green", "fluffy", "spots"), "coloured-mould", False),
        (("green", "fluffy", "all over"), "coloured-mould", True),
        (("blue", "fluffy", "all over"), "coloured-mould", True),
        (("brown", "fluffy", "all over"), "coloured-mould", True),
        (("green", "powdery", "all over"), "fridge-mould", False),
        (("black", "powdery", "spots"), "fridge-mould", True),
    ],
)
def test_mould_is_told_by_colour_texture_and_spread(
    hanging: Shell, mould: tuple[str, ...], caution: str, decides: bool
) -> None:
    """Common practice: nobody puts green, blue or brown fluff on; all over is a decision."""
    done = hanging("look", "A1", "--mould", *mould, "left", "--json")
    assert said(done) == {caution}
    assert done.json["asks_decision"] is decides
    causes = [need["cause"] for need in hanging("check", "--json").json]
    assert ("decision-asked" in causes) is decides


def test_cautions_are_no_changes_of_the_log(shell: Shell, batch: Done, db_path: str) -> None:
    conn = sqlite3.connect(db_path)
    verbs = [row[0] for row in conn.execute("SELECT verb FROM change")]
    conn.close()
    assert verbs == ["add batch"]


# ── what a batch takes from its style and its flags ───────────────────────────────────────


def ask(db_path: str, question: str) -> list[tuple]:
    conn = sqlite3.connect(db_path)
    found = conn.execute(question).fetchall()
    conn.close()
    return found


def test_class_days_cut_and_eating_come_from_the_style(shell: Shell, db_path: str) -> None:
    add = (
        "batch",
        "add",
        "--name",
        "x",
        "--green",
        "1 kg",
        "--scale",
        "0.01",
        "--thickness",
        "unknown: no ruler",
        "--json",
    )
    done = shell(*add, "--style", "coppa", "--rules", "us", "--curing-salt", "no1", "--cure", "0.2")
    lot = done.json["lots"][0]
    assert lot["limit"]["product_class"] == "dry-cured"
    # nitrite only, 70 days planned by the style: the caution on types fires
    assert any("Nitrite only, and 70 days" in text for text in lot["messages"])
    assert ask(db_path, "SELECT cut, species FROM batch") == [
        ("collar (neck end of the shoulder)", "pork")
    ]
    belly = shell(
        *add, "--style", "pancetta-rolled", "--rules", "us", "--curing-salt", "no2", "--cure", "0.2"
    )
    assert any("never fried" in text for text in belly.json["lots"][0]["messages"])
    fried = shell(
        *add,
        "--style",
        "pancetta-rolled",
        "--rules",
        "us",
        "--curing-salt",
        "no2",
        "--cure",
        "0.2",
        "--eaten",
        "fried",
    )
    assert fried.code == 65
    much = shell(*add, "--style", "coppa", "--rules", "us", "--curing-salt", "no2", "--cure", "1")
    assert any("4.0 × this style" in text for text in much.json["lots"][0]["messages"])


def test_a_salt_box_has_a_rest_with_an_end(shell: Shell) -> None:
    done = shell(
        "batch",
        "add",
        "--name",
        "leg",
        "--style",
        "leg-bone-in",
        "--green",
        "9 kg",
        "--thickness",
        "140mm",
        "--salted-on",
        "2026-11-05",
        "--json",
    )
    assert done.code == 0, done.err
    days = done.json["lots"][0]["cure_time"]["salt_rest_days"][0]
    moved = shell("stage", "A1", "salt-rest", "--weight", "8800 g", "--at", "2026-11-20")
    assert moved.code == 0, moved.err
    assert "planned until" in moved.err
    over = shell("check", "--json", "--now", "2027-11-20")
    assert "rest-over" in [need["cause"] for need in over.json]
    assert 20 < days < 300


def test_frozen_and_wild_are_said_once_or_once_each(shell: Shell, db_path: str) -> None:
    done = shell(
        *BATCH,
        "--condition",
        "frozen",
        "--condition",
        "fresh",
        "--source",
        "roast 1",
        "--source",
        "roast 2",
    )
    assert done.code == 0, done.err
    assert ask(db_path, "SELECT name, condition FROM source ORDER BY name") == [
        ("roast 1", "frozen"),
        ("roast 2", "fresh"),
    ]
    assert ask(db_path, "SELECT frozen FROM lot ORDER BY code") == [(1,), (0,)]
    both = shell(*BATCH, "--condition", "frozen", "--condition", "wild", "--source", "one")
    assert (both.code, both.err.count("\n")) == (65, 1)
    wild = shell(
        "batch",
        "add",
        "--name",
        "boar",
        "--species",
        "pork",
        "--green",
        "1 kg",
        "--salt",
        "2.75",
        "--condition",
        "wild",
        "--thickness",
        "80mm",
    )
    assert wild.code == 0, wild.err
    frozen = shell(
        "freeze",
        "B1",
        "--from",
        "2026-10-01",
        "--warmest",
        "-30C",
        "--thickness",
        "80mm",
        "--chilled",
        "2C",
        "--json",
    )
    assert frozen.json["row"] is None


def test_the_temperature_that_was_told_counts_before_the_places(shell: Shell) -> None:
    shell("place", "add", "Fridge 2", "--temp", "2..4C")
    warm = shell(*BATCH, "--temp", "8C", "--json").json["lots"][0]["cure_time"]["messages"]
    assert any("8 °C is warmer than 5 °C" in text for text in warm)
    usual = shell(*BATCH, "--json").json["lots"][0]["cure_time"]["messages"]
    assert not any("warmer" in text for text in usual)


def test_pieces_weighed_as_one_count_one_piece_in_the_rules_by_weight(shell: Shell) -> None:
    add = ("batch", "add", "--name", "x", "--salt", "2.75", "--json")
    one = shell(*add, "--green", "500 g", "--thickness", "unknown: no ruler").json["lots"][0][
        "cure_time"
    ]["earliest_days"]
    four = shell(
        *add, "--green", "2000 g", "--count", "4", "--thickness", "unknown: no ruler"
    ).json["lots"][0]["cure_time"]
    assert four["earliest_days"] == one


def test_raw_lots_are_salted_when_they_go_into_the_cure(shell: Shell, db_path: str) -> None:
    shell(
        "batch",
        "add",
        "--name",
        "x",
        "--salt",
        "2.75",
        "--green",
        "1 kg",
        "--green",
        "2 kg",
        "--thickness",
        "unknown: no ruler",
    )
    shell("tick", "A1", "--all")
    assert ask(db_path, "SELECT salted_at FROM batch") == [(None,)]
    done = shell("stage", "A1", "in-cure", "--at", "2026-11-25T17:00Z", "--yes")
    assert done.code in (0, 65)
    later = shell("stage", "A1", "in-cure")
    assert 0 in (done.code, later.code)
    assert ask(db_path, "SELECT salted_at FROM batch") != [(None,)]
    shell("undo")
    assert ask(db_path, "SELECT salted_at FROM batch") == [(None,)]


# ── the freezing step of pork that is eaten uncooked ──────────────────────────────────────


def test_the_freezing_step_is_named_on_batch_dose_and_sheet(shell: Shell) -> None:
    """CDC (2019): curing and drying alone do not consistently kill trichina worms."""
    step = "Freeze it first and log that on the lot"
    words = (
        "batch",
        "add",
        "--name",
        "Loin",
        "--style",
        "lonza",
        "--green",
        "1200 g",
        "--thickness",
        "60mm",
        "--scale",
        "0.1",
    )
    added = shell(*words)
    assert added.code == 0, added.err
    assert step in added.err
    assert step not in shell(*words, "--name", "Loin 2").err  # once to each person
    assert step in shell("sheet", "A1").out
    asked = ("dose", "--green", "1 kg", "--salt", "2.75", "--scale", "0.1")
    assert step in shell(*asked, "--species", "pork").err
    for no_step in (
        ("--species", "beef"),
        (),
        ("--species", "pork", "--frozen"),
        ("--species", "pork", "--eaten", "fried"),
    ):
        assert step not in shell(*asked, *no_step).err
    shell("freeze", "A1", "--from", "-3d", "--warmest", "-18C", "--chilled", "3C")
    assert step not in shell("sheet", "A1").out


def test_no_freezing_step_is_named_for_what_is_cooked(shell: Shell) -> None:
    added = shell(
        "batch",
        "add",
        "--name",
        "Belly",
        "--style",
        "belly-to-fry",
        "--green",
        "1200 g",
        "--thickness",
        "40mm",
        "--scale",
        "0.1",
    )
    assert added.code == 0, added.err
    assert "trichina" not in added.err + shell("sheet", "A1").out
