"""Running a listener: in the foreground of a command, or beside the dashboard in a thread.

Only one program listens for one file: a second one is turned away by a lock in the cache folder.
"""

import asyncio
import fcntl
import hashlib
import os
import signal
import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime
from sqlite3 import Connection
from typing import IO

from curedash.domain.errors import Busy, CuredashError, FileTrouble, Refused
from curedash.domain.records import Place
from curedash.feeds.arrival import REMEMBERED
from curedash.feeds.broker import Counted, Listener, Route
from curedash.feeds.plan import Plan, broker_of, routes_of, saved
from curedash.services.household import household
from curedash.services.places import places, sensors
from curedash.services.places.log_air import AirLog
from curedash.store import paths
from curedash.store import sensors as sensor_rows
from curedash.store.open import open_db
from curedash.store.watching import reading
from curedash.store.work import By

MOST_BY_WILDCARD = 32  # design value: sensors of one place
Clock = Callable[[], datetime]
Tell = Callable[[str], None]


def make_listener(
    conn: Connection, by: Callable[[], By], plan: Plan, db_path: str, now: Clock, tell: Tell
) -> Listener:
    """A listener that stores into this connection.

    Raises
    ------
    NotFound: a place of the plan is not there
    """
    log, known = AirLog(conn), {}
    by_id = {place.id: place for place in places.all_of(conn)}

    def sensor_of(route: Route, topic: str) -> int:
        """Each topic is a sensor of its own, made when it is first heard.

        Of those that only a wildcard names a place takes so many: whoever may publish below it
        could make sensors without end.
        """
        key = route.place_id, topic
        if key not in known:
            place, name = by_id[route.place_id], topic[-sensors.MAX_NAME :]
            if any(sign in route.topic for sign in "+#"):
                _require_room(conn, place, name)
            known[key] = sensors.ensure_sensor(conn, by(), place, name).id
        return known[key]

    def past(place_id: int, sensor_id: int) -> Sequence[int]:
        since = int(now().timestamp()) - 30 * 86_400
        with reading(db_path):
            rows = sensor_rows.latest(conn, place_id, sensor_id, since, REMEMBERED + 1)
        return [row.at for row in rows]

    return Listener(
        broker=broker_of(plan, db_path),
        routes=routes_of(conn, plan),
        sensor_of=sensor_of,
        past=past,
        store=lambda samples: log.store(samples, now()),
        now=now,
        zone=household.zone(conn),
        tell=tell,
    )


def _require_room(conn: Connection, place: Place, name: str) -> None:
    there = {sensor.name for sensor in sensors.sensors_of(conn, place)}
    if name not in there and len(there) >= MOST_BY_WILDCARD:
        raise Refused(
            f"{place.name} has {len(there)} sensors already, so + and # add no more; if this topic"
            " is a sensor too, give it a --map of its own"
        )


def listen_until_stopped(listener: Listener) -> Counted:
    """Listen in the foreground until the program is asked to end."""

    async def run() -> None:
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGINT):
            loop.add_signal_handler(number, listener.stop.set)
        await listener.run()

    asyncio.run(run())
    return listener.counted


class Lock:
    """Held while listening; the operating system lets go of it when the process ends."""

    def __init__(self, db_path: str) -> None:
        name = hashlib.sha256(os.path.realpath(db_path).encode()).hexdigest()[:12]
        self._path = os.path.join(paths.cache_folder(), f"listen-{name}.lock")
        self._file: IO[str] | None = None

    def take(self) -> None:
        """Take the lock.

        Raises
        ------
        Busy: another program listens already; FileTrouble: no cache folder can be made
        """
        try:
            os.makedirs(os.path.dirname(self._path), exist_ok=True)
            self._file = open(self._path, "w", encoding="utf-8")  # noqa: SIM115
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            self.release()
            raise Busy("Another program listens to the broker for this file already.") from None
        except OSError as trouble:
            raise FileTrouble(f"Cannot write {self._path}: {trouble.strerror}.") from None

    def release(self) -> None:
        """Let go of it."""
        if self._file is not None:
            self._file.close()
            self._file = None


class BackgroundFeed:
    """The broker of the file, listened to in a thread of its own beside the dashboard."""

    def __init__(self, db_path: str, by: Callable[[], By], now: Clock, tell: Tell) -> None:
        self._path, self._by, self._now, self._tell = db_path, by, now, tell
        self._thread = threading.Thread(target=self._run, name="feed", daemon=True)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._listener: Listener | None = None
        self._stopped = False

    def start(self) -> None:
        """Start listening, if the file knows a broker and nobody else listens."""
        self._thread.start()

    def stop(self, wait_s: float = 2.0) -> None:
        """End it; what is not stored yet stays with the broker."""
        self._stopped = True
        loop, listener = self._loop, self._listener
        if loop is not None and listener is not None:
            with suppress(RuntimeError):
                loop.call_soon_threadsafe(listener.stop.set)
        if self._thread.is_alive():
            self._thread.join(wait_s)

    def _run(self) -> None:
        lock = Lock(self._path)
        try:
            conn = open_db(self._path)
            try:
                plan = saved(conn)
                if plan is None:
                    return
                lock.take()
                asyncio.run(self._listen(conn, plan))
            finally:
                conn.close()
        except Busy:
            return  # a service listens: the screen sees what it stores
        except CuredashError as trouble:
            self._tell(str(trouble))
        finally:
            lock.release()

    async def _listen(self, conn: Connection, plan: Plan) -> None:
        self._loop = asyncio.get_running_loop()
        self._listener = make_listener(conn, self._by, plan, self._path, self._now, self._tell)
        if not self._stopped:
            await self._listener.run()
