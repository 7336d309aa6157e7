"""A scanner that types like a keyboard: the code of a tag, faster than any hand, then Enter.

A capital that may begin a code waits a moment for what follows. When the whole of it comes at the
pace of a scanner it is a tag; else the keys go on in their order, as if nobody had looked.
"""

import asyncio
import re
from collections.abc import Callable

from textual import events

from curedash.domain.household.codes import LETTERS

#: between two characters; scanners take 1 to 40 ms, a hand on capitals 100 and more (design value)
GAP_S = 0.075
LINE_FEED_S = 0.5  # behind a return that ended a tag, on a machine that is busy
ENDS = ("enter", "ctrl+j")  # a scanner sends CR, LF or both
_BEGINS = re.compile(rf"[{LETTERS}]{{1,3}}(?:[1-9][0-9]{{0,3}}[a-z]{{0,3}})?")
_WHOLE = re.compile(rf"[{LETTERS}]{{1,3}}[1-9][0-9]{{0,3}}[a-z]{{0,3}}")


class Scanner:
    """Takes the keys of a tag out of those that are typed.

    Parameters
    ----------
    read : given the code of a tag
    pass_on : given a key that belongs to none
    later : does something once every key that came before was taken
    """

    def __init__(
        self,
        read: Callable[[str], None],
        pass_on: Callable[[events.Key], None],
        later: Callable[[Callable[[], None]], object],
    ) -> None:
        self._read, self._pass_on, self._later = read, pass_on, later
        self.gap_s = GAP_S
        self._held: list[events.Key] = []
        self._last_s = 0.0
        self._ended_s = 0.0
        self._waits = 0  # counts what was held, so that a late timer ends no later one

    @property
    def waits(self) -> bool:
        """Whether keys wait to be told apart."""
        return bool(self._held)

    def takes(self, key: events.Key) -> bool:
        """Whether this key is, or may become, part of a tag."""
        gap_s, self._last_s = key.time - self._last_s, key.time
        quick = gap_s <= self.gap_s
        if not self._held:
            ended_s, self._ended_s = self._ended_s, 0.0
            if key.key == "ctrl+j" and key.time - ended_s <= LINE_FEED_S:
                return True
            return not quick and self._hold(key, "")
        text = "".join(one.character or "" for one in self._held)
        if quick and key.key in ENDS and _WHOLE.fullmatch(text):
            self._held, self._ended_s = [], key.time
            self._read(text)
            return True
        if quick and self._hold(key, text):
            return True
        self.release()
        return not quick and self._hold(key, "")

    def _hold(self, key: events.Key, text: str) -> bool:
        if key.character is None or not _BEGINS.fullmatch(text + key.character):
            return False
        self._held.append(key)
        self._waits += 1
        waits = self._waits
        asyncio.get_running_loop().call_later(
            self.gap_s, lambda: self._later(lambda: self._too_late(waits))
        )
        return True

    def _too_late(self, waits: int) -> None:
        """Nothing followed in time; what came meanwhile was taken before this is asked."""
        if waits == self._waits:
            self.release()

    def release(self) -> None:
        """Give back what waited, in its order."""
        held, self._held = self._held, []
        for key in held:
            self._pass_on(key)
