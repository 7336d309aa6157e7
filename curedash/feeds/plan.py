"""What is listened to: the broker, which topic belongs to which place, kept in the file."""

import hashlib
import json
import os
import socket
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from sqlite3 import Connection

from curedash.domain.errors import Refused, UsageError
from curedash.domain.typed.words import on_one_line
from curedash.feeds.broker import Broker, Route
from curedash.feeds.payload import HUMIDITIES, TEMPERATURES, TIMES, Fields
from curedash.services.file.trust import confirm, is_confirmed
from curedash.services.household import household
from curedash.services.places import places
from curedash.store import settings
from curedash.store.work import By

SETTING = "air-feed"
MOST_WORD = 4096  # characters of a topic, a name or a path
UNITS = ("C", "F")


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
        raise UsageError("--map needs TOPIC=PLACE, e.g. --map 'home/fridge2=Fridge 2'.")
    levels = topic.strip().split("/")
    whole = all("+" not in level or level == "+" for level in levels)
    if not whole or any("#" in level for level in levels[:-1]) or levels[-1][1:].count("#"):
        raise UsageError(f"In “{topic[:60]}” a + must be a whole level and a # must come last.")
    return Mapped(topic.strip(), place.strip(), bare_is)


class Unconfirmed(Refused):
    """The file names a broker that nobody confirmed on this machine."""


def saved(conn: Connection) -> Plan | None:
    """The plan kept in the file, None if there is none.

    Raises
    ------
    Unconfirmed: it was not confirmed on this machine; Refused: it cannot be read
    """
    plan = named(conn)
    if plan is not None and not is_confirmed(conn, settings.get(conn, SETTING) or ""):
        secret = plan.password_file
        broker = f"{on_one_line(plan.host)}:{plan.port}"
        reads = f" It reads the password file {on_one_line(secret)}." if secret else ""
        raise Unconfirmed(
            f"The file names a broker that was not confirmed on this machine: {broker}.{reads}"
            " If it is yours, 'curedash air listen --confirm' listens to it from now on."
        )
    return plan


def confirm_saved(conn: Connection) -> None:
    """Confirm the broker kept in the file for this machine.

    Raises
    ------
    FileTrouble: the person's folder takes nothing
    """
    confirm(conn, settings.get(conn, SETTING) or "")


def named(conn: Connection) -> Plan | None:
    """The plan kept in the file, confirmed or not; nothing may be done with it but showing it."""
    text = settings.get(conn, SETTING)
    if text is None:
        return None
    try:
        body = json.loads(text)
        maps = [Mapped(**item) for item in body.pop("maps")]
        plan = Plan(maps=maps, **body)
        _require_kinds(plan)
        return plan
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise Refused("The broker saved in the file is unreadable; give it again.") from None


def save(conn: Connection, by: By, plan: Plan) -> None:
    """Keep the plan in the file, for the next time and for the dashboard of this machine."""
    household.choose(conn, by, SETTING, json.dumps(asdict(plan)))
    confirm_saved(conn)


def _require_kinds(plan: Plan) -> None:
    """Raise TypeError where a value is not what the command line would have made of it."""
    texts = [plan.host, plan.unit, *plan.temp, *plan.rh, *plan.time]
    texts += [word for item in plan.maps for word in (item.topic, item.place, item.bare_is)]
    texts += [word for word in (plan.user, plan.password_file, plan.ca_file) if word is not None]
    if not all(isinstance(word, str) and len(word) <= MOST_WORD for word in texts):
        raise TypeError("a word")
    if type(plan.port) is not int or not 0 < plan.port < 65_536 or type(plan.tls) is not bool:
        raise TypeError("the port")
    if plan.unit not in UNITS:
        raise TypeError("the unit")


def routes_of(conn: Connection, plan: Plan) -> list[Route]:
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
    secret = (plan.user, plan.password_file, plan.tls, plan.ca_file)
    return Broker(plan.host, plan.port, identifier, *secret)
