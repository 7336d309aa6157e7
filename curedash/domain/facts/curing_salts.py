"""Curing salts as sold: share of nitrite, nitrate and salt [% of mass], with where that was read.

`nitrate_as` is "label" where the label's own figure is meant (taken as NaNO3), "KNO3" for
saltpetre.
`how` says how well each row is known: read, quoted, derived or memory.
"""

from typing import NamedTuple


class SaltRow(NamedTuple):
    """One row of the shelf of generic curing salts."""

    id: str
    name: str
    nitrite_pct: float
    nitrate_pct: float
    nacl_pct: float | None
    nitrate_as: str
    note: str
    source: str
    how: str


# fmt: off
CURING_SALTS = (
    SaltRow("no1", "curing salt no. 1 (pink)", 6.25, 0, 93.75, "",
            "1 part in 16; mixed as 1 to 16 parts it is 5.88 %",
            "encyclopaedia article 'Curing salt'; trade pages agree", "quoted"),
    SaltRow("no2", "curing salt no. 2 (pink; 4 % nitrate)", 6.25, 4, 89.75, "label",
            "nitrate is not standard: 0.5 to 4 % seen; read the label",
            "trade pages agree", "quoted"),
    SaltRow("no2-low", "curing salt no. 2 (pink; 1 % nitrate)", 6.25, 1, 92.75, "label",
            "variant",
            "trade page", "quoted"),
    SaltRow("nitrited-0.4", "nitrited salt 0.4 %", 0.4, 0, 99.6, "",
            "continental Europe",
            "glossary 'Curing salt'", "quoted"),
    SaltRow("nitrited-0.5", "nitrited salt 0.5 %", 0.5, 0, 99.5, "",
            "continental Europe",
            "glossary 'Curing salt'", "quoted"),
    SaltRow("nitrited-0.6", "nitrited salt 0.6 %", 0.6, 0, 99.4, "",
            "Poland, France, UK trade",
            "practitioners' pages", "quoted"),
    SaltRow("ready-mix-0.5-0.5", "ready mix 0.5 % + 0.5 %", 0.5, 0.5, None, "label",
            "salt and sugar base, NaCl share not stated: total salt unknown; used at its own "
            "label rate",
            "practitioners' page", "quoted"),
    SaltRow("saltpetre", "saltpetre", 0, 100, 0, "KNO3",
            "potassium nitrate; sodium nitrate is Chile saltpetre; weigh to 0.01 g; 100 % KNO3 = "
            "84.07 % as NaNO3 (limits are NaNO3)",
            "common practice", "memory"),
    SaltRow("plain", "plain salt", 0, 0, 100, "",
            "",
            "definition", "derived"),
)
# fmt: on
