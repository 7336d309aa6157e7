"""The demo's own file: built once a day in the cache folder, never in the household's place."""

import os
from collections.abc import Callable
from datetime import datetime

from curedash.store import paths

Tell = Callable[[int, int], None]  # so much is done, of so much


def demo_path() -> str:
    """The demo's own file in the user's cache folder (XDG)."""
    return os.path.join(paths.cache_folder(), "demo.db")


def built_today(path: str, now: datetime) -> bool:
    """Whether the demo was built on the day it is now."""
    if not (os.path.exists(path) and os.path.exists(path + ".built")):
        return False
    with open(path + ".built", encoding="utf-8") as mark:
        return mark.read() == now.date().isoformat()


def build_anew(path: str, now: datetime, tell: Tell = lambda _done, _of: None) -> None:
    """Build beside the old one and put it in its place."""
    from curedash.services.file.demo import build_demo

    os.makedirs(os.path.dirname(path), exist_ok=True)
    fresh = f"{path}.new-{os.getpid()}"
    build_demo(fresh, now, tell=tell)
    for ending in ("-wal", "-shm"):
        for file in (path + ending, fresh + ending):
            if os.path.exists(file):
                os.remove(file)
    os.replace(fresh, path)
    with open(path + ".built", "w", encoding="utf-8") as mark:
        mark.write(now.date().isoformat())


def ready(now: datetime, tell: Tell = lambda _done, _of: None) -> str:
    """Path of today's demo, built if it is not there yet."""
    path = demo_path()
    if not built_today(path, now):
        build_anew(path, now, tell)
    return path
