"""Degree-hours a fermenting sausage may gather before pH 5.3, by its highest temperature [°F].

The printed base is 60 °F. `max_hours` is the check at constant temperature, `limit_f` the limit in
degree-hours Fahrenheit for that temperature.
"""

from curedash.domain.record import record


@record
class DegreeHourRow:
    """One printed line of the fermentation table."""

    highest_temp_f: int
    max_hours: int
    degree_hours_f: int
    limit_f: int
    source: str
    how: str


BASE_TEMP_F = 60
TARGET_PH = 5.3
_LOG_FORM = "fermentation log form dated 2012-11-23 (issuer not shown); base 60 F, target pH 5.3"

DEGREE_HOUR_TABLE = (
    DegreeHourRow(75, 80, 1200, 1200, _LOG_FORM, "read"),
    DegreeHourRow(80, 60, 1200, 1200, _LOG_FORM, "read"),
    DegreeHourRow(85, 48, 1200, 1200, _LOG_FORM, "read"),
    DegreeHourRow(90, 33, 990, 1000, _LOG_FORM, "read"),
    DegreeHourRow(95, 28, 980, 1000, _LOG_FORM, "read"),
    DegreeHourRow(100, 25, 1000, 1000, _LOG_FORM, "read"),
    DegreeHourRow(105, 20, 900, 900, _LOG_FORM, "read"),
    DegreeHourRow(110, 18, 900, 900, _LOG_FORM, "read"),
)

# Limits by the highest temperature [°F]: below 90, from 90 to 100, above 100 (read off the table).
LIMITS_F = ((90, 1200), (100, 1000), (None, 900))
