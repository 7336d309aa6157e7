"""Questions of a new batch in the shell: asked before saving, answered later, cleared."""

from collections.abc import Callable

import pytest

from tests.cli.conftest import Done

Shell = Callable[..., Done]
EYE = (
    "batch",
    "add",
    "--name",
    "Eye",
    "--species",
    "beef",
    "--style",
    "bresaola",
    "--green",
    "1134 g",
    "--rules",
    "us",
    "--scale",
    "0.1",
    "--salted-on",
    "today",
)


def causes(shell: Shell) -> list[str]:
    return [need["cause"] for need in shell("check", "--json").json]


def test_no_thickness_is_asked_and_unknown_with_its_reason_saves(shell: Shell) -> None:
    asked = shell(*EYE, "--temp", "4C")
    assert asked.code == 65
    assert "how thick is it" in asked.err
    assert "unknown: " in asked.err
    assert shell("lots", "--json").json == []
    bare = shell(*EYE, "--temp", "4C", "--thickness", "unknown")
    assert bare.code == 65
    assert shell(*EYE, "--temp", "4C", "--thickness", "unknown: no ruler").code == 0
    assert "question-open" not in causes(shell)
    assert "Thickness unknown: no ruler." in shell("dose-sheet", "A").out


def test_an_open_question_is_a_need_until_it_is_answered(shell: Shell) -> None:
    """89 mm slab by diffusion takes longer than 50 mm: the days follow the answers."""
    assert shell(*EYE, "--thickness", "50mm", "--place", "Larder").code == 0
    assert causes(shell) == ["question-open"]
    assert "temperature: No temperature known" in shell("answer", "A1").out
    nonsense = shell("answer", "A1", "cold")
    assert nonsense.code == 65
    assert causes(shell) == ["question-open"]
    done = shell("answer", "A1", "3C", "--json").json
    assert (done["question"], done["asked"]) == ("temperature", [])
    assert causes(shell) == []
    thicker = shell("answer", "A1", "thickness=89mm")
    assert thicker.code == 0, thicker.err
    assert shell("answer", "A1").out == "A1 has no open questions\n"
    record = shell("record", "A1").out
    assert "temperature: 3C" in record
    assert "thickness: 89mm" in record
    assert shell("undo").code == 0
    assert shell("undo").code == 0
    assert causes(shell) == ["question-open"]


def test_a_band_of_the_place_answers_how_cold_it_is(shell: Shell) -> None:
    assert shell(*EYE, "--thickness", "50mm", "--place", "Larder").code == 0
    assert shell(*EYE, "--thickness", "50mm", "--place", "Attic").code == 0
    assert causes(shell) == ["question-open", "question-open"]
    assert shell("place", "set", "Larder", "--temp", "2..5C").code == 0
    assert shell("answer", "A1").out == "A1 has no open questions\n"
    assert "Temperature by the band of its place." in shell("dose-sheet", "A").out
    assert "temperature: " in shell("answer", "B1").out
    assert shell("undo").code == 0
    assert "temperature: " in shell("answer", "A1").out


def test_answers_move_the_days(shell: Shell, db_path: str) -> None:
    import sqlite3

    assert shell(*EYE, "--thickness", "50mm", "--temp", "4C").code == 0

    def days() -> tuple[float, float]:
        with sqlite3.connect(db_path) as conn:
            (row,) = conn.execute("SELECT cure_usual_days, thickness_mm FROM lot").fetchall()
        return row

    before, _ = days()
    assert shell("answer", "A1", "thickness=89mm").code == 0
    after, thick = days()
    assert thick == 89
    # diffusion: time goes with the square of the thickness; both are past the rule of an inch
    assert after > before * 2


def test_the_caution_changes_with_the_end_use(shell: Shell) -> None:
    belly = (
        "batch",
        "add",
        "--name",
        "Belly",
        "--species",
        "pork",
        "--cut",
        "belly",
        "--green",
        "1 kg",
        "--salt",
        "3",
        "--curing-salt",
        "no1",
        "--cure",
        "0.3",
        "--rules",
        "us",
        "--scale",
        "0.1",
        "--thickness",
        "40mm",
        "--temp",
        "4C",
        "--planned-days",
        "20",
    )
    assert shell(*belly).code == 65
    kept = shell(*belly, "--because", "end-use=unknown: a present")
    assert kept.code == 0, kept.err
    before = shell("dose-sheet", "A").out
    assert "a present" in before
    done = shell("answer", "A1", "end-use=as-is", "--json").json
    assert done["verdict"] in ("within-limits", "caution")
    assert "a present" not in shell("dose-sheet", "A").out


def test_meat_past_its_use_by_day_is_asked_about(shell: Shell) -> None:
    late = (*EYE, "--thickness", "50mm", "--temp", "4C", "--use-by")
    asked = shell(*late, "24 Nov")
    assert asked.code == 65
    assert "use-by date, 2026-11-24, is past" in asked.err
    assert shell(*late, "25 Nov").code == 0  # the day itself is not past
    assert "use by 25 Nov 2026" in shell("record", "A1").out
    told = shell(*late, "24 Nov", "--because", "use-by=frozen at home on the 20th")
    assert told.code == 0, told.err


@pytest.mark.parametrize(
    ("day", "level"), [("24 Nov", "act"), ("25 Nov", "today"), ("26 Nov", "today"), ("27 Nov", "")]
)
def test_raw_meat_that_waits_for_its_salt_is_a_need_near_its_use_by_day(
    shell: Shell, day: str, level: str
) -> None:
    raw = [*EYE[:-2], "--thickness", "50mm", "--temp", "4C", "--use-by", "26 Nov"]
    raw[-1] = day
    raw += ["--because", "use-by=thawed today"]
    assert shell(*raw).code == 0
    needs = shell("check", "--json").json
    assert [need["level"] for need in needs if need["cause"] == "use-by"] == (
        [level] if level else []
    )


def test_unknown_meat_is_refused_and_other_is_not_checked(shell: Shell) -> None:
    words = [*EYE, "--thickness", "50mm", "--temp", "4C"]
    words[words.index("beef")] = "unicorn"
    refused = shell(*words)
    assert refused.code == 65
    assert "other: unicorn" in refused.err
    words[words.index("unicorn")] = "other: unicorn"
    kept = shell(*words, "--json")
    assert kept.code == 0, kept.err
    assert kept.json["lots"][0]["verdict"] != "within-limits"
