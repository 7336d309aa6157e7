"""The look after the file once a day: quick check and daily copy, beside the screen."""

import threading
from collections.abc import Callable
from datetime import date, datetime

from curedash.services.file.backup import look_after


class DailyCheck:
    """Looks after one file in a thread of its own; ``tell`` is called there with a sentence."""

    def __init__(
        self, db_path: str, now: Callable[[], datetime], tell: Callable[[str], None]
    ) -> None:
        self._path, self._now, self._tell = db_path, now, tell
        self._day: date | None = None

    def look(self, today: date) -> None:
        """Begin if this day was not looked after yet; returns at once."""
        if today == self._day:
            return
        self._day = today
        threading.Thread(target=self._run, name="care", daemon=True).start()

    def _run(self) -> None:
        sentence = look_after(self._path, self._now()).sentence
        if sentence is not None:
            self._tell(sentence)
