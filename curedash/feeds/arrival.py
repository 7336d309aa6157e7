"""When a reading was taken that came without a time.

While the broker or this program was away, a broker keeps the messages and delivers them at once
afterwards. Stamped with their arrival they would all fall into one second; so those that come in
the first burst after connecting follow each other in the rhythm the sensor had before.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

BURST_ENDS_S = 2.0  # design value: a pause so long ends the burst
REMEMBERED = 9  # gaps of which the median is a sensor's rhythm


@dataclass(slots=True)
class _Series:
    last_at: float
    gaps: list[float] = field(default_factory=list)

    @property
    def rhythm_s(self) -> float | None:
        return sorted(self.gaps)[len(self.gaps) // 2] if len(self.gaps) > 1 else None


@dataclass(slots=True)
class Arrivals:
    """The rhythm of each topic, and whether what comes now is a burst of kept messages."""

    _series: dict[str, _Series] = field(default_factory=dict)
    _connected: float | None = None
    _newest: float = 0.0

    def connected(self, steady: float) -> None:
        """A connection stands: what comes at once now may have waited [steady clock, s]."""
        self._connected = self._newest = steady

    def knows(self, topic: str) -> bool:
        """Whether anything was heard of this topic."""
        return topic in self._series

    def seed(self, topic: str, times: Sequence[float]) -> None:
        """What is known of a topic from earlier: its newest times, oldest first [epoch s]."""
        if times:
            gaps = [after - before for before, after in pairwise(times)]
            self._series[topic] = _Series(times[-1], gaps[-REMEMBERED:])

    def time_of(self, topic: str, now: float, steady: float) -> int:
        """The second a message without a time is given.

        Parameters
        ----------
        now : the clock [epoch s]
        steady : a clock that nobody sets [s]
        """
        burst = self._connected is not None and steady - self._newest < BURST_ENDS_S
        if not burst:
            self._connected = None
        self._newest = steady
        series = self._series.get(topic)
        if series is None:
            self._series[topic] = _Series(now)
            return int(now)
        at = self._in_burst(series, now) if burst else now
        if not burst and at > series.last_at:
            series.gaps = [*series.gaps[1 - REMEMBERED :], at - series.last_at]
        series.last_at = max(at, series.last_at)
        return int(at)

    @staticmethod
    def _in_burst(series: _Series, now: float) -> float:
        rhythm_s = series.rhythm_s
        return now if rhythm_s is None else min(now, series.last_at + rhythm_s)
