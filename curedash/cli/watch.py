"""``curedash watch``: look every minute, remember what opened and cleared, tell what is new."""

import sys
from collections.abc import Sequence

from curedash.cli.command import Chosen, Command, Word, switch
from curedash.cli.context import Context, visible
from curedash.cli.follow import FOLLOWERS, Followers
from curedash.domain.errors import FileTrouble, NotFound, UsageError
from curedash.store.open import Held

_tried: set[tuple[str, "date"]] = set()  # files looked after by this process, and the day
EVERY_S, LEAST_S = 60.0, 1.0
COMMAND_MAX_S = 60.0  # a command that takes longer is ended and tried again

TYPE_CHECKING = False
if TYPE_CHECKING:
    from datetime import date

    from curedash.domain.needs.lot_needs import Need
    from curedash.services.needs.watch import ClockWatch


def run(chosen: Chosen, context: Context) -> None:
    """Look again and again, or once for a timer."""
    context.open()

    followers = Followers(chosen, context)
    if chosen.once:
        _look(context, chosen.command, None)
        followers.follow(once=True)
        return
    import time

    from curedash.services.needs.watch import ClockWatch

    clock = ClockWatch(context.now.timestamp(), _steady())
    while True:
        try:
            _follow_the_file(context)
            _look(context, chosen.command, clock)
        except (FileTrouble, NotFound) as trouble:
            context.err(str(trouble))
            context.close()  # with whatever was half done
        followers.follow(once=False)
        time.sleep(chosen.every)


def read_words(argv: list[str]) -> Chosen:
    """The options, and as ``command`` what is behind --exec.

    Raises
    ------
    UsageError: an unknown word; NotFound: no such command
    """
    own, command = _split(argv)
    chosen: Chosen = COMMAND.parser().parse_args(own)
    chosen.command = command
    _require_command(command)
    return chosen


def _follow_the_file(context: Context) -> None:
    """Watch the file that bears the name now; say so if another took the place of the first."""
    conn = context.open()
    if isinstance(conn, Held) and not conn.is_at_its_path():
        context.close()
        context.open()
        context.err(f"{context.db_path} was replaced; the file that is there now is watched.")


def _seconds(text: str) -> float:
    value = float(text)
    if not LEAST_S <= value <= 86_400:
        raise ValueError(text)
    return value


COMMAND = Command(
    "watch",
    "Check every minute; print what is new and what cleared, and run a command for each new alert.",
    "curedash watch --exec notify-send -u critical",
    switch("--once", "check once, for a timer"),
    Word(
        "--every SECONDS",
        "seconds between two checks (default: 60)",
        type=_seconds,
        default=EVERY_S,
    ),
    *FOLLOWERS,
    Word(
        "--exec CMD ARG",
        "comes last: a command and its arguments; it gets five more: level, cause, subject,"
        " message, action (no shell)",
        nargs="...",
    ),
    run=run,
    reads=read_words,
)


def _split(argv: list[str]) -> tuple[list[str], list[str]]:
    """This command's own words, and the command line behind --exec as it stands."""
    if "--exec" not in argv:
        return argv, []
    at = argv.index("--exec")
    if at + 1 == len(argv):
        raise UsageError("--exec needs a command, e.g. --exec notify-send.")
    return argv[:at], argv[at + 1 :]


def _require_command(command: Sequence[str]) -> None:
    import shutil

    if command and shutil.which(command[0]) is None:
        raise NotFound(f"There is no command “{command[0][:60]}” to run.")


def _steady() -> float:
    """A clock that nobody sets and that runs on while the machine sleeps [s]."""
    import time

    boot = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boot is None else time.clock_gettime(boot)


def _look(context: Context, command: Sequence[str], clock: "ClockWatch | None") -> None:
    from curedash.services.needs.watch import look, mark_announced

    conn, now = context.open(), context.now
    doubt = None if clock is None else clock.doubt(now.timestamp(), _steady())
    seen = look(conn, context.by_now(), now, doubt)
    if seen.clock is not None:
        context.err(seen.clock)
    from curedash.present.lines import need_line
    from curedash.present.places.air import touched_line

    for need in seen.tell:
        context.out(need_line(need))
    for item in seen.touched:
        context.out(f"      {touched_line(item)}")
    for cleared in seen.cleared:
        context.out(f"clear {cleared.message}")
    sys.stdout.flush()
    reached = [need for need in seen.tell if not command or _execute(context, command, need)]
    mark_announced(conn, reached, now)
    if seen.clock is None:
        _look_after_the_file(context)


def _look_after_the_file(context: Context) -> None:
    """Once a day: the quick check and the dated copy; one that fails is tried the next day."""
    from curedash.services.file.backup import is_due, look_after

    today = (context.db_path, context.now.date())
    if today not in _tried and is_due(context.open(), context.db_path, context.now):
        _tried.add(today)
        sentence = look_after(context.db_path, context.now).sentence
        if sentence is not None:
            context.err(sentence)


def arguments(need: "Need") -> list[str]:
    """What a need says, as five arguments without control characters."""
    words = (need.level, need.cause, need.subject, need.message, need.action)
    return [visible(word).replace("\n", " ") for word in words]


def _execute(context: Context, command: Sequence[str], need: "Need") -> bool:
    """Run the person's command; True if it went through, else it is tried at the next look."""
    import subprocess

    try:
        done = subprocess.run(
            [*command, *arguments(need)],
            stdin=subprocess.DEVNULL,
            timeout=COMMAND_MAX_S,
            check=False,
        )
    except subprocess.TimeoutExpired:
        why = f"did not end within {COMMAND_MAX_S:g} s"
    except OSError as trouble:
        why = f"could not be run ({trouble.strerror})"
    else:
        why = f"ended with exit code {done.returncode}" if done.returncode else ""
    if why:
        context.err(f"{command[0]} {why}; it is tried again at the next check.")
    return not why
