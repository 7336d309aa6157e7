"""What is listened to: the broker, which topic belongs to which place, kept in the file."""

import hashlib
import json
import os
import socket
import sqlite3
from collections.abc import Sequence
from dataclasses import asdict, dataclass

from curedash.domain.errors import Refused, UsageError
from curedash.feeds.broker import Broker, Route
from curedash.feeds.payload import HUMIDITIES, TEMPERATURES, TIMES, Fields
from curedash.services import household, places
from curedash.store import settings
from curedash.store.work import By

SETTING = "air-feed"


@dataclass(frozen=True, slots=True)
class Mapped:
    """A topic and the name of its place."""

    topic: str
    place: str
    bare_is: str = "temp"  # what a bare number is: temp or rh


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything needed to listen but the password, which stays in its file."""

    host: str
    maps: Sequence[Mapped]
    port: int = 1883
    user: str | None = None
    password_file: str | None = None
    tls: bool = False
    ca_file: str | None = None
    unit: str = "C"
    temp: Sequence[str] = TEMPERATURES
    rh: Sequence[str] = HUMIDITIES
    time: Sequence[str] = TIMES


def mapped(text: str, bare_is: str = "temp") -> Mapped:
    """Read ``TOPIC=PLACE``.

    Raises
    ------
    UsageError: no topic or no place; a wildcard where none can stand
    """
    topic, sign, place = text.rpartition("=")
    if not sign or not topic.strip() or not place.strip():
        raise UsageError("--map wants TOPIC=PLACE, e.g. --map 'home/fridge2=Fridge 2'.")
    levels = topic.strip().split("/")
    whole = all("+" not in level or level == "+" for level in levels)
    if not whole or any("#" in level for level in levels[:-1]) or levels[-1][1:].count("#"):
        raise UsageError(f"In “{topic[:60]}” + stands for a whole level and # for all at the end.")
    return Mapped(topic.strip(), place.strip(), bare_is)


def saved(conn: sqlite3.Connection) -> Plan | None:
    """The plan kept in the file, None if there is none."""
    text = settings.get(conn, SETTING)
    if text is None:
        return None
    try:
        body = json.loads(text)
        maps = [Mapped(**item) for item in body.pop("maps")]
        return Plan(maps=maps, **body)
    except (ValueError, TypeError, KeyError, AttributeError):
        raise Refused("The broker kept in the file is unreadable; give it anew.") from None


def save(conn: sqlite3.Connection, by: By, plan: Plan) -> None:
    """Keep the plan in the file, for the next time and for the dashboard."""
    household.choose(conn, by, SETTING, json.dumps(asdict(plan)))


def routes_of(conn: sqlite3.Connection, plan: Plan) -> list[Route]:
    """The topics with their places.

    Raises
    ------
    NotFound: no such place
    """
    found = []
    for item in plan.maps:
        place = places.require_place(conn, item.place)
        fields = Fields(tuple(plan.temp), tuple(plan.rh), tuple(plan.time), plan.unit, item.bare_is)
        found.append(Route(item.topic, place.id, place.name, fields))
    return found


def broker_of(plan: Plan, db_path: str) -> Broker:
    """How to reach the broker; this file on this machine always goes by the same name."""
    who = f"{socket.gethostname()}:{os.path.abspath(db_path)}"
    identifier = "curedash-" + hashlib.sha256(who.encode()).hexdigest()[:12]
    return Broker(
        plan.host, plan.port, identifier, plan.user, plan.password_file, plan.tls, plan.ca_file
    )
