"""The household's own thresholds; a rule that is not here stands at its default."""

from __future__ import annotations

import json
import sqlite3

from curedash.store.work import Work

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def chosen(conn: sqlite3.Connection) -> dict[str, dict[str, Any]]:
    """The bodies of the rules that were changed, by id."""
    return {row[0]: json.loads(row[1]) for row in conn.execute("SELECT id, body FROM alert_rule")}


def put(work: Work, rule_id: str, value: float | None) -> None:
    """Choose a threshold; None switches the rule off."""
    work.put("alert_rule", rule_id, body=json.dumps({"value": value}))


def drop(work: Work, rule_id: str) -> None:
    """Back to the default."""
    work.restore("alert_rule", rule_id, None)
