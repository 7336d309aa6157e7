"""Numbers about air: limits for places, humid air, sensors. Household limits are design values."""

_DESIGN = "this program's own figure, not from any standard; you may change it"

# stage: (24 h mean above [°C], 6 h mean above [°C], 24 h mean below [°C]); ferment has degree-hours
AIR_LIMITS: dict[str, tuple[float | None, float | None, float | None]] = {
    "in-cure": (5.0, 7.0, 2.0),
    "salt-rest": (5.0, 7.0, None),
    "equalising": (5.0, 7.0, None),
    "on-hold": (5.0, 7.0, None),
    "keeping": (5.0, 7.0, None),
    "drying": (16.0, 20.0, -1.0),
}
AIR_LIMITS_SOURCE = _DESIGN

SENSOR_SILENT_H = 3.0
HAND_LOG_SILENT_H = 48.0
HAND_GAP_H = 6.0  # readings by hand further apart do not make a mean of 6 h, nor a failure
GRACE_AFTER_LOADING_H = 72.0
CLEARS_INSIDE_C = 0.5  # an open alert clears only this far inside its limit
CLEARS_INSIDE_RH_PCT = 2.0
SENSORS_APART_C = 2.0  # two sensors of one place, means of a day
SENSORS_APART_RH_PCT = 10.0
ENOUGH_COVERED = 0.5  # share of a window that readings must cover
WATCH_SOURCE = _DESIGN

POWER_ON_C = 85.0
POWER_ON_SOURCE = (
    "power-on value of the temperature register of a common one-wire sensor, from its data sheet "
    "(memory)"
)
NOT_CONNECTED_C = -127.0
NOT_CONNECTED_SOURCE = "value reported by common one-wire libraries when nothing answers (memory)"
SENSOR_RANGE_C = (-40.0, 80.0)  # design value: what small digital sensors can measure
NO_AIR_BELOW_RH_PCT = 1.0  # design value: drier than any room; also a share typed as 0.78
FLAT_READINGS, FLAT_H = 24, 12.0  # design values: the same pair again and again
STUCK_AT_END_READINGS, STUCK_AT_END_H = 6, 6.0  # design values: exactly 0 or 100 %

# Saturation over liquid water: MAGNUS_HPA · exp(MAGNUS_A · t / (MAGNUS_B + t)), −40 to 50 °C
MAGNUS_HPA, MAGNUS_A, MAGNUS_B = 6.1094, 17.625, 243.04
MAGNUS_SOURCE = (
    "Alduchov and Eskridge, J. Appl. Meteorol. 35 (1996) 601, equation 21 (quoted); "
    "within 0.4 % from −40 to 50 °C"
)

# Relative humidity over a saturated solution of table salt: (°C, %)
SALT_TEST_RH: tuple[tuple[float, float], ...] = (
    (0.0, 75.51),
    (5.0, 75.65),
    (10.0, 75.67),
    (15.0, 75.61),
    (20.0, 75.47),
    (25.0, 75.29),
    (30.0, 75.09),
    (35.0, 74.87),
    (40.0, 74.68),
)
SALT_TEST_SOURCE = (
    "Greenspan, J. Res. Natl. Bur. Stand. 81A (1977) 89, table of sodium chloride "
    "(25 °C read, the other rows memory)"
)
