"""The one thread that writes: every changing service runs here, on a connection of its own.

The screen never waits for the disk. A job is a function of the connection and of who does it;
what it returned, or why it was refused, comes back to the page as a :class:`Written` message.
"""

import os
import queue
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from itertools import count
from typing import Any, TypeVar

from textual.message import Message
from textual.message_pump import MessagePump

from curedash.domain.errors import Busy, CuredashError
from curedash.domain.record import replace
from curedash.domain.times import utc_text
from curedash.store.open import Held, Moved, OtherHousehold, open_db
from curedash.store.rescue import Rescued
from curedash.store.watching import Connection
from curedash.store.work import By, login_name

Job = Callable[[Connection, By], Any]
T = TypeVar("T")
WRITER_TIMEOUT_S = 1.0  # this thread may wait for another process, the screen does not
GIVE_UP_S = 60.0  # and tries again so long; then what was typed is still on the screen


class Written(Message):
    """A job is done: committed if ``trouble`` is None, else nothing was saved."""

    bubble = False

    def __init__(self, order: "Order", result: Any, trouble: Exception | None) -> None:
        super().__init__()
        self.order = order
        self.then, self.failed, self.quiet = order.then, order.failed, order.quiet
        self.result, self.trouble = result, trouble

    @property
    def unforeseen(self) -> Exception | None:
        """What went wrong without being a refusal: a fault of the program."""
        return None if isinstance(self.trouble, CuredashError) else self.trouble

    def deliver(self) -> None:
        """Call what waits for it; an unforeseen fault goes on as what it is."""
        if self.trouble is None:
            self.then(self.result)
        elif isinstance(self.trouble, CuredashError) and self.failed is not None:
            self.failed(self.trouble)
        else:
            raise self.trouble


class Waiting(Message):
    """Another program holds the file; the job is tried again."""

    bubble = False


@dataclass(slots=True, eq=False)
class Order:
    """A job, where its answer goes, and what to do with it."""

    target: MessagePump
    job: Job
    then: Callable[[Any], None]
    failed: Callable[[CuredashError], None] | None
    quiet: bool = False  # derived data: it may wait until the person's own changes are through
    typed: str = ""  # what was typed for it, where nothing shows it any more
    saved: bool = False  # set by the writer once it is in the file


class Writer:
    """Runs jobs one after another in its thread until it is closed."""

    def __init__(
        self, db_path: str, now: Callable[[], datetime], household: str | None = None
    ) -> None:
        self._path, self._now = db_path, now
        self._household = household  # whose file this has to be; None: nobody's yet
        self._conn: Held | None = None
        self._by = By("", login_name(), "screen", f"{os.getpid()}-{os.urandom(4).hex()}")
        self._jobs: queue.PriorityQueue[tuple[int, int, Order | None]] = queue.PriorityQueue()
        self._numbers = count()
        self._thread = threading.Thread(target=self._run, name="writer", daemon=True)
        self._closed = False

    @property
    def session(self) -> str:
        """What this run of the program is called in the log."""
        return self._by.session

    def by_broker(self) -> By:
        """Who stores what a broker sends."""
        return replace(self._by, now=utc_text(self._now()), origin="broker")

    def start(self) -> None:
        """Start the thread; it opens its connection with the first job."""
        self._thread.start()

    def submit(self, order: Order) -> None:
        """Queue a job; its target gets a :class:`Written` when it is through."""
        self._jobs.put((int(order.quiet), next(self._numbers), order))

    def close(self, wait_s: float = 3.0) -> None:
        """Finish what the person changed, leave derived data, close the connection."""
        if not self._closed:
            self._closed = True
            self._jobs.put((0, next(self._numbers), None))
            if self._thread.is_alive():
                self._thread.join(wait_s)

    @property
    def rescue(self) -> str | None:
        """The file into which changes go since the household file lost its name."""
        return None if self._conn is None else self._conn.rescue

    def _run(self) -> None:
        with suppress(CuredashError):  # said with the first job, should it stay so
            self._conn = self._connect()
        while (order := self._jobs.get()[2]) is not None:
            result: Any = None
            trouble: Exception | None = None
            try:
                if self._conn is None:
                    self._conn = self._patiently(order, self._connect)
                result = self._patiently(order, partial(self._do, order.job))
                order.saved = True
            except Exception as caught:  # every fault goes to the page, which words or raises it
                trouble = caught
                order.saved = isinstance(caught, Rescued)
            order.target.post_message(Written(order, result, trouble))
        if self._conn is not None:
            self._conn.close()

    def _connect(self) -> Held:
        conn = open_db(self._path, timeout_s=WRITER_TIMEOUT_S)
        known, self._household = self._household, self._household or conn.household
        if known is not None and conn.household != known:
            conn.close()
            raise OtherHousehold(
                f"Another household is in {self._path} now; nothing was saved. Leave and open it"
                " again."
            )
        return conn

    def _do(self, job: Job) -> Any:
        """Do it; in the file that took the place of ours, should that be the same household.

        Else it is done in the file that lost its name, of which the store makes a rescue copy.
        """
        conn, by = self._conn, replace(self._by, now=utc_text(self._now()))
        assert conn is not None  # opened before the first job
        if not conn.adrift:
            try:
                return job(conn, by)
            except Moved:
                self._household = conn.household or self._household
        fresh = None
        with suppress(CuredashError):
            fresh = self._connect()
        if fresh is None:
            conn.adrift = True
            return job(conn, by)
        conn.close()
        self._conn = fresh
        return job(fresh, by)

    def _patiently(self, order: Order, what: Callable[[], T]) -> T:
        """Try again while another program writes; the page says so, what was typed stays."""
        end, told = time.monotonic() + GIVE_UP_S, False
        while True:
            try:
                return what()
            except Busy:
                if order.quiet or self._closed or time.monotonic() > end:
                    raise
                if not told:
                    order.target.post_message(Waiting())
                told = True
