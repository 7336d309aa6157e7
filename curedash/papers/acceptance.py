"""Whether the program can work with a file that comes from elsewhere, before it gets its name.

Every value is checked by its kind; then everything that commands and screens read is read once.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from curedash.domain.errors import Refused
from curedash.domain.times import moment, zone_of
from curedash.store import log, values


def workable(now: datetime) -> Callable[[sqlite3.Connection], None]:
    """:func:`require_workable` at this moment."""
    return lambda conn: require_workable(conn, now)


def require_workable(conn: sqlite3.Connection, now: datetime) -> None:
    """Refuse a file that some command could not read.

    Parameters
    ----------
    conn : the filled file, of today's shape; nothing is written
    now : the present moment

    Raises
    ------
    Refused: names the first thing that is wrong
    """
    wrong = values.wrong_values(conn)
    if wrong:
        raise Refused(f"{wrong[0]}; nothing was saved.")
    newest = log.newest_recorded_at(conn)
    at = now if newest is None else max(now, moment(newest) + timedelta(seconds=1))
    for what, read in _reads(conn, at):
        try:
            read()
        except sqlite3.Error:
            raise
        except Exception as trouble:  # whatever stops a reader stops the import
            why = str(trouble).rstrip(".")[:120] or type(trouble).__name__
            raise Refused(f"{what} cannot be read ({why}); nothing was saved.") from trouble


def _reads(conn: sqlite3.Connection, now: datetime) -> list[tuple[str, Callable[[], Any]]]:
    """What is read, in the order in which a fault is named best."""
    from curedash.services.file import backup
    from curedash.services.file.drafts import waiting
    from curedash.services.household import book, history, household_settings
    from curedash.services.needs import away, diary
    from curedash.services.places import air_view, places

    return [
        ("A table", lambda: _every_row(conn)),
        ("A zone", lambda: _zones(conn)),
        ("An alert rule", lambda: _own_rules(conn)),
        ("A style of the household", lambda: _own_styles(conn)),
        (
            "The household's settings",
            lambda: (household_settings.read_settings(conn), backup.kept(conn)),
        ),
        ("A place", lambda: [p.name for p in places.all_of(conn)]),
        ("The air of a place", lambda: air_view.air_of_places(conn, now)),
        ("The Rack", lambda: _rack_rows(conn, now)),
        ("A lot", lambda: _every_lot(conn, now)),
        ("The Book", lambda: book.read_book(conn)),
        ("The Diary", lambda: diary.read_diary(conn, now)),
        ("Days away", lambda: away.blocks(conn)),
        ("The log", lambda: history.history(conn)),
        ("The unfinished entries", lambda: waiting(conn)),
    ]


def _every_row(conn: sqlite3.Connection) -> None:
    from curedash.store.dump import rows, tables

    for table in tables(conn):
        for _ in rows(conn, table):
            pass


def _zones(conn: sqlite3.Connection) -> None:
    from curedash.services.household import household

    for (name,) in conn.execute("SELECT zone FROM place WHERE zone IS NOT NULL").fetchall():
        zone_of(name)
    household.zone(conn)


def _own_rules(conn: sqlite3.Connection) -> None:
    from curedash.domain.needs.alert_rules import checked
    from curedash.services.needs.alert_rules import all_rules

    for standing in all_rules(conn):
        if standing.own:
            checked(standing.rule, standing.value)


def _own_styles(conn: sqlite3.Connection) -> None:
    from curedash.domain.household.styles import check_style
    from curedash.services.household import styles

    for own in styles.own_styles(conn):
        check_style(own)


def _rack_rows(conn: sqlite3.Connection, now: datetime) -> None:
    from curedash.services.rack import read_rack

    for row in read_rack(conn, now).rows:
        assert row.figures is not None


def _every_lot(conn: sqlite3.Connection, now: datetime) -> None:
    """Its page, its record and its tag."""
    from curedash.papers.record import record_of
    from curedash.papers.tags import tags_for
    from curedash.services.find import lot_with_id
    from curedash.services.lot_view import read_lot

    for (lot_id,) in conn.execute("SELECT id FROM lot WHERE voided_at IS NULL").fetchall():
        lot = lot_with_id(conn, lot_id)
        read_lot(conn, lot.id, now)
        record_of(conn, [lot], now)
        tags_for(conn, [lot], now)
