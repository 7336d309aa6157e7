"""Pieces under way, taken in with what is known of them and followed to the end in the shell.

Four eye halves lie in the cure since Saturday: nobody weighed them, and no flag makes up a weight.
"""

import pytest

HALVES = ("batch", "add", "--name", "Eye halves", "--style", "bresaola", "--pieces", "4")
IN_CURE = (*HALVES, "--stage", "in-cure", "--since", "2026-11-21")
HANG = ("batch", "add", "--name", "Loin", "--style", "lonza", "--stage", "drying")


def lots(shell, *words: str):
    done = shell("lots", "--json", *words)
    assert done.code == 0
    return {lot["code"]: lot for lot in done.json}


def test_four_pieces_in_the_cure_need_no_weight(shell) -> None:
    done = shell(*IN_CURE)
    assert done.code == 0
    assert "answer A1 thickness=80mm" in done.err
    assert "Nothing was weighed" in done.err
    known = lots(shell)
    assert list(known) == ["A1", "A2", "A3", "A4"]
    one = known["A1"]
    assert (one["stage"], one["stage_day"], one["stage_since"][:10]) == ("in-cure", 4, "2026-11-21")
    unknown = ("green_g", "green_pm_g", "base_g", "loss_pct", "target_g", "to_go_g")
    assert {one[name] for name in unknown} == {None}
    assert one["pull_window"] is None
    table = shell("lots").out
    assert "eye halves" in table
    assert "%" not in table.splitlines()[2]


def test_a_thickness_measured_later_says_when_it_comes_out(shell) -> None:
    shell(*IN_CURE)
    assert "thickness of 4 pieces unknown" in shell("check").out
    assert shell("answer", "A1", "thickness=76.2mm").code == 0
    known = lots(shell)
    # one week per inch, a rule of thumb of the trade: 3 in, 21 days, the core's share later
    assert known["A1"]["cure_usual_days"] >= 21
    assert known["A2"]["cure_usual_days"] is None


def test_the_same_question_to_a_batch_is_one_need_and_one_answer(shell) -> None:
    shell(*IN_CURE)
    (need,) = [n for n in shell("check", "--json").json if n["cause"] == "question-open"]
    assert need["message"] == "thickness of 4 pieces unknown: A1, A2, A3, A4"
    assert shell("answer", "A3", "62mm").code == 0
    assert "thickness of 3 pieces unknown: A1, A2, A4" in shell("check").out
    listed = shell("answer", "A", "--json").json
    assert [bool(one["asked"]) for one in listed] == [True, True, False, True]
    done = shell("answer", "A", "thickness=70mm", "--json").json
    assert [one["lot"] for one in done] == ["A1", "A2", "A4"]
    assert "question-open" not in {n["cause"] for n in shell("check", "--json").json}
    days = {code: lot["cure_usual_days"] for code, lot in lots(shell).items()}
    assert days["A3"] < days["A1"] == days["A2"] == days["A4"]
    assert shell("undo").code == 0  # one change
    assert "thickness of 3 pieces" in shell("check").out


def test_target_cut_and_count_typed_for_pieces_under_way_are_stored(shell) -> None:
    words = (*HANG, "--since", "-21d", "--weight", "800 g", "--thickness", "40mm")
    done = shell(*words, "--target", "41..44", "--cut", "neck", "--count", "6")
    assert done.code == 0, done.err
    assert lots(shell)["A1"]["target_pct"] == [41, 44]
    assert "6 pieces" in shell("record", "A1").out
    assert shell("finish", "A1", "--liked", "4").code == 0
    assert [lot["code"] for lot in shell("book", "--cut", "collar", "--json").json] == ["A1"]


@pytest.mark.parametrize("count", ["0", "-3", "1001"])
def test_a_string_of_no_pieces_is_refused(shell, count) -> None:
    done = shell(*HANG, "--since", "-21d", "--count", count)
    assert done.code == 65
    assert "1 to 1000 pieces" in done.err


@pytest.mark.parametrize(
    ("words", "flag"),
    [
        (("--scale", "0.1"), "--scale"),
        (("--class", "dry-cured"), "--class"),
        (("--wanted-nitrate", "100"), "--wanted-nitrate"),
        (("--temp", "4C"), "--temp"),
        (("--eaten", "as-is"), "--eaten"),
    ],
)
def test_a_flag_of_a_dose_to_come_is_refused(shell, words, flag) -> None:
    done = shell(*IN_CURE, *words)
    assert done.code == 64
    assert f"{flag} is for a dose still to be weighed out" in done.err
    assert shell("lots", "--json").json == []


def test_lots_in_no_place_are_not_said_of_the_clock(shell) -> None:
    words = ("batch", "add", "--name", "Box", "--style", "bresaola", "--pieces", "2")
    shell(*words, "--stage", "in-cure", "--since", "-4d", "--thickness", "60mm")
    check = shell("check").out
    assert "today no place: 2 lots to turn: A1, A2" in check
    assert "clock" not in check


def test_its_pages_say_what_is_not_known(shell, tmp_path) -> None:
    shell(*IN_CURE)
    shell(*HANG, "--since", "2026-11-04", "--weight", "800 g", "--thickness", "70mm")
    for code in ("A1", "B1"):
        for words in (
            ("sheet", code),
            ("record", code, "-o", str(tmp_path / f"{code}.html")),
            ("label", code, "-o", str(tmp_path / f"{code}.pdf")),
            ("history", code),
            ("page", str(tmp_path / "page.html")),
        ):
            assert shell(*words).code == 0, words
    assert "green weight unknown" in shell("sheet", "A1").out
    assert "unknown" in (tmp_path / "A1.html").read_text(encoding="utf-8")


def test_a_first_weigh_in_starts_a_curve_from_the_roast_less_trim(shell) -> None:
    shell(*HANG, "--pieces", "4", "--roast", "2.3 kg", "--since", "2026-11-04")
    before = lots(shell)["A1"]
    # 2300 g less 5 % trim, in four: 546.25 g, and no piece of a cut roast is an even share
    assert before["green_g"] == pytest.approx(546.25)
    assert before["green_pm_g"] == pytest.approx(0.15 * 546.25, abs=0.01)
    assert before["loss_pct"] is None
    assert before["pull_window_how"].startswith("rule of thumb")
    done = shell("weigh", "A1", "480 g")
    assert done.code == 0
    assert "its curve starts here" in done.out
    after = lots(shell)["A1"]
    assert after["start_from"] == "green"
    assert after["base_approx"] is True
    assert after["base_g"] == pytest.approx(0.97 * 546.25)
    assert after["rate_pct_per_day"] is None  # between a guess and a weight there is no rate
    assert "≈" in shell("lots").out
    assert lots(shell)["A2"]["loss_pct"] is None


def test_without_a_roast_the_loss_since_the_first_weigh_in_is_what_is_known(
    shell, monkeypatch
) -> None:
    shell(*HANG, "--since", "2026-11-04", "--weight", "800 g", "--thickness", "70mm")
    first = lots(shell)["A1"]
    assert first["start_from"] == "days"
    assert first["loss_since"] is None
    assert first["pull_window_how"].endswith("start estimated")
    for day, grams in (("2026-11-28", "788 g"), ("2026-12-01", "777 g"), ("2026-12-05", "764 g")):
        monkeypatch.setenv("CUREDASH_NOW", f"{day}T18:00:00Z")
        assert shell("weigh", "A1", grams).code == 0
    known = lots(shell)["A1"]
    assert known["loss_since"]["at"] == "2026-11-25T18:00:00Z"
    assert known["loss_since"]["loss_pct"] == pytest.approx(100 * 36 / 800)
    assert known["rate_pct_per_day"] > 0
    low, high = known["pull_window"]
    assert low < high
    check = shell("check").out
    assert "fast" not in check
    assert "pull it" not in check


def test_a_slip_in_the_first_weigh_in_is_corrected_and_voided_with_its_start(shell) -> None:
    shell(*HANG, "--since", "2026-11-04", "--thickness", "70mm")
    assert shell("weigh", "A1", "880 g").code == 0
    wrong = lots(shell)["A1"]["base_g"]
    assert shell("correct", "A1", "800 g", "--yes").code == 0
    right = lots(shell)["A1"]["base_g"]
    assert right == pytest.approx(wrong * 800 / 880, rel=1e-3)
    assert shell("void", "A1").code == 0
    bare = lots(shell)["A1"]
    assert (bare["base_g"], bare["start_from"], bare["loss_pct"]) == (None, None, None)
    assert shell("undo").code == 0
    assert lots(shell)["A1"]["base_g"] == pytest.approx(right, rel=1e-3)


def test_a_hang_weight_given_later_takes_the_place_of_the_estimate(shell) -> None:
    shell(*HANG, "--since", "2026-11-04", "--weight", "800 g", "--thickness", "70mm")
    assert shell("correct", "A1", "--start", "1050 g").code == 0
    known = lots(shell)["A1"]
    assert (known["base_g"], known["base_approx"], known["start_from"]) == (1050, False, None)
    assert known["loss_pct"] == pytest.approx(100 * 250 / 1050, abs=0.01)


def test_a_lot_that_is_never_weighed_goes_to_its_end(shell, monkeypatch) -> None:
    shell(*IN_CURE)
    monkeypatch.setenv("CUREDASH_NOW", "2026-12-05T18:00:00Z")
    hung = shell("stage", "A1", "drying")
    assert hung.code == 0
    assert "not weighed" in hung.err
    assert "weigh-in" not in shell("check").out
    monkeypatch.setenv("CUREDASH_NOW", "2027-01-02T18:00:00Z")
    felt = ("--firmness", "springy", "--rim", "none", "--smell", "clean", "--goes-on")
    assert shell("look", "A1", *felt).code == 0
    cut = shell("opened", "A1", "raw middle", "back")
    assert cut.code == 0
    assert "%" not in cut.out
    monkeypatch.setenv("CUREDASH_NOW", "2027-01-20T18:00:00Z")
    assert shell("stage", "A1", "equalising").code == 0
    monkeypatch.setenv("CUREDASH_NOW", "2027-01-28T18:00:00Z")
    packs = ("--pack", "150 g", "--pack", "150 g", "--pack", "140 g")
    friends = ("--given-to", "Anna, Anna, Bert")
    done = shell("finish", "A1", "--liked", "5", "--cut-face", "even", *packs, *friends, "--json")
    assert done.code == 0, done.err
    assert [pack["given_to"] for pack in done.json["packs"]] == ["Anna", "Anna", "Bert"]
    assert done.json["final_g"] is None
    assert (done.json["loss_pct"], done.json["yield_pct"]) == (None, None)
    assert (done.json["days"], done.json["liked"]) == (68, 5)
    assert shell("book").code == 0
    assert shell("book", "--json").json[0]["final_g"] is None


def test_a_piece_is_cut_up_and_rebased_although_nobody_weighed_it_green(shell) -> None:
    shell(*IN_CURE)
    assert shell("divide", "A2", "300 g", "280 g", "--yes").code == 0
    assert lots(shell)["A2a"]["green_g"] is None
    trimmed = shell("rebase", "A3", "trimmed", "--before", "500 g", "--after", "480 g", "--yes")
    assert trimmed.code == 0, trimmed.err
    assert lots(shell)["A3"]["last_net_g"] == 480


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--stage", "in-cure"), "since when"),
        (("--stage", "raw", "--since", "2026-11-21"), "as a new batch"),
        (("--stage", "in-cure", "--since", "2026-11-27"), "ahead"),
        (("--stage", "in-cure", "--since", "-4d", "--salt", "2.5"), "--salt"),
        (("--stage", "drying", "--since", "-4d", "--weight", "500 g"), "4 pieces"),
        (("--since", "-4d"), "--stage"),
        ((), "--stage"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_nothing_is_stored(
    shell, words: tuple[str, ...], says: str
) -> None:
    done = shell(*HALVES, *words)
    assert done.code != 0
    assert says in done.err
    assert "no file" in shell("lots").err or not lots(shell)


def test_the_file_of_such_a_household_is_exported_and_comes_back(shell, tmp_path) -> None:
    shell(*IN_CURE)
    shell("stage", "A1", "drying")
    shell(*HANG, "--since", "-21d", "--weight", "800 g", "--roast", "1100 g", "--sticker", "20 Dec")
    shell("finish", "A1", "--liked", "4")
    assert shell("export", str(tmp_path / "all.json")).code == 0
    before = shell("lots", "--json").out
    other = ("--db", str(tmp_path / "other.db"))
    back = shell(*other, "import", str(tmp_path / "all.json"))
    assert back.code == 0, back.err
    assert shell(*other, "lots", "--json").out == before
    assert "no-finding" in shell(*other, "doctor", "--thorough", "--json").out


def test_the_documents_hold_to_the_schema(shell) -> None:
    done = shell(*IN_CURE, "--json")
    assert [lot["code"] for lot in done.json] == ["A1", "A2", "A3", "A4"]
    one = shell(*HANG, "--since", "-21d", "--weight", "800 g", "--sticker", "20 Dec", "--json")
    assert one.json[0]["planned_on"] == "2026-12-20"


def test_packs_of_an_unknown_strength_are_set_beside_the_meat(shell) -> None:
    packs = ("--packs", "2", "--pack-for", "5 lb")
    assert "how much was salted is not known" in shell(*IN_CURE, *packs).err
    done = shell(*IN_CURE, *packs, "--roast", "3.5 kg")
    # 10 lb of rated meat on 3.325 kg: 4535.9 / 3325 = 1.36
    assert "1.36 × what they are made for" in done.err
    assert "Strength unknown" in done.err
    assert "--pack-for" in shell(*IN_CURE, "--packs", "2").err


def test_no_line_says_pull_it_where_the_hang_weight_is_a_guess(shell) -> None:
    """Every paper and list, one in its window and one far from it: it is felt."""
    shell(*HANG, "--since", "-21d", "--weight", "980 g")
    shell(*HANG, "--since", "-60d", "--weight", "700 g")
    shell("away", "+3d", "+60d")
    for words in (("handover",), ("calendar",), ("away",), ("lots",), ("check",)):
        said = " ".join(shell(*words).out.split()).replace(
            "At its pull weight or lighter: pull", ""
        )
        assert "pull at ≈" not in said.casefold(), words
        assert "pull it before" not in said, words
    assert "feel it and ask; do not pull it" in " ".join(shell("handover").out.split())
    assert "feel it at ≈" in shell("calendar").out


def test_a_guess_from_days_alone_names_no_thickness_and_is_no_weigh_in(shell) -> None:
    shell(*HANG, "--since", "-21d")
    shell("weigh", "A1", "980 g")
    assert "rule of thumb: by weight, start estimated" in shell("forecast", "A1").out
    assert shell("history").out.count("weigh A1: 980 g") == 1
    assert "1281.4" not in shell("history").out


def test_a_divided_guess_stays_a_guess(shell) -> None:
    """Two weights of one evening tell no rate: the parts have the window of the whole."""
    shell(*HANG, "--since", "-21d", "--thickness", "70mm")
    shell("weigh", "A1", "980 g")
    shell("divide", "A1", "560", "415", "--yes")
    for code in ("A1a", "A1b"):
        said = shell("forecast", code).out
        assert "rule of thumb: by thickness, start estimated" in said
    windows = {tuple(lot["pull_window"]) for lot in lots(shell).values() if lot["pull_window"]}
    assert len(windows) == 1
