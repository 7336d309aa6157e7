"""Exact sizes of the kitchen's units, each fixed by definition."""

_AGREEMENT = (
    "Exact by definition: international yard and pound agreement of 1959, "
    "as printed in NIST Special Publication 811 (2008), Appendix B.8"
)
_SI = "Exact by definition: SI prefix (BIPM, The International System of Units, 9th edition)"
_SCALE = "Exact by definition: NIST Special Publication 811 (2008), Appendix B.8 and B.9"

G_PER_KG = 1000.0
G_PER_LB = 453.59237
G_PER_OZ = 28.349523125  # a sixteenth of the pound
MM_PER_CM = 10.0
MM_PER_IN = 25.4
F_FREEZING = 32.0
C_PER_F = 5 / 9

# (name, value, unit, source, how it is known)
FACTS: tuple[tuple[str, float, str, str, str], ...] = (
    ("G_PER_KG", G_PER_KG, "g/kg", _SI, "memory"),
    ("G_PER_LB", G_PER_LB, "g/lb", _AGREEMENT, "memory"),
    ("G_PER_OZ", G_PER_OZ, "g/oz", _AGREEMENT, "memory"),
    ("MM_PER_CM", MM_PER_CM, "mm/cm", _SI, "memory"),
    ("MM_PER_IN", MM_PER_IN, "mm/in", _AGREEMENT, "memory"),
    ("F_FREEZING", F_FREEZING, "°F", _SCALE, "memory"),
    ("C_PER_F", C_PER_F, "°C/°F", _SCALE, "memory"),
)
