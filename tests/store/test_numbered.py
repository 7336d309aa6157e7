"""SQL that the driver of Python 3.14 refuses: numbered places with a sequence of values."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_values_have_names_or_only_their_order() -> None:
    """https://docs.python.org/3/library/sqlite3.html: ``?1`` counts as a name there.

    What has more digits is a mode of the terminal.
    """
    numbered = [
        path.name
        for path in (ROOT / "curedash").rglob("*.py")
        if re.search(r"\"[^\"\n]*\?\d{1,2}\b[^\"\n]*\"", path.read_text(encoding="utf-8"))
    ]
    assert numbered == []
