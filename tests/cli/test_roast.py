"""The roast as it was bought: shop, price, pack date and use-by date, from the shell."""

import pytest

ADD = ("batch", "add", "--name", "Eye", "--style", "bresaola", "--salt", "2.75", "--rules", "us")
ADD = (*ADD, "--curing-salt", "no2", "--cure", "0.25", "--thickness", "60mm", "--scale", "0.1")
TWO = (*ADD, "--green", "1100 g", "--green", "1050 g")


def bought(shell, tmp_path):
    """The rows of the roasts, as the CSV export holds them."""
    import csv

    assert shell("export", "--csv", str(tmp_path / "tables")).code == 0
    with open(tmp_path / "tables" / "source.csv", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_what_was_bought_is_kept_and_its_cost_follows(shell, tmp_path) -> None:
    words = ("--shop", "Market hall", "--bought", "2.3 kg", "--price", "17 EUR/kg")
    done = shell(*TWO, *words, "--packed-on", "20 Nov", "--use-by", "30 Nov")
    assert done.code == 0, done.err
    record = shell("record", "A1").out
    assert "Market hall" in record
    assert "30 Nov 2026" in record or "2026-11-30" in record
    (row,) = bought(shell, tmp_path)
    assert (row["shop"], row["pack_date"], row["use_by"]) == (
        "Market hall",
        "2026-11-20",
        "2026-11-30",
    )
    assert float(row["price"]) == pytest.approx(39.10)  # 2.3 × 17
    assert float(row["bought_g"]) == 2300


def test_meat_past_its_use_by_day_is_asked_about_before_it_is_salted(shell) -> None:
    done = shell(*TWO, "--use-by", "20 Nov")
    assert done.code == 65
    assert "use-by date, 2026-11-20, is past" in done.err
    assert shell("lots", "--json").json == []


def test_meat_near_its_use_by_day_is_a_need_until_it_is_salted(shell) -> None:
    assert shell(*TWO, "--use-by", "26 Nov").code == 0
    assert "use-by date is tomorrow, not salted yet" in shell("check").out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--price", "17 EUR/kg"), "--bought"),
        (("--price", "cheap"), "A price is"),
        (("--shop", "one", "--shop", "other"), "one shop"),
        (("--bought", "heavy"), "heavy"),
        (("--packed-on", "someday"), "date"),
    ],
)
def test_a_roast_that_cannot_be_is_refused(shell, words, says) -> None:
    done = shell(*TWO, *words)
    assert done.code != 0
    assert says in done.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--price", "20 EUR", "--price", "20 USD"), "one price, not 20.00 EUR and 20.00 USD"),
        (("--bought", "3 kg", "--bought", "4 kg"), "not 3000 g and 4000 g"),
        (("--condition", "fresh", "--condition", "wild"), "both fresh and wild"),
    ],
)
def test_one_roast_has_one_of_each(shell, words, says) -> None:
    done = shell(*TWO, "--source", "thick", "--source", "thick", *words)
    assert done.code == 65
    assert says in done.err
    assert shell("lots", "--json").json == []


def test_two_roasts_are_two(shell, tmp_path) -> None:
    words = ("--source", "thick", "--source", "thin", "--price", "20 EUR", "--price", "18 EUR")
    assert shell(*TWO, *words, "--shop", "Butcher").code == 0
    rows = bought(shell, tmp_path)
    assert [(row["name"], float(row["price"]), row["shop"]) for row in rows] == [
        ("thick", 20, "Butcher"),
        ("thin", 18, "Butcher"),
    ]


def test_pieces_under_way_have_a_roast_too(shell, tmp_path) -> None:
    words = ("--name", "Halves", "--style", "bresaola", "--pieces", "2", "--stage", "in-cure")
    done = shell("batch", "add", *words, "--since", "-4d", "--shop", "Market hall")
    assert done.code == 0, done.err
    (row,) = bought(shell, tmp_path)
    assert (row["name"], row["shop"]) == ("Halves", "Market hall")
    assert "Market hall" in shell("record", "A1").out


def test_a_price_said_after_the_end_reaches_the_book_and_is_undone(shell, tmp_path) -> None:
    assert shell(*TWO).code == 0
    assert shell("price", "A1").out == "A1: no price given\n"
    said = shell("price", "A1", "38,20", "EUR")
    assert said.out == "Eye (A1 and A2) cost 38.20 EUR\n"
    (row,) = bought(shell, tmp_path)
    assert (row["name"], float(row["price"]), row["currency"]) == ("Eye", 38.2, "EUR")
    assert shell("price", "A2").out == "A2: 38.20 EUR\n"
    later = shell("price", "A2", "40")  # a correction keeps the currency
    assert later.out == "Eye (A1 and A2) cost 40.00 EUR\n"
    assert shell("undo").out.startswith("undone: price A1 and A2")
    assert shell("price", "A1").out == "A1: 38.20 EUR\n"
    assert shell("undo").code == 0
    assert shell("price", "A1").out == "A1: no price given\n"


def test_a_price_for_a_weight_said_later_needs_the_weight_as_bought(shell) -> None:
    assert shell(*TWO).code == 0
    done = shell("price", "A1", "17", "EUR/kg")
    assert done.code == 65
    assert "needs the weight as bought" in done.err
    assert shell("price", "A1", "17", "EUR/kg", "--bought", "2.3 kg").out.endswith("39.10 EUR\n")


def test_the_cost_of_what_ended_follows_a_price_said_later(hanging) -> None:
    assert hanging("finish", "A1", "678 g", "--yes").code == 0  # 650 g net
    assert hanging("book", "--json").json[0]["cost_per_kg"] is None
    said = hanging("price", "A1", "48", "EUR")
    assert "A1: " in said.out
    assert said.out.endswith("EUR a kg finished\n")
    (ended,) = hanging("book", "--json").json
    assert ended["cost_per_kg"] == pytest.approx(ended["cost_in"] / 0.65, abs=0.01)
    assert hanging("undo").code == 0
    assert hanging("book", "--json").json[0]["cost_per_kg"] is None
