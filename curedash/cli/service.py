"""``curedash service``: let the watcher, the listener and the mail run by themselves."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence

from curedash.cli.command import JSON_ARRAY, Chosen, Command, Group, Word, switch
from curedash.cli.context import Context, default_db_path
from curedash.domain.errors import FileTrouble, NotFound, Refused, UsageError
from curedash.domain.wording import facts
from curedash.store import paths

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.papers.service_units import Plan, Unit

SYSTEMCTL_MAX_S = 60.0


def _read(argv: list[str]) -> Chosen:
    """The words of this command, and as ``watch`` those of the watcher behind ``--``."""
    at = argv.index("--") if "--" in argv else len(argv)
    chosen: Chosen = _INSTALL.parser().parse_args(argv[:at])
    chosen.watch = argv[at + 1 :]
    return chosen


def _install(chosen: Chosen, context: Context) -> int:
    plan = _plan(chosen, chosen.watch, context)
    from curedash.papers.service_units import is_ours, units_folder, units_of

    units, folder = units_of(plan), units_folder()
    for unit in units:
        path = os.path.join(folder, unit.name)
        if os.path.lexists(path) and not is_ours(path):
            raise Refused(f"{path} was not written by curedash; move it away first.")
    for unit in units:
        context.data(f"# {os.path.join(folder, unit.name)}\n{unit.text}")
    if chosen.show:
        return 0
    if not chosen.yes and not _asked("Write these files, enable and start them?", context):
        return 65
    _write(folder, units)
    context.err(f"{len(units)} files written to {folder}")
    enabled = [unit.name for unit in units if unit.name != "curedash-mail.service"]
    troubles = _systemctl("daemon-reload") or _systemctl("enable", *enabled)
    troubles = troubles or _systemctl("restart", *enabled)
    if troubles:
        context.err(
            f"The service manager does not answer ({troubles}). When it does: systemctl --user"
            f" daemon-reload; systemctl --user enable --now {' '.join(enabled)}"
        )
        return 74
    context.err(
        "They are running. 'loginctl enable-linger' keeps them running while nobody is logged in."
    )
    return 0


_INSTALL = Command(
    "service install",
    "Write, enable and start the services of this user (systemd). They are the watcher,"
    " the listener if a broker is saved, and a morning mail if you ask for one."
    " The files are shown first and nothing is written without a yes."
    " Words after -- go to 'curedash watch'.",
    "curedash service install --show -- --page ~/www/rack.html",
    Word("--mail ADDRESS", "mail what needs you to this address at 07:00"),
    switch("--no-watch", "leave out the watcher"),
    switch("--no-listen", "leave out the listener"),
    switch("--show", "only show the files; write nothing"),
    switch("--yes", "go ahead without asking"),
    run=_install,
    reads=_read,
)


def _plan(chosen: Chosen, watch: list[str], context: Context) -> Plan:
    from curedash.cli.watch import read_words
    from curedash.feeds.plan import saved
    from curedash.papers.service_units import Plan

    if chosen.no_watch and watch:
        raise UsageError("The words after -- are for the watcher; leave --no-watch out.")
    if {"--once", "--help", "-h"} & set(watch[: _exec_at(watch)]):
        raise UsageError("As a service the watcher runs all the time; leave --once out.")
    read_words(watch)
    if chosen.mail is not None:
        if chosen.mail.startswith("-") or not chosen.mail.isprintable() or " " in chosen.mail:
            raise UsageError(f"“{chosen.mail[:60]}” is not an address to mail to.")
        if shutil.which("mail") is None:
            raise NotFound("There is no command “mail” to send with; install one, e.g. bsd-mailx.")
    conn = context.open()
    listen = not chosen.no_listen and saved(conn) is not None
    if chosen.no_watch and not listen and chosen.mail is None:
        raise UsageError("Nothing is left to install.")
    path = os.path.abspath(context.db_path)
    base = os.path.dirname(default_db_path())
    own = (base, paths.cache_folder(), paths.state_folder())
    folders = dict.fromkeys((os.path.dirname(path), *own))
    return Plan(
        program=(sys.executable, "-m", "curedash", "--db", path),
        folders=tuple(folders),
        watch=None if chosen.no_watch else tuple(_whole_paths(watch)),
        listen=listen,
        mail_to=chosen.mail,
    )


def _exec_at(watch: Sequence[str]) -> int:
    return watch.index("--exec") if "--exec" in watch else len(watch)


def _whole_paths(watch: list[str]) -> list[str]:
    """Paths as they are from here: a service starts in another folder."""
    words = list(watch)
    for at, word in enumerate(words):
        if word == "--page" and at + 1 < len(words):
            words[at + 1] = os.path.abspath(os.path.expanduser(words[at + 1]))
        if word == "--exec":
            words[at + 1] = os.path.abspath(shutil.which(words[at + 1]) or words[at + 1])
            break
    return words


def _asked(question: str, context: Context) -> bool:
    if sys.stdin is None or not sys.stdin.isatty():
        context.err("Nothing was written; --yes writes the files without asking.")
        return False
    context.err(f"{question} [y/N]")
    return sys.stdin.readline().strip().casefold() in ("y", "yes")


def _write(folder: str, units: Sequence[Unit]) -> None:
    from curedash.papers.files import write_file

    try:
        os.makedirs(folder, exist_ok=True)
    except OSError as trouble:
        raise FileTrouble(f"Cannot write {folder}: {trouble.strerror}.") from None
    for unit in units:
        write_file(os.path.join(folder, unit.name), unit.text)


def _run_systemctl(words: Sequence[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["systemctl", "--user", *words],
        capture_output=True,
        text=True,
        timeout=SYSTEMCTL_MAX_S,
        check=False,
    )


def _systemctl(*words: str) -> str:
    """Have the service manager of this user do something; what is wrong, empty if nothing."""
    try:
        done = _run_systemctl(words)
    except (OSError, subprocess.TimeoutExpired) as trouble:
        no_answer = f"no answer within {SYSTEMCTL_MAX_S:g} s"
        return f"systemctl: {getattr(trouble, 'strerror', no_answer)}"
    said = done.stderr.strip().splitlines()
    return "" if done.returncode == 0 else (said[0] if said else f"exit {done.returncode}")


def _asked_systemctl(*words: str) -> str:
    """One word of the service manager, empty where it does not answer."""
    try:
        return _run_systemctl(words).stdout.strip()
    except (OSError, subprocess.TimeoutExpired):
        return ""


def _status(chosen: Chosen, context: Context) -> None:
    """Say of each unit whether it is there, enabled and running."""
    from curedash.papers.service_units import NAMES, is_ours, units_folder

    found = []
    for name in NAMES.values():
        path = os.path.join(units_folder(), name)
        there = os.path.lexists(path)
        found.append(
            {
                "unit": name,
                "file": path if there else None,
                "written_by_curedash": is_ours(path),
                "enabled": (_asked_systemctl("is-enabled", name) or None) if there else None,
                "active": (_asked_systemctl("is-active", name) or None) if there else None,
            }
        )
    if chosen.json:
        context.json(found)
        return
    for one in found:
        if one["file"] is None:
            context.out(f"{one['unit']}: not installed")
            continue
        states = ", ".join(str(one[key] or "not known") for key in ("enabled", "active"))
        own = "" if one["written_by_curedash"] else "not written by curedash"
        context.out(f"{one['unit']}: {facts(states, own)} ({one['file']})")
    says = _asked_systemctl("is-system-running") or "nothing"
    if says != "running":
        context.err(f"The service manager of this user says: {says}.")


_STATUS = Command(
    "service status",
    "Which services are installed, enabled and running.",
    "curedash service status",
    JSON_ARRAY,
    run=_status,
)


def _remove(chosen: Chosen, context: Context) -> int:
    """Stop and disable the services and take their files away."""
    from curedash.papers.service_units import NAMES, is_ours, units_folder

    paths = [os.path.join(units_folder(), name) for name in NAMES.values()]
    own = [path for path in paths if is_ours(path)]
    for path in paths:
        if os.path.lexists(path) and path not in own:
            context.err(f"{path} was not written by curedash; it stays.")
    if not own:
        context.err("No service of curedash is installed.")
        return 0
    for path in own:
        context.out(path)
    if not chosen.yes and not _asked("Stop them and remove these files?", context):
        return 65
    trouble = _systemctl("disable", "--now", *(os.path.basename(path) for path in own))
    try:
        for path in own:
            os.remove(path)
    except OSError as wrong:
        raise FileTrouble(f"Cannot remove {wrong.filename}: {wrong.strerror}.") from None
    trouble = _systemctl("daemon-reload") or trouble
    context.err(f"{len(own)} files removed" + (f"; systemctl: {trouble}" if trouble else ""))
    return 0


_REMOVE = Command(
    "service remove",
    "Stop the services and delete the files that curedash wrote"
    " for them. The household's file is not touched.",
    "curedash service remove --yes",
    switch("--yes", "go ahead without asking"),
    run=_remove,
)


COMMAND = Group(_STATUS, _INSTALL, _STATUS, _REMOVE)
