"""What the household chose: zone, rule set, scales, thresholds."""

from __future__ import annotations

import os
import sys
from datetime import tzinfo
from sqlite3 import Connection

from curedash.domain.errors import FileTrouble, Refused
from curedash.domain.times import zone_of
from curedash.domain.typed.names import fitting, nearest
from curedash.store import settings
from curedash.store.work import By, Work, at_once, change

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.needs.lot_needs import NeedRules


def zone(conn: Connection) -> tzinfo:
    """The zone in which the file's calendar days are counted.

    Raises
    ------
    FileTrouble: this machine does not know it
    """
    name = zone_name(conn)
    try:
        _load_zones(name)
        return zone_of(name)
    except (ValueError, LookupError, OSError):  # not a zone name, not known here, a folder
        raise FileTrouble(
            f"This machine does not know the file's time zone, “{name[:40]}”; 'curedash settings"
            " set zone Europe/Vienna' chooses one."
        ) from None


#: where the zones of a machine are, in the library's own order
ZONE_FOLDERS = (
    "/usr/share/zoneinfo",
    "/usr/lib/zoneinfo",
    "/usr/share/lib/zoneinfo",
    "/etc/zoneinfo",
)


def _load_zones(name: str) -> None:
    """Load the library of zones with its usual folders, where the first of them has this zone.

    Without them it reads the settings Python was built with, which takes as long as all of it.
    """
    if "zoneinfo" in sys.modules or "PYTHONTZPATH" in os.environ or not name:
        return
    if not os.path.isfile(f"{ZONE_FOLDERS[0]}/{name}"):
        return
    os.environ["PYTHONTZPATH"] = os.pathsep.join(ZONE_FOLDERS)
    try:
        __import__("zoneinfo")
    finally:
        del os.environ["PYTHONTZPATH"]


def zone_name(conn: Connection) -> str:
    """The IANA name of that zone: the file's, else this machine's."""
    return settings.get(conn, "zone") or machine_zone()


def machine_zone() -> str:
    """The zone of this machine: TZ, else the target of /etc/localtime, else UTC."""
    named = os.environ.get("TZ", "").lstrip(":")
    if named and _known(named):
        return named
    target = os.path.realpath("/etc/localtime")
    name = target.partition("/zoneinfo/")[2]
    return name if name and _known(name) else "UTC"


def _known(name: str) -> bool:
    try:
        zone_of(name)
    except Exception:
        return False
    return True


def zone_of_city(typed: str) -> str:
    """A zone by its whole name or by its city: ``Europe/Berlin``, ``Berlin``, ``new york``.

    Raises
    ------
    Refused: a zone this machine does not know, or a city that several have, with the nearest
    """
    wanted = typed.strip()
    if wanted and _known(wanted):
        return wanted
    from zoneinfo import available_timezones

    names = sorted(zone for zone in available_timezones() if "/" in zone)
    cities = {zone: (zone.rpartition("/")[2], zone.replace("/", " ")) for zone in names}
    found = fitting(wanted, cities)
    if len(found) == 1:
        return found[0]
    near = ", ".join(found[:3] or nearest(wanted, cities))
    way = f"did you mean {near}?" if near else "an example is Europe/Vienna."
    raise Refused(f"There is no time zone “{wanted[:40]}” here; {way}")


def choose_zone(work: Work) -> None:
    """Write the machine's zone into a file that has none, with its first change."""
    if settings.get(work.conn, "zone") is None:
        settings.put(work, "zone", machine_zone())


@at_once
def choose(conn: Connection, by: By, name: str, value: str) -> None:
    """Change one setting.

    Raises
    ------
    Refused: a zone this machine does not know
    """
    if name == "zone":
        value = zone_of_city(value)
    with change(conn, by, "choose", subject=name) as work:
        settings.put(work, name, value)


def need_rules(conn: Connection) -> NeedRules:
    """The household's thresholds for what needs a person at a lot."""
    from curedash.services.needs.alert_rules import rules_of  # a weigh-in asks for no rules

    return rules_of(conn)[0]
