"""Shared: a label for each pack with its own name, and what people said comes back in the Book."""

HANG = (
    "batch",
    "add",
    "--name",
    "Neck",
    "--style",
    "coppa",
    "--stage",
    "drying",
    "--since",
    "-60d",
)


def test_three_packs_for_two_people_are_three_labels(shell) -> None:
    shell(*HANG, "--thickness", "70mm", "--weight", "800 g")
    packs = ("--pack", "150 g", "--pack", "150 g", "--pack", "140 g")
    done = shell("finish", "A1", "--liked", "4", *packs, "--given-to", "Ida, Ida, Emil")
    assert done.code == 0, done.err
    listed = shell("pack", "--json").json
    assert [pack["given_to"] for pack in listed] == ["Ida", "Ida", "Emil"]
    label = shell("label", "A1").out
    assert label.count("for Ida") == 2
    assert label.count("for Emil") == 1
    assert "Ida, Ida" not in label


def test_names_that_are_not_one_a_pack_are_refused_or_for_all(shell) -> None:
    shell(*HANG, "--thickness", "70mm", "--weight", "800 g")
    packs = ("--pack", "150 g", "--pack", "150 g", "--pack", "140 g")
    wrong = shell("finish", "A1", "--liked", "4", *packs, "--given-to", "Ida, Emil")
    assert wrong.code != 0
    assert "2 names for 3 packs" in wrong.err
    assert shell("pack", "--json").json == []
    one = shell("finish", "A1", "--liked", "4", *packs, "--given-to", "Ida")
    assert one.code == 0, one.err
    assert [pack["given_to"] for pack in shell("pack", "--json").json] == ["Ida"] * 3


def test_what_they_said_is_in_the_book_and_when_it_is_made_again(shell, monkeypatch) -> None:
    shell(*HANG, "--thickness", "70mm", "--weight", "800 g")
    shell("note", "A1", "white mould at the tip")
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-26T18:00:00Z")
    shell("finish", "A1", "--liked", "4", "--pack", "150 g", "--given-to", "Ida")
    monkeypatch.setenv("CUREDASH_NOW", "2026-12-06T18:00:00Z")
    assert shell("note", "A1", "Ida: a little salty").code == 0
    (row,) = shell("book", "--json").json
    assert row["heard"] == "Ida: a little salty"
    assert "Ida: a little salty" in shell("book").out
    assert "mould" not in shell("book").out
    assert [lot["code"] for lot in shell("book", "salty", "--json").json] == ["A1"]
    again = shell("book", "--again", "A", "--json").json
    assert again["name"] == "Neck"
    assert any("Ida: a little salty" in note for note in again["notes"])
    assert any("61 days" in note and "liked 4 of 5" in note for note in again["notes"])
