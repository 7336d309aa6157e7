"""The state of lots and places on the broker, kept there (retained) for a home dashboard.

Topics below a base (``curedash``): ``needs/state``, ``lot/CODE/state``, ``place/NUMBER/state``,
each one JSON document. What is no longer open is cleared. Announcements follow the discovery
convention of home dashboards: ``PREFIX/sensor/…/config``.
"""

from __future__ import annotations

import asyncio
import json
import re
from collections.abc import Mapping
from datetime import datetime
from sqlite3 import Connection
from typing import Any

from curedash.domain.errors import FileTrouble, Refused, UsageError
from curedash.domain.needs.lot_needs import gathered
from curedash.domain.times import utc_text
from curedash.feeds.broker import client_of
from curedash.feeds.broker_words import reason
from curedash.feeds.plan import broker_of, saved
from curedash.present.documents import lot_document, need_document
from curedash.present.places.air import air_document
from curedash.present.words import plain
from curedash.services.places.air_view import air_of_places
from curedash.services.rack import read_rack

WAIT_S = 15.0  # for the whole of one publication
SWEEP_S = 5.0  # for what the broker still holds of this household
EXPIRES_AFTER_LOOKS, LEAST_EXPIRY_S = 5, 600

#: of a lot: name, value in its document, unit, kind
LOT_SENSORS = (
    ("stage", "stage", None, None),
    ("loss", "loss_pct", "%", None),
    ("to go", "to_go_g", "g", "weight"),
    ("weight", "last_net_g", "g", "weight"),
)
PLACE_SENSORS = (
    ("temperature", "last.temp_c", "°C", "temperature"),
    ("humidity", "last.rh_pct", "%", "humidity"),
)
NEED_SENSORS = (("act", "act", None, None), ("today", "today", None, None))


class StatePublisher:
    """Publishes to the broker kept in the file and confirmed on this machine.

    Parameters
    ----------
    base : the topic everything is below
    announce : the prefix announcements go to, None for none
    every_s : how often it publishes [s]; a dashboard calls a value unknown after five times that

    Raises
    ------
    Refused: no broker is kept, or it was not confirmed on this machine; UsageError: no topic
    """

    def __init__(
        self,
        conn: Connection,
        db_path: str,
        *,
        base: str = "curedash",
        announce: str | None = None,
        every_s: float = 60.0,
    ) -> None:
        for topic in (base, announce or "x"):
            if not re.fullmatch(r"[\w-]+(/[\w-]+)*", topic):
                raise UsageError(f"“{topic[:60]}” is not a topic to publish below; e.g. curedash.")
        plan = saved(conn)
        if plan is None:
            raise Refused(
                "No broker is saved in the file; 'curedash air listen --broker HOST … --save' saves"
                " one."
            )
        self._broker, self._base, self._announce = broker_of(plan, db_path), base, announce
        self._expiry_s = max(LEAST_EXPIRY_S, round(EXPIRES_AFTER_LOOKS * every_s))
        self._swept = False
        self._held: set[str] = set()  # topics that the broker holds of this household

    def publish(self, conn: Connection, now: datetime) -> None:
        """Publish everything once, and clear what is no longer open.

        Raises
        ------
        FileTrouble: the broker cannot be reached or refuses
        """
        from aiomqtt import MqttError

        wanted = self.messages(conn, now)
        try:
            asyncio.run(asyncio.wait_for(self._send(wanted), WAIT_S))
        except (MqttError, OSError, Refused, TimeoutError) as trouble:
            broker, words = self._broker, "no answer"
            if not isinstance(trouble, TimeoutError):
                words = reason(trouble, tls=broker.tls, own_ca=broker.ca_file is not None)
            raise FileTrouble(f"Cannot publish to {broker.host}: {words}.") from None

    def messages(self, conn: Connection, now: datetime) -> dict[str, str]:
        """Every topic with its document."""
        rack = read_rack(conn, now)
        lots = [row.lot for row in rack.rows]
        needs = gathered(rack.needs, lots)
        found: dict[str, Any] = {
            f"{self._base}/needs/state": {
                "as_of": utc_text(now),
                "act": sum(need.level == "act" for need in needs),
                "today": sum(need.level == "today" for need in needs),
                "needs": [need_document(need) for need in needs],
            }
        }
        found |= self._announced("needs", "Needs", NEED_SENSORS)
        for row in rack.rows:
            code = _level(row.lot.code)
            found[f"{self._base}/lot/{code}/state"] = lot_document(row)
            name = f"{row.lot.code} {plain(row.lot.piece or row.lot.batch_name)}"
            found |= self._announced(f"lot/{code}", name, LOT_SENSORS)
        for item in air_of_places(conn, now, lots):
            found[f"{self._base}/place/{item.place.id}/state"] = air_document(item)
            name = plain(item.place.name)
            found |= self._announced(f"place/{item.place.id}", name, PLACE_SENSORS)
        return {topic: json.dumps(document) for topic, document in found.items()}

    def _announced(
        self, below: str, name: str, sensors: tuple[tuple[str, str, str | None, str | None], ...]
    ) -> dict[str, Any]:
        """One announcement for each value of a document."""
        if self._announce is None:
            return {}
        found: dict[str, Any] = {}
        whole = _level(f"{self._base}/{below}")
        for title, field, unit, kind in sensors:
            own = f"{whole}_{title.replace(' ', '_')}"
            about = {
                "name": title,
                "unique_id": own,
                "object_id": own,
                "state_topic": f"{self._base}/{below}/state",
                "value_template": "{{ value_json." + field + " }}",
                "unit_of_measurement": unit,
                "device_class": kind,
                "state_class": None if title == "stage" else "measurement",
                "expire_after": self._expiry_s,
                "device": {"identifiers": [whole], "name": name, "manufacturer": "curedash"},
            }
            found[f"{self._announce}/sensor/{own}/config"] = {
                key: value for key, value in about.items() if value is not None
            }
        return found

    async def _send(self, wanted: Mapping[str, str]) -> None:
        async with client_of(self._broker, f"{self._broker.identifier}-state") as client:
            if not self._swept:
                self._held |= await self._sweep(client)
                self._swept = True
            for topic, document in wanted.items():
                await client.publish(topic, document, qos=1, retain=True)
            for topic in self._held - set(wanted):
                await client.publish(topic, b"", qos=1, retain=True)
            self._held = set(wanted)

    async def _sweep(self, client: Any) -> set[str]:
        """The topics the broker still holds from an earlier run."""
        filters = [f"{self._base}/#"]
        if self._announce is not None:
            filters.append(f"{self._announce}/sensor/+/config")
        codes = [await client.subscribe(name, qos=1) for name in filters]
        if any(int(getattr(code, "value", code)) >= 128 for row in codes for code in row):
            return set()  # it may write and not read: nothing is cleared
        mark = f"{self._base}/swept"
        await client.publish(mark, b"1", qos=1)
        found: set[str] = set()

        async def hear() -> None:
            async for message in client.messages:
                topic = str(message.topic)
                if topic == mark:
                    return
                if message.retain and message.payload and self._is_own(topic):
                    found.add(topic)

        try:
            await asyncio.wait_for(hear(), SWEEP_S)
        except TimeoutError:
            return found
        return found

    def _is_own(self, topic: str) -> bool:
        own = rf"{self._base}/(needs|lot/[^/]+|place/[^/]+)/state"
        told = rf"{self._announce}/sensor/{_level(self._base)}_(needs|lot|place)_[^/]+/config"
        return re.fullmatch(own, topic) is not None or re.fullmatch(told, topic) is not None


def _level(text: str) -> str:
    """The text as one level of a topic.

    Example
    -------
    >>> _level("curedash/lot/C2")
    'curedash_lot_C2'
    """
    return re.sub(r"[^\w-]", "_", text)
