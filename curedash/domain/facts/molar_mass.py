"""Molar masses used to compare nitrite and nitrate stated as different substances [g/mol].

Source: IUPAC standard atomic weights as used before the intervals of 2009 (N 14.0067, O 15.9994,
Na 22.98977, K 39.0983, Cl 35.453), added up; how: derived. The tests compare them with two
independent libraries.
"""

NITROGEN = 14.0067
OXYGEN = 15.9994
SODIUM = 22.98977
POTASSIUM = 39.0983
CHLORINE = 35.453

NO2 = NITROGEN + 2 * OXYGEN
NO3 = NITROGEN + 3 * OXYGEN
NANO2 = SODIUM + NO2
KNO2 = POTASSIUM + NO2
NANO3 = SODIUM + NO3
KNO3 = POTASSIUM + NO3
NACL = SODIUM + CHLORINE
