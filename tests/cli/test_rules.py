"""The alert rules from the shell."""

import json

import pytest


def test_the_shell_lists_sets_and_refuses(shell) -> None:
    shell("place", "add", "Cellar")
    listed = shell("rules", "list", "--json").json
    assert {"id", "value", "unit", "default", "own", "range", "what", "source"} == set(listed[0])
    assert shell("rules", "set", "drying-warm-24h", "57.2F").out.startswith("drying-warm-24h")
    assert shell("rules", "set", "drying-cold-24h", "-2").code == 0
    assert shell("rules", "set", "in-cure-cold-24h", "off").code == 0
    values = {row["id"]: row["value"] for row in json.loads(shell("rules", "list", "--json").out)}
    assert values["drying-warm-24h"] == pytest.approx(14)
    assert (values["drying-cold-24h"], values["in-cure-cold-24h"]) == (-2, None)
    assert shell("rules", "set", "clock-back", "soon").code == 65
    assert shell("rules", "set", "clock-back", "off").code == 65
    assert shell("rules", "set", "no-such", "1").code == 66
    assert shell("rules").code == 64
    assert "usual" not in shell("rules", "reset", "drying-warm-24h").out
