"""The shelf of curing salts from the shell, and its jars in a dose."""

import json
from collections.abc import Callable

import pytest

from tests.cli.conftest import Done
from tests.hostile import HOSTILE

Shell = Callable[..., Done]
DOSE = ("dose", "--green", "1 kg", "--salt", "2.75", "--scale", "0.1", "--json")


def test_a_jar_is_usable_at_once(shell: Shell) -> None:
    added = shell("jar", "add", "Red jar", "5/0", "--opened-on", "2026-01-02", "--json")
    assert added.code == 0, added.err
    assert added.json["id"] == "red-jar"
    assert added.json["nacl_pct"] == 95
    dose = shell(*DOSE, "--curing-salt", "red jar", "--cure", "0.2")
    # identity: 2 g of 5 % in 1 kg is 100 mg/kg
    assert dose.json["lots"][0]["nitrite_mg_per_kg"] == pytest.approx(100)
    really = shell(*DOSE, "--curing-salt", "no1", "--cure", "0.2", "--given-salt", "red-jar")
    assert really.json["lots"][0]["given"]["nitrite_mg_per_kg"] == pytest.approx(100)


def test_the_shelf_lists_own_jars_then_types_with_their_source(shell: Shell) -> None:
    shell("jar", "add", "red jar", "6.25/4/89.75", "--note", "from the butcher")
    found = shell("jar", "list", "--json").json
    assert [found[0]["id"], found[0]["own"]] == ["red-jar", True]
    assert {"no1", "no2"} <= {salt["id"] for salt in found[1:]}
    assert all(salt["source"] for salt in found)
    lines = shell("jar", "list").out
    assert "from the butcher" in lines
    assert "not checked against a label" in lines  # some strengths are from memory, and say so
    assert len(shell("jar", "list", "--own").out.splitlines()) == 1


def test_a_premix_is_a_jar_of_its_own_strength(shell: Shell) -> None:
    made = shell(
        "jar", "premix", "no1", "--parts", "4", "--weight", "200g", "--name", "weak", "--json"
    )
    assert made.code == 0, made.err
    # mass balance: 40 g of 6.25 % in 200 g is 1.25 %
    assert made.json["nitrite_pct"] == pytest.approx(1.25)
    assert made.json["premix"]["curing_salt_g"] == pytest.approx(40)
    dose = shell(*DOSE, "--curing-salt", "weak", "--cure", "1.25")
    lot = dose.json["lots"][0]
    assert lot["nitrite_mg_per_kg"] == pytest.approx(156.25)
    assert lot["total_salt_pct"] == pytest.approx(2.75, abs=0.01)


def test_a_label_warns_and_keeps_its_frame(shell: Shell) -> None:
    shell("jar", "add", "red jar", "6.25/0", "--opened-on", "2026-01-02")
    lines = shell("jar", "label", "red jar").out.splitlines()
    assert len({len(line) for line in lines}) == 1
    text = "\n".join(lines)
    for words in (
        "RED JAR",
        "nitrite 6.25 %",
        "opened 2026-01-02",
        "NOT TABLE SALT",
        "never spoon",
    ):
        assert words in text


def test_a_premix_of_a_jar_says_what_is_in_it(shell: Shell) -> None:
    shell("jar", "add", "red jar", "6.25/0")
    shell("jar", "premix", "red jar", "--parts", "9", "--weight", "500 g", "--name", "tenth")
    assert "50 g of red jar" in shell("jar", "label", "tenth").out


@pytest.mark.parametrize(
    "words",
    [
        ("red jar", "6.25"),
        ("red jar", "60/50"),
        ("red jar", "-1/0"),
        ("red jar", "nan/0"),
        ("red jar", "a/b"),
        ("no1", "6/0"),
        ("No2", "6/0"),
        ("5/0", "5/0"),
        ("", "5/0"),
        ("x" * 61, "5/0"),
        ("red jar", "5/0", "--opened-on", "2027-05-01"),
    ],
)
def test_what_is_no_jar_is_refused_and_not_kept(shell: Shell, words: tuple[str, ...]) -> None:
    done = shell("jar", "add", *words)
    assert done.code == 65, done.out
    assert done.err.count("\n") == 1
    assert shell("jar", "list", "--own", "--json").json == []


def test_a_name_is_given_once(shell: Shell) -> None:
    assert shell("jar", "add", "red jar", "5/0").code == 0
    again = shell("jar", "add", "Red  Jar", "6/0")
    assert again.code == 65
    assert "already" in again.err


def test_a_jar_goes_and_comes_back_by_undo(shell: Shell) -> None:
    shell("jar", "add", "red jar", "5/0")
    assert shell("jar", "remove", "red jar").code == 0
    assert shell("jar", "list", "--own", "--json").json == []
    assert shell("undo").code == 0
    assert [jar["id"] for jar in shell("jar", "list", "--own", "--json").json] == ["red-jar"]
    assert shell("jar", "label", "blue jar").code == 66


def test_cautions_on_curing_salt_are_said_once(shell: Shell) -> None:
    first = shell("jar", "add", "red jar", "5/0")
    assert "never spoon" in first.err
    second = shell("jar", "add", "blue jar", "5/0")
    assert second.err == ""


@pytest.mark.parametrize("name", HOSTILE)
def test_odd_names_are_kept_whole_or_refused(shell: Shell, name: str) -> None:
    done = shell("jar", "add", "--json", "--", name, "5/0")
    if done.code:
        assert done.code == (64 if "\x00" in name else 65)  # no program can be given a NUL
        return
    kept = json.loads(done.out)["name"]
    assert kept == kept.strip()
    assert kept.isprintable()
    assert shell("jar", "label", "--", kept).code == 0
