"""Readings from a pipe: lines are stored as they come, many at once when many are waiting."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Protocol

from curedash.domain.errors import Refused
from curedash.feeds.payload import MAX_TEXT, Clock, Fields, parse_payload, stamped
from curedash.services.places.log_air import AirLog, Sample

CHUNK = 65_536
COMPLAINTS = 3  # lines quoted before the rest is only counted


class Source(Protocol):
    """Bytes that come when they come."""

    def read1(self, size: int = ..., /) -> bytes:
        """What is there, at least one byte; empty at the end."""


@dataclass(slots=True)
class Tally:
    """What came of a pipe."""

    stored: int = 0
    unreadable: int = 0
    same_second: int = 0  # lines without a time that a later one of the same second replaced
    marked: dict[str, int] = field(default_factory=dict)
    newest_at: int | None = None


@dataclass(slots=True)
class Pipe:
    """One pipe into one series of readings."""

    log: AirLog
    place_id: int
    sensor_id: Callable[[], int]  # asked when the first line can be read
    fields: Fields
    clock: Clock
    now: Callable[[], datetime]
    complain: Callable[[str], None]
    tally: Tally = field(default_factory=Tally)

    def run(self, source: Source) -> Tally:
        """Read to the end; every chunk that arrives is one durable commit."""
        for lines in chunks_of_lines(source):
            self._take(lines)
        return self.tally

    def _take(self, lines: list[str]) -> None:
        now = self.now()
        samples: dict[tuple[int, bool], Sample] = {}
        for line in lines:
            if not line.strip() or line.lstrip()[0] == "#":
                continue
            try:
                sample = self._sample(line, now)
            except Refused as why:
                self._unreadable(line, why)
                continue
            key = (sample.at, sample.own_time)
            self.tally.same_second += key in samples and not sample.own_time
            samples[key] = sample
        if not samples:
            return
        marked = self.log.store(list(samples.values()), now)
        self.tally.stored += len(samples)
        self.tally.newest_at = max(self.tally.newest_at or 0, *(s.at for s in samples.values()))
        for reason, count in marked.items():
            self.tally.marked[reason] = self.tally.marked.get(reason, 0) + count

    def _sample(self, line: str, now: datetime) -> Sample:
        parsed = parse_payload(line, self.fields, self.clock)
        at, own = stamped(parsed, now)
        return Sample(self.place_id, self.sensor_id(), at, parsed.temp_c, parsed.rh_pct, own)

    def _unreadable(self, line: str, why: Refused) -> None:
        if self.tally.stored == 0 and self.tally.unreadable == 0 and _is_head(line):
            return
        self.tally.unreadable += 1
        if self.tally.unreadable <= COMPLAINTS:
            self.complain(str(why))


def _is_head(line: str) -> bool:
    """A first line of names, as tables have: no digit in it, and more than one word."""
    return not any(ch.isdigit() for ch in line) and any(ch in line for ch in ",;\t")


def chunks_of_lines(source: Source) -> Iterator[list[str]]:
    """The lines of each chunk as it arrives; a line without end is cut, never kept growing."""
    rest = b""
    while chunk := source.read1(CHUNK):
        *whole, rest = (rest + chunk).split(b"\n")
        if whole:
            yield [line.decode("utf-8", "replace") for line in whole]
        rest = rest[: MAX_TEXT + 1]
    if rest:
        yield [rest.decode("utf-8", "replace")]
