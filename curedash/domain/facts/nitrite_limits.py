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


# fmt: off
NITRITE_LIMITS = (
    LimitRow("us", "comminuted", "nitrite", "ingoing", "NaNO2", 156.25,
             "FSIS Processing Inspectors' Calculations Handbook (Directive 7620.3, rev. 1995) "
             "p.12; 0.25 oz per 100 lb, the handbook prints the rounded 156", "quoted"),
    LimitRow("us", "immersion", "nitrite", "ingoing", "NaNO2", 200,
             "FSIS Handbook 7620.3 p.12", "quoted"),
    LimitRow("us", "injected", "nitrite", "ingoing", "NaNO2", 200,
             "FSIS Handbook 7620.3 p.12", "quoted"),
    LimitRow("us", "dry-cured", "nitrite", "ingoing", "NaNO2", 625,
             "FSIS Handbook 7620.3 p.12 and pp.24-27", "quoted"),
    LimitRow("us", "bacon-injected", "nitrite", "ingoing", "NaNO2", 120,
             "9 CFR 424.22(b)(1), via FSIS Bacon and Food Safety; with 550 mg/kg sodium ascorbate"
             " or erythorbate", "quoted"),
    LimitRow("us", "bacon-immersion", "nitrite", "ingoing", "NaNO2", 120,
             "9 CFR 424.22(b)(1), via FSIS Bacon and Food Safety", "quoted"),
    LimitRow("us", "bacon-dry-cured", "nitrite", "ingoing", "NaNO2", 200,
             "9 CFR 424.22(b)(1), via FSIS Bacon and Food Safety; 10 % less with rind on",
             "quoted"),
    LimitRow("us", "bacon-dry-cured", "nitrate", "ingoing", "NaNO3", 0,
             "Mississippi State Univ. Extension P2648: USDA does not allow sodium nitrate in bacon",
             "read"),
    LimitRow("us", "keep-refrigerated", "nitrite", "ingoing", "NaNO2", None,
             "FSIS Handbook 7620.3 p.12", "quoted", min_mg_per_kg=120),
    LimitRow("us", "shelf-stable", "nitrite", "ingoing", "NaNO2", None,
             "FSIS Handbook 7620.3 p.12: some preservative effect; no legal minimum", "quoted",
             min_mg_per_kg=40),
    LimitRow("us", "comminuted", "nitrate", "ingoing", "NaNO3", 1718.75,
             "9 CFR 424.21(c): 2 3/4 oz to 100 lb chopped meat (in quotations of the text)",
             "quoted"),
    LimitRow("us", "immersion", "nitrate", "ingoing", "NaNO3", 700,
             "FSIS Handbook 7620.3 (7 lb per 100 gal pickle)", "memory"),
    LimitRow("us", "injected", "nitrate", "ingoing", "NaNO3", 700,
             "FSIS Handbook 7620.3 (7 lb per 100 gal pickle)", "memory"),
    LimitRow("us", "dry-cured", "nitrate", "ingoing", "NaNO3", 2187.5,
             "9 CFR 424.21(c): 3 1/2 oz to 100 lb, dry cure (in quotations of the text)", "quoted"),
    LimitRow("us-household", "home-curing-mix", "nitrite", "finished", "NaNO2", 200,
             "21 CFR 172.175(a)(3)", "read"),
    LimitRow("us-household", "home-curing-mix", "nitrate", "finished", "NaNO3", 500,
             "21 CFR 172.170(a)(2)", "read"),
    LimitRow("eu", "non-heat-treated", "nitrite", "added", "NO2 ion", 80,
             "Regulation (EU) 2023/2108, secondary summary; 80 mg/kg ion = 120 mg/kg as NaNO2",
             "quoted", applies_from="2025-10-09"),
    LimitRow("eu", "heat-treated", "nitrite", "added", "NO2 ion", 80,
             "Regulation (EU) 2023/2108, secondary summary", "quoted", applies_from="2025-10-09"),
    LimitRow("eu", "traditional-dry-cured", "nitrite", "residual", "NO2 ion", 65,
             "Regulation (EU) 2023/2108, secondary summary (was 100 as NaNO2)", "quoted",
             applies_from="2025-10-09"),
    LimitRow("eu-before-2025", "non-heat-treated", "nitrite", "added", "NaNO2", 150,
             "EFSA Journal 2017;15(6):4786 Table 5", "read"),
    LimitRow("eu-before-2025", "non-heat-treated", "nitrate", "added", "NaNO3", 150,
             "UK SI 2007/1778 Schedule 1", "read"),
    LimitRow("eu-before-2025", "traditional-dry-cured", "nitrate", "residual", "NaNO3", 250,
             "UK SI 2007/1778 Schedule 1", "read"),
    LimitRow("ca", "cured-meat", "nitrite+nitrate", "ingoing", "as salts", 200,
             "CFIA Meat Hygiene Manual ch. 4 s. 4.13.1 (archived)", "read", min_mg_per_kg=100),
    LimitRow("ca", "side-bacon", "nitrite", "ingoing", "NaNO2", 120,
             "CFIA, seen in quotations", "quoted"),
    LimitRow("codex", "heat-treated-whole", "nitrite", "residual", "NO2 ion", 80,
             "Codex GSFA INS 249, notes 32 and 288", "read"),
    LimitRow("us", "bacon-dry-cured-rind-on", "nitrite", "ingoing", "NaNO2", 180,
             "200 less 10 % (practitioners' quotation of the rule)", "derived"),
    LimitRow("us", "bacon-injected-rind-on", "nitrite", "ingoing", "NaNO2", 108,
             "120 less 10 % (practitioners' quotation of the rule)", "derived"),
    LimitRow("ca", "slow-cured", "nitrate", "ingoing", "as salts", 200,
             "Health Canada List of Permitted Preservatives, Class 1 (mirror); the archived CFIA "
             "text counts both agents together: show both, caution", "read"),
    LimitRow("gb", "non-heat-treated", "nitrite", "added", "NaNO2", 150,
             "UK SI 2007/1778 Sch. 1; current status not seen", "memory"),
    LimitRow("gb", "traditional-dry-cured", "nitrite", "residual", "NaNO2", 100,
             "UK SI 2007/1778 Sch. 1; current status not seen", "memory"),
    LimitRow("eu-before-2025", "traditional-dry-cured", "nitrite", "residual", "NaNO2", 100,
             "UK SI 2007/1778 Sch. 1; 50 to 175 by product", "read"),
)
# fmt: on

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
