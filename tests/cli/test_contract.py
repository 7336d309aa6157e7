"""The contract of the shell: documents, exit codes, one sentence on stderr."""

import json
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import BATCH, Done

Shell = Callable[..., Done]


def test_a_new_batch_names_its_lots(batch: Done) -> None:
    assert batch.code == 0, batch.err
    found = batch.json
    assert found["batch"] == "A"
    assert [lot["code"] for lot in found["lots"]] == ["A1", "A2"]
    assert found["lots"][0]["green_g"] == 1134.0
    # NIST SP 811 (2008), appendix B: 1 lb = 453.59237 g, 1 oz = 28.349523125 g
    assert found["lots"][1]["green_g"] == pytest.approx(2 * 453.59237 + 4.8 * 28.349523125)
    assert "Fridge 2" in batch.err


def test_a_batch_with_its_salting_date_is_in_cure_with_its_sheet_ticked(
    batch: Done, db_path: str
) -> None:
    conn = sqlite3.connect(db_path)
    stages = conn.execute("SELECT DISTINCT stage FROM lot").fetchall()
    assert stages == [("in-cure",)]
    rows = conn.execute("SELECT planned_g, weighed_g, ticked_at FROM dose_line").fetchall()
    assert rows
    assert all(planned == weighed and at is not None for planned, weighed, at in rows)
    conn.close()


def test_thickness_and_piece_names_once_for_all_or_once_each(shell: Shell) -> None:
    once = shell(
        *BATCH[:12], *BATCH[12:], "--piece-name", "thick end", "--piece-name", "thin end", "--json"
    )
    assert once.code == 0, once.err
    wrong = shell(*BATCH, "--thickness", "70mm", "--thickness", "60mm", "--json")
    assert wrong.code == 64
    assert wrong.err.count("\n") == 1


def test_lots_lists_every_key_of_the_contract(hanging: Shell) -> None:
    hanging("weigh", "A1", "1043 g", "--at", "2026-11-20")
    found = hanging("lots", "--json").json
    assert isinstance(found, list)
    lot = next(item for item in found if item["code"] == "A1")
    keys = {
        "code",
        "batch",
        "name",
        "style",
        "stage",
        "stage_day",
        "base",
        "base_g",
        "last_net_g",
        "loss_pct",
        "rate_pct_per_day",
        "target_pct",
        "target_g",
        "pull_window",
        "needs",
    }
    assert keys <= lot.keys()
    assert lot["base"] == "hang"
    assert lot["base_g"] == 1080.0
    assert lot["last_net_g"] == 1015.0
    assert lot["loss_pct"] == pytest.approx(100 * 65 / 1080, abs=1e-3)
    assert lot["stage_day"] == 9
    low, high = lot["target_pct"]
    assert low < high
    assert lot["target_g"] == pytest.approx([1080 * (1 - high / 100), 1080 * (1 - low / 100)])


def test_a_weigh_in_takes_the_tare_off_and_says_what_is_left(hanging: Shell) -> None:
    done = hanging("weigh", "A1", "1043 g", "--at", "2026-11-20", "--json")
    assert done.code == 0, done.err
    found = done.json
    assert found["gross_g"] == 1043.0
    assert found["tare_g"] == 28.0
    assert found["net_g"] == 1015.0
    assert found["base"] == "hang"
    assert found["base_g"] == 1080.0
    assert found["saved"] is True
    lots = hanging("lots", "--json").json
    heavier_end = next(lot for lot in lots if lot["code"] == "A1")["target_g"][1]
    assert found["to_go_g"] == pytest.approx(1015 - heavier_end)


def test_a_net_weight_has_its_tare_off_already(hanging: Shell) -> None:
    found = hanging("weigh", "A1", "1015", "--net", "--at", "2026-11-20", "--json").json
    assert (found["net_g"], found["gross_g"], found["tare_g"]) == (1015.0, 1015.0, 0.0)
    corrected = hanging("correct", "A1", "--tare", "20", "--yes", "--json")
    assert corrected.code == 0, corrected.err
    (lot,) = (lot for lot in hanging("lots", "--json").json if lot["code"] == "A1")
    assert (lot["last_net_g"], lot["tare_g"]) == (1015.0, 20.0)  # typed net, it stays so


def test_doubt_stores_nothing_and_asks_on_stderr(hanging: Shell, db_path: str) -> None:
    done = hanging("weigh", "A1", "10430 g", "--at", "2026-11-20", "--json")
    assert done.code == 65
    assert done.out == ""
    assert "1043" in done.err
    assert done.err.count("\n") == 1
    conn = sqlite3.connect(db_path)
    assert conn.execute("SELECT count(*) FROM weigh_in WHERE kind = 'stage'").fetchone() == (0,)
    conn.close()


def test_yes_keeps_a_doubtful_weight_flagged(hanging: Shell) -> None:
    done = hanging("weigh", "A1", "1250 g", "--at", "2026-11-20", "--yes", "--json")
    assert done.code == 0
    assert done.json["flagged"] is not None


def test_out_of_the_cure_early_wants_a_note(shell: Shell, batch: Done) -> None:
    early = shell("stage", "A1", "drying", "--at", "2026-11-03", "--weight", "1108 g")
    assert early.code == 65
    assert "note" in early.err


def test_no_tare_is_taken_as_nothing_and_said(shell: Shell, batch: Done) -> None:
    done = shell(
        "stage",
        "A1",
        "drying",
        "--at",
        "2026-11-20",
        "--weight",
        "1080 g",
        "--note",
        "as planned",
        "--json",
    )
    assert done.code == 0, done.err
    assert done.json["base_g"] == 1080.0
    assert "no tare given: counted as 0" in done.err


def test_check_exit_codes_follow_the_worst_need(shell: Shell) -> None:
    shell("place", "add", "Fridge 2", "--temp", "2..5C", "--rh", "70..80%")
    quiet = shell("check", "--json")
    assert (quiet.code, quiet.json) == (0, [])


def test_check_tells_a_weigh_in_due(hanging: Shell) -> None:
    done = hanging("check", "--json", "--now", "2026-11-26T12:00")
    assert done.code == 1, done.out
    need = next(need for need in done.json if need["cause"] == "weigh-in-due")
    assert need["lot"] == "A1"
    assert need["place"] is None
    assert {"level", "cause", "lot", "place", "message", "action"} <= need.keys()


def test_check_tells_the_target(hanging: Shell) -> None:
    hanging("weigh", "A1", "725 g", "--at", "2026-11-24T08:00", "--yes")
    causes = {need["cause"] for need in hanging("check", "--json").json}
    assert causes & {"target-reached", "target-too-soon"}


def test_check_only_reads(hanging: Shell, db_path: str) -> None:
    def rows() -> list[Any]:
        conn = sqlite3.connect(db_path)
        found = [conn.execute(f"SELECT count(*) FROM {t}").fetchone() for t in ("need", "change")]
        conn.close()
        return found

    before = rows()
    hanging("check")
    assert rows() == before


def test_air_wants_a_known_place(shell: Shell) -> None:
    shell("place", "add", "Fridge 2", "--temp", "2..5C", "--rh", "70..80%")
    assert shell("air", "add", "Fridge 2", "3.5C", "78%").code == 0
    assert shell("air", "add", "Fridge 2", "-1.5C", "78%").code == 0
    unknown = shell("air", "add", "Fridge 9", "3.5C", "78%")
    assert unknown.code == 66
    assert "Fridge 2" in unknown.err


def test_a_missing_file_is_66_and_not_made(shell: Shell, tmp_path: object) -> None:
    for words in (["lots"], ["check"], ["weigh", "A1", "1043"], ["air", "add", "x", "3C"]):
        done = shell("--db", f"{tmp_path}/none.db", *words)
        assert done.code == 66, words
        assert done.err.count("\n") == 1


def test_usage_is_64_and_one_sentence(shell: Shell) -> None:
    for words in (["brew"], ["weigh"], ["lots", "--colour"], ["--now", "soon", "lots"], ["air"]):
        done = shell(*words)
        assert done.code == 64, words
        assert done.err.count("\n") == 1, done.err


def test_a_command_nearly_right_is_suggested(shell: Shell) -> None:
    for typed, meant in (("tag", "label"), ("lable", "label"), ("wiegh", "weigh")):
        done = shell(typed)
        assert done.code == 64
        assert f"“{meant}”" in done.err


def test_no_such_lot_is_66(hanging: Shell) -> None:
    assert hanging("weigh", "Z9", "1043 g").code == 66


def test_globals_stand_before_or_after_the_verb(hanging: Shell, db_path: str) -> None:
    before = hanging("--db", db_path, "--now", "2026-11-25T18:00Z", "lots", "--json")
    after = hanging("lots", "--json", f"--db={db_path}", "--now=2026-11-25T18:00Z")
    assert before.out == after.out


def test_a_date_alone_is_noon_and_a_naive_time_is_local(hanging: Shell, db_path: str) -> None:
    hanging("weigh", "A1", "1043 g", "--at", "2026-11-20")
    hanging("weigh", "A1", "1040 g", "--at", "2026-11-21T07:30")
    conn = sqlite3.connect(db_path)
    times = [row[0] for row in conn.execute("SELECT at FROM weigh_in WHERE kind = 'stage'")]
    assert times == ["2026-11-20T12:00:00Z", "2026-11-21T07:30:00Z"]
    conn.close()


def test_far_ahead_is_refused(hanging: Shell) -> None:
    assert hanging("weigh", "A1", "1043 g", "--at", "2026-12-20").code == 65


def test_undo_voids_and_keeps_the_row(hanging: Shell, db_path: str) -> None:
    hanging("weigh", "A1", "1043 g", "--at", "2026-11-20")
    assert hanging("undo").code == 0
    conn = sqlite3.connect(db_path)
    voided = conn.execute("SELECT voided_at FROM weigh_in WHERE kind = 'stage'").fetchall()
    assert len(voided) == 1
    assert voided[0][0] is not None
    conn.close()
    lot = next(item for item in hanging("lots", "--json").json if item["code"] == "A1")
    assert lot["last_net_g"] == 1080.0


def test_dose_keeps_nothing_and_answers_the_contract(shell: Shell, tmp_path: object) -> None:
    done = shell(
        "dose",
        "--green",
        "1134 g",
        "--salt",
        "2.75",
        "--curing-salt",
        "no2",
        "--cure",
        "0.25",
        "--rules",
        "us",
        "--class",
        "dry-cured",
        "--scale",
        "0.1",
        "--json",
    )
    assert done.code == 0, done.err
    lot = done.json["lots"][0]
    keys = {
        "green_g",
        "ingredients",
        "total_salt_pct",
        "nitrite_mg_per_kg",
        "nitrate_mg_per_kg",
        "half_division_error_pct",
        "verdict",
        "messages",
        "limit",
        "nitrate_limit",
    }
    assert keys <= lot.keys()
    assert {"name", "exact_g", "weigh_g"} <= lot["ingredients"][0].keys()
    assert {"mg_per_kg", "basis", "rule_set", "product_class", "source"} <= lot["limit"].keys()
    assert lot["nitrite_mg_per_kg"] == pytest.approx(2.8 * 0.0625 / 1134 * 1e6)


def test_a_refused_dose_prints_its_document_and_is_65(shell: Shell) -> None:
    done = shell(
        "dose",
        "--green",
        "1000 g",
        "--salt",
        "3",
        "--curing-salt",
        "no1",
        "--cure",
        "2.5",
        "--rules",
        "us",
        "--class",
        "dry-cured",
        "--scale",
        "0.1",
        "--json",
    )
    assert done.code == 65
    assert done.json["lots"][0]["verdict"] == "refused"
    assert done.err.count("\n") == 1


def test_an_unknown_style_is_a_new_one_where_that_is_asked_for_and_said(shell: Shell) -> None:
    words = [word if word != "bresaola" else "our-own" for word in BATCH]
    refused = shell(*words, "--json")
    assert refused.code == 66
    assert "--new-style adds one" in refused.err
    assert shell("lots", "--json").json == []
    done = shell(*words, "--new-style", "--json")
    assert done.code == 0, done.err
    assert "our-own" in done.err
    lot = shell("lots", "--json").json[0]
    assert lot["target_pct"] == [30.0, 40.0]


def test_a_batch_from_toml(shell: Shell, tmp_path: object) -> None:
    path = f"{tmp_path}/batch.toml"
    with open(path, "w", encoding="utf-8") as file:
        file.write(
            'name = "Loin"\nspecies = "pork"\nstyle = "bresaola"\ngreen = ["1.2 kg", "900 g"]\n'
            'salt = 2.75\ncuring_salt = "no2"\ncure = 0.25\nrules = "us"\nclass = "dry-cured"\n'
            'scale = 0.1\nthickness = "70mm"\nplace = "Cellar"\nsalted_on = "2026-11-20"\n'
        )
    done = shell("batch", "add", path, "--json")
    assert done.code == 0, done.err
    assert [lot["green_g"] for lot in done.json["lots"]] == [1200.0, 900.0]


def test_a_bug_is_one_sentence_and_its_trace_goes_to_the_log(
    shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    import os

    from curedash.cli import lots

    def broken(chosen: object, context: object) -> int:
        raise ZeroDivisionError("inside")

    monkeypatch.setattr(lots.COMMAND, "run", broken)
    done = shell("lots")
    assert done.code == 70
    assert done.err.count("\n") == 1
    log = os.path.join(os.environ["XDG_STATE_HOME"], "curedash", "trace.log")
    with open(log, encoding="utf-8") as kept:
        assert "ZeroDivisionError" in kept.read()


def test_one_json_document_and_nothing_else_on_stdout(hanging: Shell, db_path: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "curedash", "--db", db_path, "lots", "--json"],
        capture_output=True,
        text=True,
        check=True,
    )
    json.loads(done.stdout)
    assert done.stderr == ""


BAGGED = (
    "batch",
    "add",
    "--name",
    "Eye",
    "--species",
    "beef",
    "--style",
    "bresaola",
    "--green",
    "180 g",
    "--green",
    "195 g",
    "--green",
    "900 g",
    "--thickness",
    "40mm",
    "--salt",
    "2.75",
    "--curing-salt",
    "no2",
    "--cure",
    "0.25",
    "--rules",
    "us",
    "--class",
    "dry-cured",
    "--scale",
    "0.1",
    "--salted-on",
    "2026-11-20",
)


def test_pieces_in_one_bag_are_dosed_together_from_flags_and_from_a_file(
    shell: Shell, tmp_path: object
) -> None:
    assert shell(*BAGGED, "--one-bag", "1+2").code == 0
    sheet = shell("dose-sheet", "A").out
    assert "In one bag. A1 + A2 together" in sheet
    assert sheet.count("In one bag") == 2, "A3 lies alone"
    path = f"{tmp_path}/batch.toml"
    Path(path).write_text(
        'name = "Eye"\nspecies = "beef"\nstyle = "bresaola"\ngreen = ["180 g", "195 g"]\n'
        'salt = 2.75\ncuring-salt = "no2"\ncure = 0.25\nrules = "us"\nclass = "dry-cured"\n'
        'scale = 0.1\nsalted-on = "2026-11-20"\none-bag = "all"\nthickness = "40mm"\n'
    )
    assert shell("batch", "add", path).code == 0
    assert "B1 + B2 together" in shell("dose-sheet", "B").out
    refused = shell(*BAGGED, "--one-bag", "1+7")
    assert refused.code == 65
    assert "The pieces are numbered 1 to 3." in refused.err


def test_the_log_of_bugs_has_a_bound(tmp_path, monkeypatch) -> None:
    from curedash.cli.trace import MOST_BYTES, keep_trace

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    for number in range(40):
        keep_trace(ValueError(f"{number} " + "x" * 300_000))
    sizes = {path.name: path.stat().st_size for path in (tmp_path / "curedash").iterdir()}
    assert sorted(sizes) == ["trace.log", "trace.log.1"]
    assert max(sizes.values()) < MOST_BYTES + 200_000
    assert keep_trace(ValueError("the last")).endswith("trace.log")
    assert "the last" in (tmp_path / "curedash" / "trace.log").read_text()
