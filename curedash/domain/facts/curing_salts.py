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


CURING_SALTS = (
    SaltRow(
        id="no1",
        name="curing salt no. 1 (pink)",
        nitrite_pct=6.25,
        nitrate_pct=0,
        nacl_pct=93.75,
        nitrate_as="",
        note="1 part in 16; mixed as 1 to 16 parts it is 5.88 %",
        source="encyclopaedia article 'Curing salt'; trade pages agree",
        how="quoted",
    ),
    SaltRow(
        id="no2",
        name="curing salt no. 2 (pink; 4 % nitrate)",
        nitrite_pct=6.25,
        nitrate_pct=4,
        nacl_pct=89.75,
        nitrate_as="label",
        note="nitrate is not standard: 0.5 to 4 % seen; read the label",
        source="trade pages agree",
        how="quoted",
    ),
    SaltRow(
        id="no2-low",
        name="curing salt no. 2 (pink; 1 % nitrate)",
        nitrite_pct=6.25,
        nitrate_pct=1,
        nacl_pct=92.75,
        nitrate_as="label",
        note="variant",
        source="trade page",
        how="quoted",
    ),
    SaltRow(
        id="nitrited-0.4",
        name="nitrited salt 0.4 %",
        nitrite_pct=0.4,
        nitrate_pct=0,
        nacl_pct=99.6,
        nitrate_as="",
        note="continental Europe",
        source="glossary 'Curing salt'",
        how="quoted",
    ),
    SaltRow(
        id="nitrited-0.5",
        name="nitrited salt 0.5 %",
        nitrite_pct=0.5,
        nitrate_pct=0,
        nacl_pct=99.5,
        nitrate_as="",
        note="continental Europe",
        source="glossary 'Curing salt'",
        how="quoted",
    ),
    SaltRow(
        id="nitrited-0.6",
        name="nitrited salt 0.6 %",
        nitrite_pct=0.6,
        nitrate_pct=0,
        nacl_pct=99.4,
        nitrate_as="",
        note="Poland, France, UK trade",
        source="practitioners' pages",
        how="quoted",
    ),
    SaltRow(
        id="ready-mix-0.5-0.5",
        name="ready mix 0.5 % + 0.5 %",
        nitrite_pct=0.5,
        nitrate_pct=0.5,
        nacl_pct=None,
        nitrate_as="label",
        note=(
            "salt and sugar base, NaCl share not stated: total salt unknown; used"
            " at its own label rate"
        ),
        source="practitioners' page",
        how="quoted",
    ),
    SaltRow(
        id="saltpetre",
        name="saltpetre",
        nitrite_pct=0,
        nitrate_pct=100,
        nacl_pct=0,
        nitrate_as="KNO3",
        note=(
            "potassium nitrate; sodium nitrate is Chile saltpetre; weigh to 0.01 "
            "g; 100 % KNO3 = 84.07 % as NaNO3 (limits are NaNO3)"
        ),
        source="common practice",
        how="memory",
    ),
    SaltRow(
        id="plain",
        name="plain salt",
        nitrite_pct=0,
        nitrate_pct=0,
        nacl_pct=100,
        nitrate_as="",
        note="",
        source="definition",
        how="derived",
    ),
)
