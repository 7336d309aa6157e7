"""What the forecast believes before the first weigh-in, and the constants of its drying body.

Five numbers tell one piece from another, all natural logarithms but the last: diffusivity of
water at the start [1e-10 m²/s], film coefficient at the surface [1e-3 m/d], how far the film
weakens (share left = exp(−exp(w))), days it takes to weaken, and what the place's humidity is off
by. A household's mean lies around POPULATION_MEAN with BETWEEN; its pieces lie around that mean
with WITHIN.
"""

# fmt: off
WATER_ACTIVITY = 0.09      # aw = exp(-WATER_ACTIVITY / (kg water per kg dry matter))
DIFFUSION_FALL = 8.5       # D falls by exp(-8.5 × loss of moisture content, wet basis)
WARMTH_PER_K = 0.035       # both D and film grow by 3.5 % per kelvin around 8 °C
WARMTH_AT_C = 8.0

POPULATION_MEAN = (0.20, 0.41, -1.20, 2.20, 0.0)
BETWEEN = (
    (0.251, 0.055, -0.098, 0.012, 0.0),
    (0.055, 0.220, 0.247, -0.098, 0.0),
    (-0.098, 0.247, 0.631, -0.170, 0.0),
    (0.012, -0.098, -0.170, 0.063, 0.0),
    (0.0, 0.0, 0.0, 0.0, 1.0e-4),
)
WITHIN = (
    (0.371, 0.006, 0.012, 0.048, 0.0),
    (0.006, 0.020, 0.021, -0.008, 0.0),
    (0.012, 0.021, 0.087, 0.021, 0.0),
    (0.048, -0.008, 0.021, 0.062, 0.0),
    (0.0, 0.0, 0.0, 0.0, 1.0e-4),
)
NO_AIR_RH_PCT = 72.0
NO_AIR_TEMP_C = 8.0
NO_AIR_RH_SD_PCT = 4.5
# A weak prior, to read what a finished piece by itself says.
WEAK_SD = (1.1, 0.7, 1.3, 0.6, 0.02)
NO_SIZE_LOG_SD = 0.18      # of a diameter guessed from the weight
DEFAULT_MOISTURE_PCT = 72.0
MEAT_DENSITY_KG_M3 = 1060.0

HAND_G = 1.2               # spread of a careful weigh-in, besides the scale's division
DIVISION_SHARE = 0.9       # of a division that a kitchen scale is off by
STUDENT_NU = 6.0           # slips: heavy tails
WANDER_PER_ROOT_DAY = 0.0010   # of the base, day-to-day drift of the surface
MISFIT_SHARE = 0.06        # of an increment, what the body cannot follow
FUTURE_WANDER_PER_ROOT_DAY = 0.0012
FUTURE_MISFIT_SHARE = 0.15
FUTURE_MISFIT_NO_AIR = 0.20    # where nobody measures the air
FUTURE_MISFIT_NO_SIZE = 0.25   # nor the piece
PLACE_DAYS = 10.0          # days of air that a place's own mean counts for

# Sixteen points of the unit normal in five dimensions; with their mirror images mean 0, variance 1.
NORMAL_POINTS = (
    (0.349, 0.660, 2.290, 0.504, -0.231),
    (-0.875, -0.232, -0.419, -1.181, 0.359),
    (-0.468, 0.622, -0.442, 1.800, 1.389),
    (1.132, -1.388, -1.139, -0.406, -1.121),
    (1.226, 1.156, 0.320, -0.097, -2.315),
    (-0.826, -1.001, 0.796, 0.963, 0.801),
    (-0.761, 0.118, -0.906, -0.673, 0.008),
    (0.478, -0.128, 0.553, 0.148, -0.537),
    (0.669, 2.508, -1.304, 0.830, 0.611),
    (-0.527, -1.238, 0.633, -0.273, -0.140),
    (-1.735, 0.298, -0.065, 0.134, -0.766),
    (2.345, -0.301, 0.233, -1.090, 1.665),
    (-0.500, 0.723, -0.217, -2.283, 0.895),
    (-0.305, -0.259, -1.498, 0.425, -1.231),
    (-0.440, 0.917, 1.664, -0.599, -0.456),
    (0.919, -1.182, -0.064, 1.347, 0.253),
)
# The middles of eight equal slices of the unit normal.
NORMAL_SLICES = (-1.534, -0.887, -0.489, -0.157, 0.157, 0.489, 0.887, 1.534)

# Days over (thickness as hung [mm] squared × loss [0-1]): low, middle and high of 80 %.
RULE_DAYS_PER_MM2 = (0.008, 0.019, 0.070)
RULE_LEAST_LOSS = 0.01     # of a first stretch that tells the pace
RULE_BEND = 1.4            # days grow with the loss to this power, from the first stretch on
RULE_BENT = 1.1
RULE_PACE_SHARE = 0.75     # what the pace counts for beside the thickness, in logarithms
RULE_PACE_BAND = (1.6, 2.3)  # sooner and later of 80 %

FACTS = (
    # name, unit, source, how well known
    ("POPULATION_MEAN BETWEEN WITHIN", "see above",
     "expectation maximisation over 320 simulated pieces of 40 households, full curves", "derived"),
    ("WATER_ACTIVITY DIFFUSION_FALL", "1", "best of a scan over the same pieces", "derived"),
    ("WARMTH_PER_K WARMTH_AT_C", "1/K, °C",
     "about 25 kJ/mol at 8 °C, as for salt in domain/facts/salt_in_meat", "derived"),
    ("NO_AIR_RH_PCT NO_AIR_TEMP_C NO_AIR_RH_SD_PCT", "%, °C, %",
     "mean and spread of the places of those households", "derived"),
    ("WEAK_SD NO_SIZE_LOG_SD DEFAULT_MOISTURE_PCT PLACE_DAYS", "1", "design value", "derived"),
    ("MEAT_DENSITY_KG_M3", "kg/m³", "lean meat", "memory"),
    ("HAND_G DIVISION_SHARE STUDENT_NU", "g, 1, 1",
     "the noise of those weigh-ins: 1–2 g and 3 % slips", "derived"),
    ("WANDER_PER_ROOT_DAY MISFIT_SHARE", "1/√d, 1", "scan, cross-validated by household",
     "derived"),
    ("FUTURE_WANDER_PER_ROOT_DAY FUTURE_MISFIT_SHARE FUTURE_MISFIT_NO_AIR "
     "FUTURE_MISFIT_NO_SIZE", "1/√d, 1, 1, 1",
     "set so that 80 % windows hold, cross-validated by household", "derived"),
    ("NORMAL_POINTS NORMAL_SLICES", "1", "scrambled Sobol points made orthonormal", "derived"),
    ("RULE_DAYS_PER_MM2", "d/mm²",
     "salami of 35, 55, 80 mm in 30, 60, 75 d to 30-35 % (PMC9955731 Table 1) and home logs and "
     "pairs of start and end in tests/data/series/published.csv: biltong, duck, lamb, elk, loin; "
     "between 0.0074 and 0.070, a 60-week ham apart", "derived"),
    ("RULE_LEAST_LOSS RULE_BEND RULE_BENT RULE_PACE_SHARE RULE_PACE_BAND", "1",
     "days to the target over days to the second weigh-in, those logs and tests/data/series; the "
     "band so that on two thirds of each series 75 % or more lie inside, 14 % at most before or "
     "after", "derived"),
)
# fmt: on
