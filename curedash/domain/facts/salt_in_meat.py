"""How fast salt and water move in meat: value, unit, source and how well each is known."""

# fmt: off
SALT_D_M2_S = 2.2e-10
SALT_D_LOW_M2_S = 1.5e-10
SALT_D_HIGH_M2_S = 3.0e-10
SALT_D_AT_TEMP_C = 5.0
ACTIVATION_ENERGY_J_MOL = 25_000.0
FROZEN_FACTOR = 1.3
WATER_D_M2_S = 1.0e-10
WATER_D_DRY_RIM_M2_S = 0.5e-10
GAS_CONSTANT_J_MOL_K = 8.314462618

FACTS = (
    # name, unit, source, how well known
    ("SALT_D_M2_S", "m²/s",
     "NaCl in lean muscle at 5 °C; Wood 1966, Fox 1980, Gros 1984 could not be read", "memory"),
    ("SALT_D_LOW_M2_S", "m²/s", "low end of the band of published values", "memory"),
    ("SALT_D_HIGH_M2_S", "m²/s", "high end of the band of published values", "memory"),
    ("SALT_D_AT_TEMP_C", "°C", "the temperature the three values above are given for", "memory"),
    ("ACTIVATION_ENERGY_J_MOL", "J/mol",
     "25 kJ/mol taken for NaCl. Abstracts give for pork: water 15.06 (along the fibre) and 31.86 "
     "(across), nitrate 96.44 (along) and 24.71 (across), J. Food Eng. 214:69, 2017; water 32.24, "
     "nitrite 60.32, J. Food Eng. 149:188, 2015", "memory"),
    ("FROZEN_FACTOR", "1", "frozen-and-thawed meat takes salt up 1.3 × as fast; no text named",
     "memory"),
    ("WATER_D_M2_S", "m²/s", "water in cured meat, whole muscle, fridge to cellar", "memory"),
    ("WATER_D_DRY_RIM_M2_S", "m²/s",
     "half of it: a dry rim diffuses slower; a design value, not a measurement", "memory"),
    ("GAS_CONSTANT_J_MOL_K", "J/(mol·K)", "CODATA 2018", "memory"),
)
# fmt: on
