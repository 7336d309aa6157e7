"""Units of the service manager (systemd, of a user) for the watcher, the listener and the mail.

The listener and the watcher are confined as far as a service of a user can be. What runs a
command of the person (``watch --exec``, the mail) keeps the rights that such a command may need.
"""

from __future__ import annotations

import os
import re
import shlex
from collections.abc import Sequence

from curedash.domain.record import record
from curedash.store import paths

MARK = "# Written by 'curedash service install'; 'curedash service remove' takes it away."
NAMES = {
    "watch": "curedash-watch.service",
    "listen": "curedash-listen.service",
    "mail": "curedash-mail.service",
    "timer": "curedash-mail.timer",
}
MAIL_AT = "07:00"

#: of every service: no way up to other users' rights, no odd calls of the kernel
ALWAYS = ("UMask=0077", "LockPersonality=yes", "RestrictRealtime=yes")
#: of a service that runs nothing but curedash
CONFINED = (
    "NoNewPrivileges=yes",
    "RestrictSUIDSGID=yes",
    "RestrictNamespaces=yes",
    "MemoryDenyWriteExecute=yes",
    "SystemCallArchitectures=native",
    "SystemCallFilter=@system-service",
    "RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6",
)
#: the file system read-only but for these folders; wants user name spaces of the kernel
READ_ONLY = (
    "ProtectSystem=strict",
    "ProtectHome=read-only",
    "PrivateTmp=yes",
    "PrivateDevices=yes",
)


@record
class Unit:
    """One unit file."""

    name: str
    text: str


@record
class Plan:
    """What the services are to do.

    ``program`` are the words that start curedash with its file; ``folders`` are those it writes
    to, the first that of the household's file.
    """

    program: tuple[str, ...]
    folders: tuple[str, ...]
    watch: tuple[str, ...] | None  # further words of watch
    listen: bool
    mail_to: str | None


def units_of(plan: Plan) -> list[Unit]:
    """The unit files, in the order they are started."""
    found = []
    if plan.listen:
        words = [*plan.program, "air", "listen"]
        more = [*CONFINED, *READ_ONLY, *_writable(plan.folders)]
        found.append(_service("listen", "readings for curedash", words, more))
    if plan.watch is not None:
        words = [*plan.program, "watch", *plan.watch]
        own = () if "--exec" in plan.watch else CONFINED
        found.append(_service("watch", "alerts of curedash", words, own))
    if plan.mail_to is not None:
        found += [_mail(plan.program, plan.mail_to), _timer()]
    return found


def is_ours(path: str) -> bool:
    """Whether a unit file was written by this program."""
    try:
        with open(path, encoding="utf-8") as file:
            return file.readline().rstrip("\n") == MARK
    except (OSError, UnicodeDecodeError):
        return False


def units_folder() -> str:
    """Where the units of a user are."""
    return os.path.join(paths.config_base(), "systemd", "user")


def _unit(which: str, what: str, **sections: Sequence[str]) -> Unit:
    """A unit file that says whose it is; lines under ``Unit`` follow its description."""
    lines = [MARK, "[Unit]", f"Description={what}", *sections.pop("Unit", ())]
    for name, own in sections.items():
        lines += ["", f"[{name}]", *own]
    return Unit(NAMES[which], "\n".join(lines) + "\n")


def _service(which: str, what: str, words: Sequence[str], more: Sequence[str]) -> Unit:
    return _unit(
        which,
        what,
        Unit=["StartLimitIntervalSec=0"],
        Service=[f"ExecStart={_words(words)}", "Restart=always", "RestartSec=30", *ALWAYS, *more],
        Install=["WantedBy=default.target"],
    )


def _mail(program: Sequence[str], to: str) -> Unit:
    """One mail if something needs somebody; the mail program may need rights of its own."""
    check = shlex.join([*program, "check"])
    script = f'told=$({check}) || printf "%s\\n" "$told" | mail -s curedash -- {shlex.quote(to)}'
    start = f"ExecStart={_words(['/bin/sh', '-c', script])}"
    return _unit("mail", "what needs somebody, by mail", Service=["Type=oneshot", start, *ALWAYS])


def _timer() -> Unit:
    return _unit(
        "timer",
        "what needs somebody, by mail every morning",
        Timer=[f"OnCalendar=*-*-* {MAIL_AT}", "Persistent=yes"],
        Install=["WantedBy=timers.target"],
    )


def _writable(folders: Sequence[str]) -> list[str]:
    """No variables are put in there, so a dollar sign is not doubled."""
    return [f"ReadWritePaths={_word('-' + folder).replace('$$', '$')}" for folder in folders]


def _words(words: Sequence[str]) -> str:
    """A command line; a program whose path may not stand first is started by the shell."""
    if re.fullmatch(r"[\w./ @+,=:~-]+", words[0]) is None:
        words = ["/bin/sh", "-c", 'exec "$@"', "sh", *words]
    return " ".join(_word(word) for word in words)


def _word(word: str) -> str:
    r"""One word of a unit file: quoted, with the signs that mean something there doubled.

    Example
    -------
    >>> print(_word('a b'), _word('50%$x'), _word('say "hi"\\'))
    "a b" "50%%$$x" "say \"hi\"\\"
    """
    plain = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$")
    return f'"{plain}"'
