"""``curedash demo``: a demo household to try things in, in a file of its own."""

from curedash.cli.command import Chosen, Command, Word, switch
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> int:
    """Build the demo and open it, or only build it (--build FILE)."""
    from curedash.cli.progress import Progress
    from curedash.services.file.demo import build_demo

    bar = Progress("demo", 1, "step")
    if chosen.build:
        context.err(f"building the demo in {chosen.build} …")
        count = build_demo(chosen.build, context.now, tell=bar)
        bar.end()
        context.err(f"{count} open lots")
        return 0
    from curedash.services.file.demo_file import build_anew, built_today, demo_path

    path = demo_path()
    if chosen.fresh or not built_today(path, context.now):
        context.err("building the demo …")
        build_anew(path, context.now, bar)
        bar.end()
    return context.open_dashboard(path, context.clock)


COMMAND = Command(
    "demo",
    "A demo household with lots in every stage; your own file is never touched.",
    "curedash demo",
    Word("--build FILE", "only build it, into a new file"),
    switch("--fresh", "build it again, dated from today"),
    run=run,
)
