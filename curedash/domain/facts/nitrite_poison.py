"""Nitrite as a poison: the doses that are printed, and what they come to in curing salt."""

# mg of nitrite ion for each kg of body weight; the lower end is that of children and the old.
LETHAL_ION_MG_PER_KG = (33.0, 250.0)
ILL_ION_MG_PER_KG = (0.4, 200.0)
# mg of sodium nitrite for each kg of body weight that killed an adult.
LETHAL_NANO2_MG_PER_KG = (22.0, 23.0)

_WHO = (
    "WHO, Rolling revision of the Guidelines for Drinking-water Quality, nitrate and nitrite "
    "(quoting WHO Food Additives Series 35, 1996): oral lethal dose for humans estimated at 33 to "
    "250 mg nitrite per kg body weight, the lower doses for children and elderly people; "
    "methaemoglobinaemia from 0.4 to 200 mg/kg"
)
_GRAS = (
    "GRAS Food Ingredients: Nitrates and Nitrites (Battelle for the US FDA, 1972): fatal dose of "
    "sodium nitrite 22 to 23 mg per kg of body weight"
)

FACTS = (
    ("LETHAL_ION_MG_PER_KG", "mg nitrite ion per kg of body weight", _WHO, "quoted"),
    ("ILL_ION_MG_PER_KG", "mg nitrite ion per kg of body weight", _WHO, "quoted"),
    ("LETHAL_NANO2_MG_PER_KG", "mg sodium nitrite per kg of body weight", _GRAS, "quoted"),
)

NITRITE_POISON = (
    "So much nitrite is a poison: WHO puts the lethal dose of nitrite at 33 to 250 mg/kg of body "
    "weight, the lower for children and the old, and illness from 0.4 mg/kg."
)
