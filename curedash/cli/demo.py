"""``curedash demo``: an invented household to try things in, in a file of its own."""

import os

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError


def run(argv: list[str], context: Context) -> int:
    """Build the demo and open it, or only build it (--build FILE)."""
    parser = Parser("demo", "An invented household with lots in every stage; your own file is"
                    " never touched.", "curedash demo")  # fmt: skip
    parser.add_argument("--build", metavar="FILE", help="only build it, into a new file")
    parser.add_argument("--fresh", action="store_true", help="build it again, dated from today")
    parser.add_argument("--lots", type=int, help="how many open lots, for measuring")
    parser.add_argument("--weigh-ins", type=int, help="how many weigh-ins a lot, for measuring")
    chosen = parser.parse_args(argv)
    if chosen.weigh_ins is not None and chosen.lots is None:
        raise UsageError("--weigh-ins goes with --lots, e.g. --lots 50 --weigh-ins 60.")
    from curedash.services.demo import build_demo

    if chosen.build:
        context.err(f"building the demo in {chosen.build} …")
        count = build_demo(chosen.build, context.now, lots=chosen.lots, weigh_ins=chosen.weigh_ins)
        context.err(f"{count} open lots")
        return 0
    path = demo_path()
    if chosen.fresh or not built_today(path, context):
        context.err("building the demo …")
        _build_anew(path, context)
    return context.open_dashboard(path, context.clock)


def demo_path() -> str:
    """The demo's own file in the user's cache folder (XDG)."""
    base = os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    return os.path.join(base, "curedash", "demo.db")


def built_today(path: str, context: Context) -> bool:
    """Whether the demo was built on the day it is now."""
    if not (os.path.exists(path) and os.path.exists(path + ".built")):
        return False
    with open(path + ".built", encoding="utf-8") as mark:
        return mark.read() == context.now.date().isoformat()


def _build_anew(path: str, context: Context) -> None:
    """Build beside the old one and put it in its place."""
    from curedash.services.demo import build_demo

    os.makedirs(os.path.dirname(path), exist_ok=True)
    fresh = f"{path}.new-{os.getpid()}"
    build_demo(fresh, context.now)
    for ending in ("-wal", "-shm"):
        for file in (path + ending, fresh + ending):
            if os.path.exists(file):
                os.remove(file)
    os.replace(fresh, path)
    with open(path + ".built", "w", encoding="utf-8") as mark:
        mark.write(context.now.date().isoformat())
