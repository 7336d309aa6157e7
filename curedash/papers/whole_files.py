"""The whole household written to files, as one moment shows it: one JSON, or a folder of CSV."""

from __future__ import annotations

from datetime import tzinfo

from curedash.papers import whole_csv, whole_json
from curedash.papers.files import write_file
from curedash.papers.weigh_in_sheet import weigh_in_sheet
from curedash.store import dump
from curedash.store.open import Connection


def write_json(conn: Connection, path: str, tell: dump.Tell, *, never: str) -> None:
    """Write everything as one JSON document.

    Parameters
    ----------
    tell : called with the number of rows written so far
    never : a path that must not be written to: the household's own file
    """
    with dump.snapshot(conn):
        write_file(path, "".join(whole_json.lines(conn, tell)), never=never)


def write_weigh_ins(conn: Connection, path: str, zone: tzinfo, *, never: str) -> None:
    """Write every weigh-in as one CSV for a spreadsheet, its times in this zone."""
    with dump.snapshot(conn):
        write_file(path, weigh_in_sheet(conn, zone), never=never)


def write_tables(conn: Connection, folder: str, tell: dump.Tell) -> None:
    """Write every table as a CSV file into a new folder.

    Raises
    ------
    Refused: the folder holds something already
    """
    with dump.snapshot(conn):
        whole_csv.write_folder(conn, folder, tell)
