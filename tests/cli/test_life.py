"""A lot's whole life from the shell: what each verb prints, stores and refuses."""

import json
from collections.abc import Callable

import pytest

from curedash.cli.verbs import VERBS
from tests.cli.conftest import Done

Shell = Callable[..., Done]


@pytest.fixture
def weighed(hanging: Shell) -> Shell:
    """A1 hung at 1080 g net with 28 g of tare, and weighed at 756 g net: 30 % lost."""
    assert hanging("weigh", "A1", "784 g", "--yes").code == 0
    return hanging


def test_rebase_keeps_the_loss_and_says_both_bases(weighed: Shell) -> None:
    done = weighed("rebase", "A1", "end tasted", "--after", "700 g", "--json")
    assert done.code == 0, done.err
    # 700 − 28 = 672 of 756: the base is 1080 · 672/756 = 960
    assert done.json == {
        "lot": "A1",
        "kind": "removed",
        "reason": "end tasted",
        "base": "hang",
        "base_before_g": 1080.0,
        "base_after_g": 960.0,
        "tare_before_g": 28.0,
        "tare_after_g": 28.0,
        "loss_pct": 30.0,
        "saved": True,
    }
    words = weighed("rebase", "A1", "larded", "--before", "700 g", "--after", "750 g")
    assert words.out == "A1: larded, tare 28 g to 78 g, hang 960 g stays, still 30.0 % lost\n"


def test_divide_lists_the_parts_and_what_was_trimmed(weighed: Shell) -> None:
    done = weighed(
        "divide",
        "A1",
        "420 g",
        "300 g",
        "--before",
        "784 g",
        "--name",
        "thick",
        "--name",
        "thin",
        "--eaten",
        "2",
        "--json",
    )
    assert done.code == 0, done.err
    first, second = done.json["parts"]
    assert done.json["trimmed_g"] == 36.0
    assert (first["code"], first["base_g"], first["loss_pct"]) == ("A1a", 600.0, 30.0)
    assert (second["stage"], second["loss_pct"]) == ("closed", 30.0)
    codes = {lot["code"] for lot in weighed("lots", "--json").json}
    assert codes == {"A1a", "A2"}
    assert weighed("undo").out == "undone: divide A1\n"
    assert {lot["code"] for lot in weighed("lots", "--json").json} == {"A1", "A2"}


def test_hold_move_and_discard_print_the_lot(weighed: Shell) -> None:
    assert weighed("place", "add", "Cellar", "--temp", "10..14C").code == 0
    assert weighed("move", "A1", "cellar", "--json").json["place"] == "Cellar"
    warm = weighed("hold", "A1")
    assert (warm.code, warm.out) == (65, "")
    assert "5 °C or colder" in warm.err
    held = weighed("hold", "A1", "--note", "an hour only", "--json")
    assert held.json["stage"] == "on-hold"
    assert weighed("hold", "A1", "--end", "--json").json["stage"] == "drying"
    gone = weighed("discard", "A1", "fell", "down", "--json")
    assert gone.json["stage"] == "discarded"
    assert weighed("move", "A1", "Cellar").code == 65
    assert weighed("move", "A1", "Attic").code == 66


def test_look_offers_the_ways_on_and_logs_mould(weighed: Shell) -> None:
    done = weighed(
        "look", "A1", "--rim", "hard", "--firmness", "soft", "--smell", "clean", "--json"
    )
    assert [offer["step"] for offer in done.json["offers"]] == ["equalise", "keep-drying", "slice"]
    assert done.json["offers"][0]["days"] > 0
    mould = weighed("look", "A1", "--mould", "black", "slimy", "spots", "wiped", "--json")
    assert mould.json["asks_decision"] is True
    assert weighed("check").code == 2
    assert weighed("look", "A1", "--decide", "cut it away").code == 0
    causes = {need["cause"] for need in weighed("check", "--json").json}
    assert "decision-asked" not in causes
    assert weighed("look", "A1", "--rim", "hard").code == 64
    assert weighed("look", "A1", "--bag", "good").code == 65


def test_opened_back_to_drying_tells_the_sibling(weighed: Shell) -> None:
    done = weighed("opened", "A1", "raw", "back", "--before", "784 g", "--after", "700 g", "--json")
    assert done.code == 0, done.err
    assert done.json["found"] == "A1 opened at 30 %: raw middle"
    assert done.json["siblings"] == ["A2"]
    told = {n["lot"] for n in weighed("check", "--json").json if n["cause"] == "sibling-opened"}
    assert told == set(), "in its cure there is nothing to feel"
    assert weighed("stage", "A2", "drying", "--weight", "900 g", "--yes").code == 0
    needs = weighed("check", "--json").json
    assert "A1 opened at 30 %: raw middle" in {n["message"] for n in needs if n["lot"] == "A2"}


def test_finish_book_and_make_again(weighed: Shell) -> None:
    done = weighed(
        "finish",
        "A1",
        "784 g",
        "--cut-face",
        "even",
        "--liked",
        "4",
        "--note",
        "a little slower",
        "--pack",
        "300 g",
        "--pack",
        "250 g",
        "--given-to",
        "Anna",
        "--keep-until",
        "2027-02-01",
        "--json",
    )
    assert done.code == 0, done.err
    found = done.json
    assert (found["final_g"], found["loss_pct"], found["drying_days"]) == (756.0, 30.0, 9)
    assert [pack["weight_g"] for pack in found["packs"]] == [300.0, 250.0]
    assert {pack["keep_until"] for pack in found["packs"]} == {"2027-02-01"}
    row = weighed("book", "--json").json[0]
    assert (row["code"], row["liked"], row["place"]) == ("A1", 4, "Fridge 2")
    assert weighed("book", "--style", "coppa", "--json").json == []
    summed = weighed("book", "--sum", "--json").json
    assert summed["drying_days"] == {"n": 1, "median": 9.0, "lo": 9.0, "hi": 9.0}
    again = weighed("book", "--again", "a", "--json").json
    assert again["recipe"]["salt_pct"] == 2.75
    assert again["notes"] == [
        "A1: 24 days, 30 % lost from hang weight, liked 4 of 5, even, a little slower"
    ]
    assert "a little slower" in weighed("book").out
    assert weighed("book", "--order", "colour").code == 65
    assert weighed("book", "--again", "Q").code == 66


def test_void_and_correct_leave_both_weights_in_the_history(weighed: Shell) -> None:
    right = weighed("correct", "A1", "790 g", "--json")
    assert right.json["last_net_g"] == 762.0
    start = weighed("correct", "A1", "--start", "1128 g", "--plus-minus", "20 g", "--json")
    assert (start.json["base_g"], start.json["base_approx"]) == (1100.0, True)
    tare = weighed("correct", "A1", "--tare", "8 g", "--json")
    assert (tare.json["base_g"], tare.json["last_net_g"]) == (1120.0, 782.0)
    assert weighed("void", "A1", "--json").json["loss_pct"] == 0.0
    assert weighed("void", "A1").code == 65  # the hang weight is corrected, not voided
    verbs = [line["verb"] for line in weighed("history", "A1", "--json").json]
    assert verbs[:4] == ["void", "correct tare", "correct start weight", "correct weigh-in"]
    assert weighed("correct", "A1").code == 64


def test_a_weight_is_read_behind_the_options_too(weighed: Shell) -> None:
    right = weighed("correct", "A1", "--note", "misread", "790 g", "--json")
    assert right.json["last_net_g"] == 762.0
    assert "unrecognized arguments: 2 3" in weighed("correct", "A1", "790", "2", "3").err
    ended = weighed("finish", "A1", "--tare", "28 g", "--yes", "760", "--json")
    assert ended.code == 0, ended.err
    assert weighed("history", "A1", "--limit", "1", "--json").json[0]["verb"] == "finish"


@pytest.mark.parametrize("which", ["--start", "--green"])
def test_a_slip_in_a_corrected_start_or_green_weight_is_asked_about(
    which: str, weighed: Shell
) -> None:
    asked = weighed("correct", "A1", which, "11340 g")
    assert asked.code == 65
    assert "Nothing was saved. To save it anyway, give --yes." in asked.err
    assert weighed("correct", "A1", which, "11340 g", "--yes").code == 0


def test_history_says_who_when_and_from_where_and_undo_takes_numbers(weighed: Shell) -> None:
    newest = weighed("history", "--limit", "1", "--json").json[0]
    assert newest["recorded_at"] == "2026-11-25T18:00:00Z"
    assert newest["recorded_local"] == "2026-11-25T18:00:00+00:00"
    assert (newest["verb"], newest["subject"], newest["origin"]) == ("weigh", "A1", "shell")
    number = str(newest["change"])
    assert "18:00 UTC" in weighed("history", "A1").out
    assert "net 756 g" in weighed("history", "--change", number).out
    assert weighed("undo", number, "--json").json == {"change": int(number), "undone": "weigh A1"}
    undone = weighed("history", "--limit", "2", "--json").json
    assert (undone[0]["undoes"], undone[1]["taken_back"]) == (int(number), True)
    again = weighed("undo", str(undone[0]["change"]))
    assert again.out == "undone: undo weigh A1\n"
    lot = next(lot for lot in weighed("lots", "--json").json if lot["code"] == "A1")
    assert lot["last_net_g"] == 756.0
    assert weighed("undo", "9999").code == 66


def test_a_whole_batch_is_undone_to_an_empty_rack(shell: Shell, batch: Done) -> None:
    assert batch.code == 0
    assert shell("undo").code == 0
    assert json.loads(shell("lots", "--json").out) == []
    assert shell("place", "list", "--json").json == []


@pytest.mark.parametrize(
    "verb",
    [
        "rebase",
        "divide",
        "hold",
        "move",
        "discard",
        "finish",
        "void",
        "correct",
        "look",
        "opened",
        "book",
        "history",
    ],
)
def test_every_verb_has_help_and_takes_no_lot_there_is_not(verb: str, weighed: Shell) -> None:
    assert verb in VERBS
    assert weighed(verb, "--help").code == 0
    more = {
        "rebase": ["trimmed", "--after", "1 g"],
        "divide": ["1 g", "2 g"],
        "move": ["x"],
        "discard": ["x"],
        "opened": ["even", "eat"],
        "correct": ["1 g"],
        "look": ["--decide", "x"],
        "book": [],
        "history": [],
    }
    if verb != "book":
        done = weighed(verb, "Q9", *more.get(verb, []))
        assert done.code == 66
        assert done.err.count("\n") == 1
