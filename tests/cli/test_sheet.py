"""The dose sheet from the shell: ticking, doubts, what was weighed, mis-doses."""

from collections.abc import Callable
from contextlib import closing
from typing import Any

import pytest

from curedash.domain.errors import Changed
from curedash.services.dosing.tick import find_line, tick_line
from curedash.services.find import require_lot
from curedash.store.open import open_db
from curedash.store.work import By
from tests.cli.conftest import BATCH, Done

Shell = Callable[..., Done]
#: without its day in the cure: the lots are raw and nothing is ticked
RAW = tuple(word for word in BATCH if word not in ("--salted-on", "2026-11-01"))


@pytest.fixture
def raw(shell: Shell) -> Shell:
    assert shell(*RAW).code == 0
    return shell


def lines(shell: Shell, code: str = "A1") -> dict[str, dict[str, Any]]:
    return {line["kind"]: line for line in shell("sheet", code, "--json").json["lines"]}


def causes(shell: Shell, code: str = "A1") -> list[str]:
    return [need["cause"] for need in shell("check", "--json").json if need["lot"] == code]


def test_the_sheet_answers_whether_it_was_added(raw: Shell) -> None:
    assert "to weigh" in raw("sheet", "A1").out
    done = raw("tick", "A1", "curing-salt", "2.8g", "--json")
    assert done.code == 0, done.err
    cure = lines(raw)["curing-salt"]
    assert (cure["planned_g"], cure["weighed_g"], cure["ticked_at"]) == (
        2.8,
        2.8,
        "2026-11-25T18:00:00Z",
    )
    assert "weighed 2.8 g" in raw("sheet", "A1").out
    again = raw("tick", "A1", "curing-salt", "2.8g")
    assert again.code == 65
    assert "was ticked already" in again.err
    assert lines(raw)["salt"]["ticked_at"] is None


def test_an_ingredient_ticked_meanwhile_is_not_ticked_over(raw: Shell, db_path: str) -> None:
    """Two people at one sheet: the second weight would replace the first unseen."""
    with closing(open_db(db_path)) as conn:
        lot = require_lot(conn, "A1")
        seen = find_line(conn, lot, "curing-salt")
        assert raw("tick", "A1", "curing-salt", "2.8g").code == 0
        who = By("2026-11-25T18:00:00Z", "jon", "screen", "other")
        with pytest.raises(Changed, match=r"was ticked meanwhile, 2.8 g"):
            tick_line(conn, who, seen.id, 2.7, seen=seen)
    assert lines(raw)["curing-salt"]["weighed_g"] == 2.8


def test_what_was_weighed_counts(raw: Shell) -> None:
    raw("tick", "A1", "curing-salt", "3.0g")
    inside = raw("sheet", "A1", "--json").json["inside"]
    # identity of the dry formula: grams × share × 1e6 / green grams
    assert inside["nitrite_mg_per_kg"] == pytest.approx(3.0 * 0.0625 * 1e6 / 1134, abs=1e-3)
    raw("tick", "A1", "curing-salt", "--untick")
    assert lines(raw)["curing-salt"]["weighed_g"] is None


@pytest.mark.parametrize(
    ("weight", "words"),
    [
        ("28g", "ten times"),
        ("0.28g", "a tenth"),
        ("7g", "2.5 times"),
        ("0g", "left out"),
        ("1.5g", "only 54 %"),
    ],
)
def test_an_odd_weight_is_asked_and_not_kept(raw: Shell, weight: str, words: str) -> None:
    done = raw("tick", "A1", "curing-salt", weight)
    assert done.code == 65
    assert words in done.err
    assert done.err.count("\n") == 1
    assert lines(raw)["curing-salt"]["ticked_at"] is None
    if weight in ("28g", "7g"):  # over 1.5 times the plan: --yes alone records nothing
        only_yes = raw("tick", "A1", "curing-salt", weight, "--yes")
        assert (only_yes.code, only_yes.err.count("\n")) == (65, 1)
        assert "--note" in only_yes.err
        assert lines(raw)["curing-salt"]["ticked_at"] is None
    assert raw("tick", "A1", "curing-salt", weight, "--yes", "--note", "wrong jar").code == 0
    assert lines(raw)["curing-salt"]["weighed_g"] == float(weight[:-1])


def test_all_at_once_then_into_the_cure_without_a_note(raw: Shell) -> None:
    assert raw("stage", "A1", "in-cure").code == 65
    done = raw("tick", "A1", "--all", "--at", "2026-11-25T17:00Z")
    assert "everything is ticked off" in done.out
    assert {line["ticked_at"] for line in lines(raw).values()} == {"2026-11-25T17:00:00Z"}
    assert raw("tick", "A1", "--all").code == 65
    assert raw("stage", "A1", "in-cure").code == 0
    assert lines(raw, "A2")["salt"]["ticked_at"] is None


def test_a_lot_cured_with_lines_never_ticked_says_so_until_they_are(raw: Shell) -> None:
    """On check (1: today), in its record while open, and quiet once ticked."""
    raw("tick", "A2", "--all")
    assert raw("stage", "A1", "in-cure", "--note", "kitchen full").code == 0
    assert raw("stage", "A2", "in-cure").code == 0
    assert (causes(raw), causes(raw, "A2")) == (["dose-not-ticked"], [])
    told = raw("check")
    assert told.code == 1
    never = "curing salt no. 2 and salt never ticked, in cure 0 d"
    assert f"A1: {never}" in told.out, "which ones, the curing salt first"
    sentence = "2 of 2 ingredients of its dose were never ticked; counted as planned"
    assert sentence in " ".join(raw("record", "A1").out.split())
    raw("tick", "A1", "--all")
    assert causes(raw) == []
    assert "never ticked" not in raw("record", "A1").out


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("A1",), 64),
        (("A1", "salt", "--all"), 64),
        (("A1", "--all", "--untick"), 64),
        (("A9", "--all"), 66),
        (("A1", "pepper", "1g"), 66),
        (("A1", "salt", "-3g"), 65),
        (("A1", "salt", "nan g"), 65),
        (("A1", "salt", "two spoons"), 65),
    ],
)
def test_what_cannot_be_ticked_changes_nothing(
    raw: Shell, words: tuple[str, ...], code: int
) -> None:
    done = raw("tick", *words)
    assert done.code == code, done.err
    assert done.err.count("\n") == 1
    assert all(line["ticked_at"] is None for line in lines(raw).values())


def test_a_dose_outside_is_an_event_and_a_need_until_decided(raw: Shell) -> None:
    raw("tick", "A1", "curing-salt", "28g", "--yes", "--note", "decimal point")
    assert "dose-outside" in causes(raw)
    sheet = raw("sheet", "A1", "--json").json
    assert sheet["verdict"] == "refused"
    assert "outside the rule" in sheet["misdoses"][0]["text"]
    assert raw("look", "A1", "--decide", "washed it at once, goes on").code == 0
    assert "dose-outside" not in causes(raw)


def test_a_misdose_stays_on_the_lot_and_its_figures_follow(shell: Shell, batch: Done) -> None:
    done = shell("misdose", "A1", "--given", "curing-salt=12g", "--note", "read it wrong", "--json")
    assert done.code == 0, done.err
    # identity of the dry formula
    expected = 12 * 0.0625 * 1e6 / 1134
    assert done.json["nitrite_mg_per_kg"] == pytest.approx(expected, abs=1e-3)
    assert done.json["choices"]
    sheet = shell("sheet", "A1", "--json").json
    assert sheet["inside"]["nitrite_mg_per_kg"] == pytest.approx(expected, abs=1e-3)
    cure = next(line for line in sheet["lines"] if line["kind"] == "curing-salt")
    assert (cure["planned_g"], cure["weighed_g"]) == (2.8, 12)
    assert "read it wrong" in sheet["misdoses"][0]["text"]
    assert "dose-outside" in causes(shell)
    shell("misdose", "A1", "--given", "curing-salt=2.8g")
    assert "dose-outside" not in causes(shell)
    shell("undo")
    assert "dose-outside" in causes(shell)
    shell("undo")
    assert shell("sheet", "A1", "--json").json["misdoses"] == []
    assert "dose-outside" not in causes(shell)


def test_a_misdose_found_while_drying_is_told_too(hanging: Shell) -> None:
    hanging("misdose", "A1", "--given", "curing-salt=12g")
    assert "dose-outside" in causes(hanging)


def test_the_wrong_jar_counts_from_then_on(shell: Shell, batch: Done) -> None:
    shell("jar", "add", "red jar", "12.5/0")
    done = shell("misdose", "A1", "--given-salt", "red jar", "--json")
    assert done.json["nitrite_mg_per_kg"] == pytest.approx(2.8 * 0.125 * 1e6 / 1134, abs=1e-3)
    assert done.json["nitrate_mg_per_kg"] == 0
    shell("tick", "A1", "curing-salt", "2.5", "--yes")
    inside = shell("sheet", "A1", "--json").json["inside"]
    assert inside["nitrite_mg_per_kg"] == pytest.approx(2.5 * 0.125 * 1e6 / 1134, abs=1e-3)


def test_a_leak_is_a_range_and_looking_keeps_nothing(shell: Shell, batch: Done) -> None:
    done = shell("misdose", "A1", "--lost-liquid", "60g", "--look", "--json")
    assert done.json["saved"] is False
    assert done.json["at_least"]["total_salt_pct"] < done.json["total_salt_pct"] < 2.75
    assert shell("sheet", "A1", "--json").json["misdoses"] == []
    kept = shell("misdose", "A1", "--lost-liquid", "60g")
    assert "at least:" in kept.out
    assert "60 g of liquid lost" in shell("sheet", "A1").out
    assert shell("sheet", "A1", "--json").json["inside"]["total_salt_pct"] < 2.75


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ((), 65),
        (("--given", "curing-salt"), 64),
        (("--given", "juniper=3g"), 66),
        (("--given", "salt=-3g"), 65),
        (("--given", "salt=nan"), 65),
        (("--given-salt", "magic"), 65),
        (("--lost-liquid", "many"), 65),
    ],
)
def test_a_misdose_that_makes_no_sense_is_not_kept(
    shell: Shell, batch: Done, words: tuple[str, ...], code: int
) -> None:
    done = shell("misdose", "A1", *words)
    assert done.code == code, done.err
    assert done.err.count("\n") == 1
    assert shell("sheet", "A1", "--json").json["misdoses"] == []


def test_each_lot_of_a_shared_pack_has_its_own_share(shell: Shell) -> None:
    done = shell(
        "batch",
        "add",
        "--name",
        "two",
        "--green",
        "1000 g",
        "--green",
        "3000 g",
        "--thickness",
        "80mm",
        "--method",
        "pack",
        "--pack-weight",
        "145 g",
        "--pack-for",
        "5 kg",
        "--packs",
        "1",
        "--curing-salt",
        "0.5/0",
        "--scale",
        "1",
        "--json",
    )
    assert done.code == 0, done.err
    for code, share_g in (("A1", 145 / 4), ("A2", 3 * 145 / 4)):
        sheet = shell("sheet", code, "--json").json
        pack = next(line for line in sheet["lines"] if line["kind"] == "pack")
        assert pack["exact_g"] == pytest.approx(share_g)  # proportion to green weight
        again = shell("misdose", code, "--given", f"pack={pack['planned_g']}g", "--json")
        planned = again.json["ingredients"][0]["planned_g"]
        assert planned == pack["planned_g"]


@pytest.mark.parametrize(("temp", "words"), [("7C", "warmer than 5"), ("1C", "colder than 2")])
def test_too_warm_or_cold_in_the_cure_is_said_on_the_lot(
    shell: Shell, batch: Done, temp: str, words: str
) -> None:
    assert shell("sheet", "A1", "--json").json["cure_air"] is None
    for day in range(2, 26):
        shell("air", "add", "Fridge 2", temp, "--at", f"2026-11-{day:02}T12:00Z")
    assert words in shell("sheet", "A1").out
    assert words in shell("sheet", "A1", "--json").json["cure_air"]


def stages(shell: Shell) -> dict[str, str]:
    return {lot["code"]: lot["stage"] for lot in shell("lots", "--json").json}


def test_a_batch_goes_into_the_cure_in_one_command_and_one_undo(raw: Shell) -> None:
    raw("tick", "A1", "--all")
    stopped = raw("stage", "A", "in-cure")
    assert stopped.code == 65
    assert "A2: 2 lines of the dose sheet are not ticked" in stopped.err
    assert stages(raw) == {"A1": "raw", "A2": "raw"}
    raw("tick", "A2", "--all")
    done = raw("stage", "A", "in-cure")
    assert done.code == 0, done.err
    assert [line.split()[0].strip(":,") for line in done.out.splitlines()] == ["A1", "A2"]
    assert raw("undo").code == 0
    assert stages(raw) == {"A1": "raw", "A2": "raw"}
    assert raw("stage", "A1", "A2", "in-cure").code == 0
    assert stages(raw) == {"A1": "in-cure", "A2": "in-cure"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("A1", "A2", "drying", "--weight", "1000g"), "A weight is for one lot"),
        (("A", "drying", "--note", "early"), "the loss is counted from the hang weight"),
        (("A1", "A9", "in-cure"), "There is no lot “A9”"),
    ],
)
def test_several_lots_that_cannot_go_together_all_stay(
    shell: Shell, batch: Done, words: tuple[str, ...], said: str
) -> None:
    done = shell("stage", *words)
    assert done.code in (65, 66)
    assert said in done.err
    assert stages(shell) == {"A1": "in-cure", "A2": "in-cure"}


def test_a_batch_in_two_stages_is_moved_lot_by_lot(hanging: Shell) -> None:
    done = hanging("stage", "A", "equalising")
    assert done.code == 65
    assert "Batch A has lots drying and in cure; name the lots instead" in done.err
