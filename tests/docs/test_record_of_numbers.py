"""Every number of the domain stands in the record with its source and how well it is known."""

import re

from tests.docs.test_formulas import generator

KNOWN = {"read", "quoted", "derived", "memory", "exact", "design"}


def record():
    return generator().record_of_numbers


def test_no_constant_of_the_domain_is_missing_from_the_record():
    missing = record().missing()
    assert missing == [], (
        "give each a unit, a source and how well known in docs/record_of_numbers.py"
    )


def test_a_constant_that_nobody_recorded_would_be_found():
    module = record()
    turning = next(found for found in module.modules() if module.short(found) == "curing.turning")
    assert {"BAG_DAYS", "BOX_DAYS", "TURNING"} <= set(module.constants(turning))
    kept, module.RECORD["curing.turning"] = module.RECORD["curing.turning"], ()
    assert "curing.turning.BAG_DAYS" in module.missing()
    module.RECORD["curing.turning"] = kept


def test_every_row_of_the_page_has_a_unit_a_source_and_how_well_it_is_known():
    page = generator().page()
    table = page.split("## Constants and how well they are known")[1].split("\n## ")[0]
    rows = [line for line in table.splitlines() if line.startswith("| ")][1:]
    assert len(rows) > 250
    for row in rows:
        name, value, unit, source, how = (part.strip() for part in row.strip("| ").split(" | "))
        assert name and value and unit and source, row  # noqa: PT018
        assert how in KNOWN, row


def test_every_table_that_reaches_a_screen_is_on_the_page():
    """Limits, strengths, freezing and degree-hour rows, styles, rules, thresholds, composition."""
    page = generator().page()
    for words in (
        "nitrite limits us comminuted nitrite",
        "curing salts no1",
        "trichina freezing",
        "degree hour table",
        "styles bresaola",
        "cure time rules one week per inch",
        "more cure time rules",
        "alert rule in-cure-warm-24h",
        "MAGNUS_HPA",
        "SALT_TEST_RH",
        "POPULATION_MEAN",
        "LETHAL_ION_MG_PER_KG",
        "PITZER_BETA0",
        "NANO2",
        "beef eye of round",
    ):
        assert words in page, words


def test_nothing_unread_is_called_read():
    """What was only found in an abstract or a quotation is listed with where the text is."""
    page = generator().page()
    unread = page.split("## Not read yet")[1]
    for words in ("Wood, J. Sci. Food Agric.", "2023/2108", "424.21(c)", "Greenspan"):
        assert words in unread
    assert not re.search(r"\| (?:salt_in_meat|SALT_D)[^|]*\|[^|]*\|[^|]*\|[^|]*\| read \|", page)
