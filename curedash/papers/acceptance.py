"""Whether the program can work with a file that comes from elsewhere, before it gets its name.

Every value is checked by its kind; then everything that commands and screens read is read once.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from curedash.domain.errors import Refused
from curedash.domain.times import moment
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
        raise Refused(f"{wrong[0]}; nothing was stored.")
    newest = log.newest_recorded_at(conn)
    at = now if newest is None else max(now, moment(newest) + timedelta(seconds=1))
    for what, read in _reads(conn, at):
        try:
            read()
        except sqlite3.Error:
            raise
        except Exception as trouble:  # whatever stops a reader stops the import
            why = str(trouble).rstrip(".")[:120] or type(trouble).__name__
            raise Refused(f"{what} cannot be read ({why}); nothing was stored.") from trouble


def _reads(conn: sqlite3.Connection, now: datetime) -> list[tuple[str, Callable[[], Any]]]:
    """What is read, in the order in which a fault is named best."""
    from curedash.domain.household.styles import check_style
    from curedash.domain.needs.alert_rules import checked
    from curedash.domain.times import zone_of
    from curedash.papers.record import record_of
    from curedash.papers.tags import tags_for
    from curedash.services import rack
    from curedash.services.file import backup
    from curedash.services.file.drafts import waiting
    from curedash.services.find import lot_with_id
    from curedash.services.household import book, history, household, household_settings, styles
    from curedash.services.lot_view import read_lot
    from curedash.services.needs import alert_rules, away, diary
    from curedash.services.places import air_view, places
    from curedash.store.dump import rows, tables

    def every_lot() -> None:
        for (lot_id,) in conn.execute("SELECT id FROM lot WHERE voided_at IS NULL").fetchall():
            lot = lot_with_id(conn, lot_id)
            read_lot(conn, lot.id, now)
            record_of(conn, [lot], now)
            tags_for(conn, [lot], now)

    def rack_rows() -> None:
        for row in rack.read_rack(conn, now).rows:
            assert row.figures is not None

    def zones() -> None:
        for (name,) in conn.execute("SELECT zone FROM place WHERE zone IS NOT NULL").fetchall():
            zone_of(name)
        household.zone(conn)

    def own_rules() -> None:
        for standing in alert_rules.all_rules(conn):
            if standing.own:
                checked(standing.rule, standing.value)

    def own_styles() -> None:
        for own in styles.own_styles(conn):
            check_style(own)

    def every_row() -> None:
        for table in tables(conn):
            for _ in rows(conn, table):
                pass

    return [
        ("A table", every_row),
        ("A zone", zones),
        ("An alert rule", own_rules),
        ("A style of the household", own_styles),
        (
            "What the household settled",
            lambda: (household_settings.read_settings(conn), backup.kept(conn)),
        ),
        ("A place", lambda: [p.name for p in places.all_of(conn)]),
        ("The air of a place", lambda: air_view.air_of_places(conn, now)),
        ("The Rack", rack_rows),
        ("A lot", every_lot),
        ("The book", lambda: book.read_book(conn)),
        ("The diary", lambda: diary.read_diary(conn, now)),
        ("Days away", lambda: away.blocks(conn)),
        ("The log", lambda: history.history(conn)),
        ("What is half typed", lambda: waiting(conn)),
    ]
