"""Which product class a piece belongs to: rule set × method × cut × end use → class.

A row fits where each of its columns does; an empty column fits all. ``species`` names groups of
:mod:`curedash.domain.facts.species`. ``also`` are classes of the same rule set that may be picked
for such a piece without a question. Where no row fits, nothing is compared.
"""

from typing import NamedTuple


class ClassRow(NamedTuple):
    """One row: what it fits, the class that follows from it, and why."""

    rule_set: str
    methods: tuple[str, ...]
    cut: str  # "belly", "other" than belly, or "" for any
    eaten: tuple[str, ...]  # how it is eaten; empty for any
    skin: bool | None  # True: skin (rind) on; None: either
    product_class: str
    also: tuple[str, ...]
    why: str
    source: str
    how: str


_DRY = ("equilibrium", "pack", "salt-box")
_BRINE = ("immersion", "equilibrium-brine")
_PUMPED = ("injection",)
_GROUND = ("ground",)
_WHOLE = (*_DRY, *_BRINE, *_PUMPED)
_ANY = (*_WHOLE, *_GROUND)

_CFR_21 = "9 CFR 424.21(c), table of curing agents"
_CFR_22 = "9 CFR 424.22(b)"
_RIND = "9 CFR 424.22(b), 10 % less with rind on (practitioners' quotation)"
_HANDBOOK = "FSIS Handbook 7620.3 p.12"
_EU_2023 = "Regulation (EU) 2023/2108, food category 08.3.1 (secondary summaries)"
_EU_OLD = "UK SI 2007/1778 Schedule 1; EFSA Journal 2017;15(6):4786 Table 5"
_CFIA = "CFIA Meat Hygiene Manual ch. 4 s. 4.13.1 (archived)"
_COOKED = ("cooked-soon", "fried")


# fmt: off
def _us(
    methods: tuple[str, ...], cut: str, eaten: tuple[str, ...], skin: bool | None,
    product_class: str, why: str, source: str, how: str = "quoted",
) -> ClassRow:
    return ClassRow("us", methods, cut, eaten, skin, product_class, (), why, source, how)


CLASS_ROWS = (
    _us(_GROUND, "", (), None, "comminuted", "ground meat is chopped meat", _CFR_21),
    _us(_PUMPED, "belly", ("fried",), False, "bacon-injected", "pumped belly to be fried is bacon",
        _CFR_22),
    _us(_PUMPED, "belly", ("fried",), True, "bacon-injected-rind-on",
        "pumped belly to be fried is bacon, rind on", _RIND, "derived"),
    _us(_BRINE, "belly", ("fried",), None, "bacon-immersion",
        "belly in a brine, to be fried, is bacon", _CFR_22),
    _us(_DRY, "belly", ("fried",), False, "bacon-dry-cured", "dry-cured belly to be fried is bacon",
        _CFR_22),
    _us(_DRY, "belly", ("fried",), True, "bacon-dry-cured-rind-on",
        "dry-cured belly to be fried is bacon, rind on", _RIND, "derived"),
    _us(_PUMPED, "belly", ("as-is", "cooked-soon"), None, "injected", "it is pumped", _HANDBOOK),
    _us(_BRINE, "belly", ("as-is", "cooked-soon"), None, "immersion", "it lies in a brine",
        _HANDBOOK),
    _us(_DRY, "belly", ("as-is", "cooked-soon"), None, "dry-cured", "it is cured dry", _HANDBOOK),
    _us(_PUMPED, "other", (), None, "injected", "it is pumped", _HANDBOOK),
    _us(_BRINE, "other", (), None, "immersion", "it lies in a brine", _HANDBOOK),
    _us(_DRY, "other", (), None, "dry-cured", "it is cured dry", _HANDBOOK),
    ClassRow("us-household", _ANY, "", (), None, "home-curing-mix", (),
             "it is cured at home", "21 CFR 172.170, 172.175", "read"),
    ClassRow("eu", _ANY, "", ("as-is",), None, "non-heat-treated", (),
             "it is not heated when it is made", _EU_2023, "quoted"),
    ClassRow("eu", _ANY, "", _COOKED, None, "non-heat-treated", ("heat-treated",),
             "it is sold or kept raw and heated before eating", _EU_2023, "quoted"),
    ClassRow("eu-before-2025", _ANY, "", (), None, "non-heat-treated", (),
             "it is not heated when it is made", _EU_OLD, "read"),
    ClassRow("gb", _ANY, "", (), None, "non-heat-treated", (),
             "it is not heated when it is made", "UK SI 2007/1778 Sch. 1; current status not seen",
             "memory"),
    ClassRow("ca", _ANY, "other", (), None, "cured-meat", ("slow-cured",), "it is cured meat",
             _CFIA, "read"),
    ClassRow("ca", _ANY, "belly", ("as-is", "cooked-soon"), None, "cured-meat", ("slow-cured",),
             "it is cured meat", _CFIA, "read"),
    ClassRow("ca", _ANY, "belly", ("fried",), None, "side-bacon", (),
             "belly to be fried is side bacon", "CFIA, seen in quotations", "quoted"),
    ClassRow("codex", _WHOLE, "", _COOKED, None, "heat-treated-whole", (),
             "a whole cut that is heated", "Codex GSFA INS 249, food category 08.2.2", "memory"),
)

# Limits of a rule set that count what is left in the product: no dose tells them.
NOT_COMPUTED = (
    ("us", "nitrite in the finished product (200 mg/kg as NaNO2, 9 CFR 424.21(c), quoted)"),
    ("us-household", "nitrite and nitrate in the finished product (21 CFR 172.170, 172.175)"),
    ("eu", "nitrite and nitrate left over the shelf life (Regulation (EU) 2023/2108 has residual"
     " limits; its annex was not read)"),
    ("eu-before-2025", "residual limits of traditional products (UK SI 2007/1778 Schedule 1)"),
    ("gb", "residual limits of traditional products (current status not seen)"),
    ("codex", "nitrite left in the product (Codex GSFA INS 249, residual)"),
)
# fmt: on
