"""Readings from an MQTT broker, for as long as the program runs.

A message is acknowledged only after its reading is on disk, and the session outlives the
connection: what arrives while this program or the broker is down is delivered later, once.
"""

import asyncio
import random
import time
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, tzinfo
from typing import Any

from curedash.domain.errors import CuredashError, FileTrouble, Refused
from curedash.feeds.arrival import Arrivals
from curedash.feeds.broker_words import reason
from curedash.feeds.payload import Clock, Fields, parse_payload, stamped
from curedash.services.places.log_air import Sample
from curedash.store.open import Moved, OtherHousehold
from curedash.store.outside import read_text

FIRST_WAIT_S, LONGEST_WAIT_S = 1.0, 60.0
STEADY_S = 30.0  # a connection that held so long was a good one: the next wait is short again
AT_ONCE = 500  # messages in one commit
BUSY_WAIT_S = 1.0
COMPLAIN_EVERY_S = 60.0
MOST_PASSWORD_BYTES = 10_000
FAILED = 128  # subscription codes from here on mean refused


@dataclass(frozen=True, slots=True)
class Route:
    """Where the messages of a topic belong."""

    topic: str  # may hold the wildcards + and #
    place_id: int
    place: str
    fields: Fields


@dataclass(frozen=True, slots=True)
class Broker:
    """How to reach the broker; the password is read from its file at each attempt."""

    host: str
    port: int
    identifier: str
    user: str | None = None
    password_file: str | None = None
    tls: bool = False
    ca_file: str | None = None
    first_wait_s: float = FIRST_WAIT_S


@dataclass(slots=True)
class Counted:
    """What came of listening so far."""

    stored: int = 0
    unreadable: int = 0
    old: int = 0  # retained messages without a time of their own
    connections: int = 0


Store = Callable[[Sequence[Sample]], object]
SensorOf = Callable[[Route, str], int]


@dataclass(slots=True)
class Listener:
    """Listens, stores, reconnects; ends only when ``stop`` is set."""

    broker: Broker
    routes: Sequence[Route]
    sensor_of: SensorOf  # the sensor a topic of a route belongs to
    past: Callable[[int, int], Sequence[int]]  # place, sensor → its newest seconds, oldest first
    store: Store  # durable when it returns
    now: Callable[[], datetime]
    zone: tzinfo
    tell: Callable[[str], None]
    stop: asyncio.Event = field(default_factory=asyncio.Event)
    counted: Counted = field(default_factory=Counted)
    arrivals: Arrivals = field(default_factory=Arrivals)
    _clocks: dict[str, Clock] = field(default_factory=dict)
    _complained_at: float = field(default=float("-inf"))
    _reported: str = ""

    async def run(self) -> None:
        """Connect again and again, waiting longer after each failure."""
        from aiomqtt import MqttError

        wait_s = self.broker.first_wait_s
        while not self.stop.is_set():
            began = time.monotonic()
            try:
                await self._listen()
            except (Moved, OtherHousehold):
                raise  # what is not stored stays with the broker
            except (MqttError, OSError, CuredashError) as trouble:
                broker = self.broker
                words = reason(trouble, tls=broker.tls, own_ca=broker.ca_file is not None)
                self._report(f"{broker.host}: {words}; trying again.")
            if time.monotonic() - began > STEADY_S:
                wait_s = self.broker.first_wait_s
            await self._pause(wait_s * random.uniform(0.8, 1.2))
            wait_s = min(LONGEST_WAIT_S, 2 * wait_s)

    async def _listen(self) -> None:
        """One connection, until it breaks or somebody stops."""
        async with self._connection() as client:
            for route in self.routes:
                codes = await client.subscribe(route.topic, qos=1)
                if any(_failed(code) for code in codes):
                    raise Refused(f"the broker refuses the topic {route.topic}")
            self.counted.connections += 1
            self.arrivals.connected(time.monotonic())
            self._report(f"Listening to {self.broker.host}:{self.broker.port}.")
            messages = aiter(client.messages)
            while not self.stop.is_set():
                batch = await self._next_batch(client, messages)
                if batch:
                    await self._keep(client, batch)

    def _connection(self) -> Any:
        client = client_of(self.broker, self.broker.identifier, clean_session=False)
        # There is no public switch for it: acknowledge after storing, not on arrival.
        client._client.manual_ack_set(True)
        return client

    async def _next_batch(self, client: Any, messages: Any) -> list[Any]:
        """The next message and all that wait behind it; empty when somebody stops."""
        first = asyncio.ensure_future(anext(messages))
        stopped = asyncio.ensure_future(self.stop.wait())
        try:
            await asyncio.wait((first, stopped), return_when=asyncio.FIRST_COMPLETED)
            if not first.done():
                return []
            batch = [first.result()]
        finally:
            stopped.cancel()
            if not first.done():
                first.cancel()
        while len(client.messages) and len(batch) < AT_ONCE:
            batch.append(await anext(messages))
        return batch

    async def _keep(self, client: Any, batch: Sequence[Any]) -> None:
        """Store a batch, waiting as long as the file is busy, then acknowledge it."""
        samples = self._samples(batch)
        while samples:
            try:
                self.store(samples)
                break
            except (Moved, OtherHousehold):
                raise
            except FileTrouble as trouble:
                self._report(f"{trouble} The broker keeps what is not saved yet.")
                await self._pause(BUSY_WAIT_S)
                if self.stop.is_set():
                    return
        self.counted.stored += len(samples)
        for message in batch:
            if message.qos == 1:
                client._client.ack(message.mid, message.qos)

    def _samples(self, batch: Sequence[Any]) -> list[Sample]:
        found = []
        for message in batch:
            topic = str(message.topic)
            route = next((r for r in self.routes if message.topic.matches(r.topic)), None)
            if route is None:
                continue
            try:
                sample = self._sample(message, topic, route)
            except Refused as why:
                self.counted.unreadable += 1
                self._complain(topic, why)
                continue
            if sample is not None:
                found.append(sample)
        return found

    def _sample(self, message: Any, topic: str, route: Route) -> Sample | None:
        """What a message says; None for one the broker kept from an unknown time."""
        text = bytes(message.payload or b"").decode("utf-8", "replace")
        clock = self._clocks.get(topic) or Clock(self.zone, lambda: self._newest(route, topic))
        parsed = parse_payload(text, route.fields, clock)
        if message.retain and parsed.at is None:
            self.counted.old += 1
            return None
        now = self.now()
        at, own = stamped(parsed, now)
        sensor_id = self.sensor_of(route, topic)
        self._clocks[topic] = clock  # only of a topic that has a sensor: those are counted
        if not own:
            if not self.arrivals.knows(topic):
                self.arrivals.seed(topic, self.past(route.place_id, sensor_id))
            at = self.arrivals.time_of(topic, now.timestamp(), time.monotonic())
        return Sample(route.place_id, sensor_id, at, parsed.temp_c, parsed.rh_pct, own)

    def _newest(self, route: Route, topic: str) -> float:
        """The newest time of this series that is stored [epoch s]."""
        times = self.past(route.place_id, self.sensor_of(route, topic))
        return float(times[-1]) if times else 0.0

    # ── waiting and saying ────────────────────────────────────────────────────────────────

    async def _pause(self, seconds: float) -> None:
        waiting: Awaitable[bool] = asyncio.wait_for(self.stop.wait(), seconds)
        try:
            await waiting
        except TimeoutError:
            return

    def _report(self, sentence: str) -> None:
        """Say what is new; the same again and again is said once."""
        if sentence != self._reported:
            self._reported = sentence
            self.tell(sentence)

    def _complain(self, topic: str, why: Refused) -> None:
        """Quote a bad payload now and then, however many come."""
        if time.monotonic() - self._complained_at >= COMPLAIN_EVERY_S:
            self._complained_at = time.monotonic()
            self.tell(f"{topic}: {why} ({self.counted.unreadable} unreadable so far)")


def client_of(broker: Broker, identifier: str, **more: Any) -> Any:
    """A client of the broker under a name of its own; it connects when it is entered.

    Raises
    ------
    Refused: the password file or the CA file cannot be used
    """
    from aiomqtt import Client

    return Client(
        broker.host,
        broker.port,
        username=broker.user,
        password=_password(broker),
        identifier=identifier,
        tls_context=_tls(broker),
        keepalive=30,
        logger=_quiet_logger(),
        **more,
    )


def _failed(code: Any) -> bool:
    return int(getattr(code, "value", code)) >= FAILED


def _password(broker: Broker) -> str | None:
    """The first line of the password file.

    Raises
    ------
    Refused: the file cannot be read
    """
    if broker.password_file is None:
        return None
    try:
        text = read_text(broker.password_file, MOST_PASSWORD_BYTES)
    except CuredashError:
        raise Refused(f"the password file {broker.password_file} cannot be read") from None
    return text.partition("\n")[0].rstrip("\r")


def _quiet_logger() -> Any:
    """What the library has to say never reaches a screen; this module says what matters."""
    import logging

    logger = logging.getLogger("curedash.broker")
    logger.setLevel(logging.CRITICAL + 1)
    logger.propagate = False
    return logger


def _tls(broker: Broker) -> Any:
    """What checks the broker's certificate; None where the connection is not encrypted.

    Raises
    ------
    Refused: the CA file cannot be used
    """
    if not broker.tls:
        return None
    import ssl

    try:
        context = ssl.create_default_context(cafile=broker.ca_file)
    except OSError:  # also what is not a certificate
        raise Refused(f"the CA file {broker.ca_file} holds no certificate to read") from None
    if broker.ca_file is not None:
        # From Python 3.13 on certificates also have to have every extension RFC 5280 asks for; a
        # CA made at home seldom does. Signer, name and dates are checked all the same.
        context.verify_flags &= ~ssl.VERIFY_X509_STRICT
    return context
