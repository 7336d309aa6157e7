"""Raw meat as it is bought: water and protein by cut [% of mass], for estimates."""

from typing import NamedTuple


class Composition(NamedTuple):
    """Water and protein of one raw cut [% of mass]."""

    water_pct: float
    protein_pct: float


SOURCE = "USDA National Nutrient Database for Standard Reference, the row named; how: quoted"

# fmt: off
COMPOSITION = {
    "beef eye of round": Composition(73.43, 22.60),
    "pork top loin": Composition(72.93, 22.41),
    "pork Boston butt, lean": Composition(74.31, 18.73),
    "pork leg, lean": Composition(72.90, 20.48),
    "pork belly": Composition(36.74, 9.34),
    "pork jowl": Composition(22.19, 6.38),
    "duck, meat and skin": Composition(48.50, 11.49),
    "deer": Composition(73.57, 22.96),
    "lamb leg, lean": Composition(74.11, 20.56),
}
# fmt: on
