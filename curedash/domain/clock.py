"""Whether the clock of the machine can be believed; a long pause is not a wrong clock.

Times are epoch seconds.
"""

from curedash.domain.record import record

TOLERANCE_S = 600.0  # design value: 10 minutes


@record
class ClockDoubt:
    """Why the clock is not believed; entries made now are marked "time unsure"."""

    kind: str  # behind-log | before-build | drifting
    sentence: str


def clock_doubt(
    now: float,
    *,
    newest_recorded_at: float | None = None,
    built_at: float | None = None,
    wall_elapsed_s: float = 0.0,
    steady_elapsed_s: float = 0.0,
) -> ClockDoubt | None:
    """Say why the clock cannot be right, if it cannot.

    Parameters
    ----------
    now : what the clock says [epoch s]
    newest_recorded_at : when the newest entry was written, by the clock then [epoch s]
    built_at : date this program was made [epoch s]
    wall_elapsed_s, steady_elapsed_s : time since the program started, by the wall clock and by one
        that nobody can set and that runs on while the machine sleeps [s]

    Returns
    -------
    the doubt, or None; weeks without an entry are no doubt

    Source
    ------
    10 minutes are a design value

    Example
    -------
    >>> clock_doubt(1000, newest_recorded_at=5000).kind
    'behind-log'
    """
    if newest_recorded_at is not None and now < newest_recorded_at - TOLERANCE_S:
        return ClockDoubt(
            "behind-log",
            "The clock is behind the newest entry: set it; nothing becomes overdue until then.",
        )
    if built_at is not None and now < built_at:
        return ClockDoubt(
            "before-build",
            "The clock is older than this program: set it; nothing becomes overdue until then.",
        )
    if abs(wall_elapsed_s - steady_elapsed_s) > TOLERANCE_S:
        return ClockDoubt(
            "drifting",
            "The clock was moved by more than 10 minutes while this ran: "
            "check it; nothing becomes overdue until then.",
        )
    return None
