"""Constants of the brine in the meat: value, unit, source and how well each is known."""

# fmt: off
PITZER_BETA0 = 0.0765
PITZER_BETA1 = 0.2664
PITZER_C_PHI = 0.00127
DEBYE_A_PHI = 0.3915
PITZER_B = 1.2
PITZER_ALPHA = 2.0
WATER_KG_MOL = 0.01801528
NACL_G_MOL = 58.443
MOST_MOLAL = 6.14
SOLUTES_LOW_MOL_KG = 1.6
SOLUTES_HIGH_MOL_KG = 3.4

FACTS = (
    # name, unit, source, how well known
    ("PITZER_BETA0", "kg/mol", "NaCl at 25 °C, Pitzer & Mayorga, J. Phys. Chem. 77:2300, 1973",
     "quoted"),
    ("PITZER_BETA1", "kg/mol", "the same", "quoted"),
    ("PITZER_C_PHI", "kg²/mol²", "the same", "quoted"),
    ("DEBYE_A_PHI", "(kg/mol)^½", "water at 25 °C", "quoted"),
    ("PITZER_B", "(kg/mol)^½", "the form of the equation", "quoted"),
    ("PITZER_ALPHA", "(kg/mol)^½", "the form of the equation for 1-1 salts", "quoted"),
    ("WATER_KG_MOL", "kg/mol", "IUPAC atomic weights", "memory"),
    ("NACL_G_MOL", "g/mol", "IUPAC atomic weights", "memory"),
    ("MOST_MOLAL", "mol/kg", "saturated NaCl at 25 °C; the equation was read to 6 mol/kg",
     "quoted"),
    ("SOLUTES_LOW_MOL_KG", "mol per kg of protein",
     "what else is dissolved in meat; a design value: of two published measurements the ham (aw "
     "0.929) lies inside the band, the neck (0.921) below it (0.933 to 0.944)", "derived"),
    ("SOLUTES_HIGH_MOL_KG", "mol per kg of protein", "the same", "derived"),
)
# fmt: on
