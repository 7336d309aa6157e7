"""Limits for nitrite and nitrate per rule set and product class [mg/kg], each with its source.

`kind` says what the number counts (ingoing, added, residual, finished), `basis` the substance it is
stated as. The maximum keeps the printed digits; see `curedash.domain.dosing.limits.exceeds`.
"""

from typing import NamedTuple


class LimitRow(NamedTuple):
    """One printed limit."""

    rule_set: str
    product_class: str
    agent: str
    kind: str
    basis: str
    max_mg_per_kg: float | None
    source: str
    how: str
    min_mg_per_kg: float | None = None
    applies_from: str = ""


NITRITE_LIMITS = (
    LimitRow(
        rule_set="us",
        product_class="comminuted",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=156.25,
        source=(
            "FSIS Processing Inspectors' Calculations Handbook (Directive 7620.3,"
            " rev. 1995) p.12; 0.25 oz per 100 lb, the handbook prints the "
            "rounded 156"
        ),
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="immersion",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=200,
        source="FSIS Handbook 7620.3 p.12",
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="injected",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=200,
        source="FSIS Handbook 7620.3 p.12",
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="dry-cured",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=625,
        source="FSIS Handbook 7620.3 p.12 and pp.24-27",
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="bacon-injected",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=120,
        source=(
            "9 CFR 424.22(b)(1), via FSIS Bacon and Food Safety; with 550 mg/kg "
            "sodium ascorbate or erythorbate"
        ),
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="bacon-immersion",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=120,
        source="9 CFR 424.22(b)(1), via FSIS Bacon and Food Safety",
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="bacon-dry-cured",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=200,
        source=("9 CFR 424.22(b)(1), via FSIS Bacon and Food Safety; 10 % less with rind on"),
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="bacon-dry-cured",
        agent="nitrate",
        kind="ingoing",
        basis="NaNO3",
        max_mg_per_kg=0,
        source=(
            "Mississippi State Univ. Extension P2648: USDA does not allow sodium nitrate in bacon"
        ),
        how="read",
    ),
    LimitRow(
        rule_set="us",
        product_class="keep-refrigerated",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=None,
        min_mg_per_kg=120,
        source="FSIS Handbook 7620.3 p.12",
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="shelf-stable",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=None,
        min_mg_per_kg=40,
        source="FSIS Handbook 7620.3 p.12: some preservative effect; no legal minimum",
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="comminuted",
        agent="nitrate",
        kind="ingoing",
        basis="NaNO3",
        max_mg_per_kg=1718.75,
        source=("9 CFR 424.21(c): 2 3/4 oz to 100 lb chopped meat (in quotations of the text)"),
        how="quoted",
    ),
    LimitRow(
        rule_set="us",
        product_class="immersion",
        agent="nitrate",
        kind="ingoing",
        basis="NaNO3",
        max_mg_per_kg=700,
        source="FSIS Handbook 7620.3 (7 lb per 100 gal pickle)",
        how="memory",
    ),
    LimitRow(
        rule_set="us",
        product_class="injected",
        agent="nitrate",
        kind="ingoing",
        basis="NaNO3",
        max_mg_per_kg=700,
        source="FSIS Handbook 7620.3 (7 lb per 100 gal pickle)",
        how="memory",
    ),
    LimitRow(
        rule_set="us",
        product_class="dry-cured",
        agent="nitrate",
        kind="ingoing",
        basis="NaNO3",
        max_mg_per_kg=2187.5,
        source=("9 CFR 424.21(c): 3 1/2 oz to 100 lb, dry cure (in quotations of the text)"),
        how="quoted",
    ),
    LimitRow(
        rule_set="us-household",
        product_class="home-curing-mix",
        agent="nitrite",
        kind="finished",
        basis="NaNO2",
        max_mg_per_kg=200,
        source="21 CFR 172.175(a)(3)",
        how="read",
    ),
    LimitRow(
        rule_set="us-household",
        product_class="home-curing-mix",
        agent="nitrate",
        kind="finished",
        basis="NaNO3",
        max_mg_per_kg=500,
        source="21 CFR 172.170(a)(2)",
        how="read",
    ),
    LimitRow(
        rule_set="eu",
        product_class="non-heat-treated",
        agent="nitrite",
        kind="added",
        basis="NO2 ion",
        max_mg_per_kg=80,
        applies_from="2025-10-09",
        source=("Regulation (EU) 2023/2108, secondary summary; 80 mg/kg ion = 120 mg/kg as NaNO2"),
        how="quoted",
    ),
    LimitRow(
        rule_set="eu",
        product_class="heat-treated",
        agent="nitrite",
        kind="added",
        basis="NO2 ion",
        max_mg_per_kg=80,
        applies_from="2025-10-09",
        source="Regulation (EU) 2023/2108, secondary summary",
        how="quoted",
    ),
    LimitRow(
        rule_set="eu",
        product_class="traditional-dry-cured",
        agent="nitrite",
        kind="residual",
        basis="NO2 ion",
        max_mg_per_kg=65,
        applies_from="2025-10-09",
        source="Regulation (EU) 2023/2108, secondary summary (was 100 as NaNO2)",
        how="quoted",
    ),
    LimitRow(
        rule_set="eu-before-2025",
        product_class="non-heat-treated",
        agent="nitrite",
        kind="added",
        basis="NaNO2",
        max_mg_per_kg=150,
        source="EFSA Journal 2017;15(6):4786 Table 5",
        how="read",
    ),
    LimitRow(
        rule_set="eu-before-2025",
        product_class="non-heat-treated",
        agent="nitrate",
        kind="added",
        basis="NaNO3",
        max_mg_per_kg=150,
        source="UK SI 2007/1778 Schedule 1",
        how="read",
    ),
    LimitRow(
        rule_set="eu-before-2025",
        product_class="traditional-dry-cured",
        agent="nitrate",
        kind="residual",
        basis="NaNO3",
        max_mg_per_kg=250,
        source="UK SI 2007/1778 Schedule 1",
        how="read",
    ),
    LimitRow(
        rule_set="ca",
        product_class="cured-meat",
        agent="nitrite+nitrate",
        kind="ingoing",
        basis="as salts",
        max_mg_per_kg=200,
        min_mg_per_kg=100,
        source="CFIA Meat Hygiene Manual ch. 4 s. 4.13.1 (archived)",
        how="read",
    ),
    LimitRow(
        rule_set="ca",
        product_class="side-bacon",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=120,
        source="CFIA, seen in quotations",
        how="quoted",
    ),
    LimitRow(
        rule_set="codex",
        product_class="heat-treated-whole",
        agent="nitrite",
        kind="residual",
        basis="NO2 ion",
        max_mg_per_kg=80,
        source="Codex GSFA INS 249, notes 32 and 288",
        how="read",
    ),
    LimitRow(
        rule_set="us",
        product_class="bacon-dry-cured-rind-on",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=180,
        source="200 less 10 % (practitioners' quotation of the rule)",
        how="derived",
    ),
    LimitRow(
        rule_set="us",
        product_class="bacon-injected-rind-on",
        agent="nitrite",
        kind="ingoing",
        basis="NaNO2",
        max_mg_per_kg=108,
        source="120 less 10 % (practitioners' quotation of the rule)",
        how="derived",
    ),
    LimitRow(
        rule_set="ca",
        product_class="slow-cured",
        agent="nitrate",
        kind="ingoing",
        basis="as salts",
        max_mg_per_kg=200,
        source=(
            "Health Canada List of Permitted Preservatives, Class 1 (mirror); the"
            " archived CFIA text counts both agents together: show both, caution"
        ),
        how="read",
    ),
    LimitRow(
        rule_set="gb",
        product_class="non-heat-treated",
        agent="nitrite",
        kind="added",
        basis="NaNO2",
        max_mg_per_kg=150,
        source="UK SI 2007/1778 Sch. 1; current status not seen",
        how="memory",
    ),
    LimitRow(
        rule_set="gb",
        product_class="traditional-dry-cured",
        agent="nitrite",
        kind="residual",
        basis="NaNO2",
        max_mg_per_kg=100,
        source="UK SI 2007/1778 Sch. 1; current status not seen",
        how="memory",
    ),
    LimitRow(
        rule_set="eu-before-2025",
        product_class="traditional-dry-cured",
        agent="nitrite",
        kind="residual",
        basis="NaNO2",
        max_mg_per_kg=100,
        source="UK SI 2007/1778 Sch. 1; 50 to 175 by product",
        how="read",
    ),
)

RULE_SET_LABELS = (
    ("us", "United States"),
    ("us-household", "United States, mixes sold for home curing"),
    ("eu", "European Union, from 9 Oct 2025"),
    ("eu-before-2025", "European Union, before 9 Oct 2025"),
    ("ca", "Canada"),
    ("gb", "Great Britain"),
    ("codex", "Codex Alimentarius"),
)

PRODUCT_CLASS_LABELS = (
    ("comminuted", "ground or chopped, sausages"),
    ("immersion", "immersion-cured, cooked later"),
    ("injected", "pumped, cooked later"),
    ("dry-cured", "dry-cured whole muscle, eaten as it is"),
    ("bacon-injected", "bacon to be fried, pumped"),
    ("bacon-immersion", "bacon to be fried, immersed"),
    ("bacon-dry-cured", "bacon to be fried, dry-cured"),
    ("bacon-dry-cured-rind-on", "bacon to be fried, dry-cured, rind on"),
    ("bacon-injected-rind-on", "bacon to be fried, pumped, rind on"),
    ("home-curing-mix", "mix sold for home curing"),
    ("non-heat-treated", "not heat-treated"),
    ("heat-treated", "heat-treated"),
    ("traditional-dry-cured", "traditional dry-cured (residual limits)"),
    ("cured-meat", "cured meat"),
    ("side-bacon", "side bacon, to be fried"),
    ("slow-cured", "slow-cured"),
    ("heat-treated-whole", "heat-treated, whole cuts"),
)

# Floors, not classes to pick: they say what too little is, whatever the product class.
FLOOR_CLASSES = ("keep-refrigerated", "shelf-stable")
