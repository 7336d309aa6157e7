"""The household's own thresholds; a rule that is not here stands at its default."""

from __future__ import annotations

from sqlite3 import Connection

from curedash.domain.fast_json import dumps
from curedash.store.work import Work

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def chosen(conn: Connection) -> dict[str, dict[str, Any]]:
    """The bodies of the rules that were changed, by id."""
    rows = conn.execute("SELECT id, body FROM alert_rule").fetchall()
    if not rows:  # the usual case, in every shell command
        return {}
    import json

    return {rule_id: json.loads(body) for rule_id, body in rows}


def put(work: Work, rule_id: str, value: float | None) -> None:
    """Choose a threshold; None switches the rule off."""
    work.put("alert_rule", rule_id, body=dumps({"value": value}))


def drop(work: Work, rule_id: str) -> None:
    """Back to the default."""
    work.restore("alert_rule", rule_id, None)
