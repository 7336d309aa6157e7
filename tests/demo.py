"""The demo's household for tests: built once a process for each moment, then copied.

The tests of the demo itself, of the store and of the wheel build their own.
"""

import os
import tempfile
from datetime import datetime
from functools import cache
from pathlib import Path

from curedash.services.file.demo import build_demo


@cache
def demo_file(now: datetime) -> bytes:
    """What the file of the demo holds when it is built at this moment."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "demo.db"
        build_demo(str(path), now)
        return path.read_bytes()


def copy_demo(path: str | os.PathLike[str], now: datetime) -> None:
    """The demo's household of this moment in a file of its own."""
    Path(path).touch(mode=0o600, exist_ok=False)
    Path(path).write_bytes(demo_file(now))
