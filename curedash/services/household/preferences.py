"""One person's view, a TOML file under XDG: units shown, theme, own keys; never the household's.

Read only if it exists. What cannot be used is named in one sentence and the default stands.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, MutableMapping
from typing import Any

from curedash.domain.errors import FileTrouble, NotFound, Refused
from curedash.domain.record import record
from curedash.domain.wording import listed
from curedash.store import paths

Table = MutableMapping[str, Any]

CHOICES = {
    "weights": ("g", "lb"),
    "temperatures": ("C", "F"),
    "lengths": ("mm", "in"),
    "paper": ("a4", "letter"),
    "theme": ("paper-dark", "paper-light", "contrast", "terminal"),
    "signs": ("braille", "blocks", "ascii"),
    "mouse": ("off", "on"),
}
MAX_BYTES = 100_000  # design value: a view is a few lines; anything larger is another file


@record
class View:
    """What one person chose; None and empty where nothing was."""

    weights: str = "g"
    temperatures: str = "C"
    lengths: str | None = None
    paper: str | None = None
    theme: str | None = None
    signs: str | None = None  # None: by the terminal
    mouse: str = "off"
    keys: Mapping[str, tuple[str, ...]] | None = None  # command → its keys
    troubles: tuple[str, ...] = ()

    def lengths_shown(self) -> str:
        """``mm`` or ``in``; who sees pounds sees inches, unless chosen otherwise."""
        return self.lengths or ("in" if self.weights == "lb" else "mm")

    def paper_shown(self) -> str:
        """``a4`` or ``letter``; who sees pounds prints on Letter, unless chosen otherwise."""
        return self.paper or ("letter" if self.weights == "lb" else "a4")

    def shown(self) -> tuple[str, str, str, str]:
        """Weights, temperatures, lengths and paper as they are meant."""
        return self.weights, self.temperatures, self.lengths_shown(), self.paper_shown()


def view_path() -> str:
    """The file in the user's configuration folder (XDG)."""
    return paths.view_file()


def load(path: str | None = None) -> View:
    """The view in the file; the usual one where there is none. Raises nothing."""
    path = path or view_path()
    if not os.path.exists(path):
        return View()
    try:
        return read(_table(path), path)
    except Refused as bad:
        return View(troubles=(str(bad),))


def read(table: Mapping[str, Any], path: str) -> View:
    """Take what can be used of a parsed file, and a sentence for each thing that cannot."""
    troubles: list[str] = []
    chosen: dict[str, Any] = {}
    for name, value in table.items():
        if name == "keys" and isinstance(value, dict):
            continue
        allowed = CHOICES.get(name)
        if allowed is None:
            known = listed((*CHOICES, "keys"), "or")
            troubles.append(f"{path}: “{_short(name)}” is not known; choose {known}.")
        elif value not in allowed:
            troubles.append(
                f"{path}: {name} is {_either(allowed)}, not “{_short(value)}”; the default is used."
            )
        else:
            chosen[name] = value
    keys = table.get("keys")
    if isinstance(keys, dict):
        chosen["keys"] = _flat(keys, troubles, path)
    return View(**chosen, troubles=tuple(troubles))


def choose(name: str, value: str | None, path: str | None = None) -> None:
    """Write one choice into the file, leaving every other line as it is; None takes it out.

    Raises
    ------
    Refused: no such choice, a file that is not TOML; FileTrouble: it cannot be written
    """
    if name not in CHOICES or (value is not None and value not in CHOICES[name]):
        allowed = CHOICES.get(name, tuple(CHOICES))
        raise Refused(f"{name} is {_either(allowed)}.")
    _write(path or view_path(), lambda file: _put(file, name, value))


def choose_keys(command: str, keys: tuple[str, ...], path: str | None = None) -> None:
    """Write the keys of one command into the file; none takes the line out.

    Raises
    ------
    Refused: a file that is not TOML; FileTrouble: it cannot be written
    """

    def put(file: Table) -> None:
        if not isinstance(file.get("keys"), dict):
            _put(file, "keys", {})
        _take_out(file["keys"], command)
        if keys:
            file["keys"][command] = list(keys)

    _write(path or view_path(), put)


# ── the file ──────────────────────────────────────────────────────────────────────────────


def _table(path: str) -> dict[str, Any]:
    import tomllib

    from curedash.store.outside import read_text

    try:
        return tomllib.loads(read_text(path, MAX_BYTES))
    except (FileTrouble, NotFound, Refused) as trouble:
        raise Refused(f"{str(trouble).rstrip('.')}; the default view is used.") from None
    except RecursionError:
        raise Refused(f"{path} is nested too deeply; the default view is used.") from None
    except tomllib.TOMLDecodeError as bad:
        raise Refused(f"{path} is not TOML ({bad}); the default view is used.") from None


def _flat(keys: Mapping[str, Any], troubles: list[str], path: str) -> dict[str, tuple[str, ...]]:
    """Command → keys; ``rack.weigh = "g"`` without quotes is a table in a table."""
    found: dict[str, tuple[str, ...]] = {}
    for name, value in keys.items():
        if isinstance(value, dict):
            found |= {f"{name}.{n}": v for n, v in _flat(value, troubles, path).items()}
        elif isinstance(value, str):
            found[name] = (value,)
        elif isinstance(value, list) and value and all(isinstance(key, str) for key in value):
            found[name] = tuple(value)
        else:
            troubles.append(f'{path}: keys of “{_short(name)}” are text, e.g. "g" or ["g", "F5"].')
    return found


def _write(path: str, put: Callable[[Table], None]) -> None:
    """Change something of the file; comments and the shape of all else stay as somebody wrote them.

    ``tomlkit`` knows every way of writing TOML (arrays over several lines, quoted and dotted keys)
    and gives back each byte that was not changed.
    """
    import tomllib

    import tomlkit

    text = ""
    if os.path.exists(path):
        _table(path)  # a file that cannot be read is not written over
        from curedash.store.outside import read_text

        text = read_text(path, MAX_BYTES)
    try:
        file = tomlkit.parse(text)
        put(file)
        changed = tomlkit.dumps(file)
        tomllib.loads(changed)
    except ValueError as bad:
        raise Refused(f"{path} could not be changed ({bad}); it is as it was.") from None
    fresh = f"{path}.new-{os.getpid()}"
    try:
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(fresh, "w", encoding="utf-8", newline="") as out:
            out.write(changed)
        os.replace(fresh, path)
    except OSError as trouble:
        raise FileTrouble(
            f"{path} cannot be written ({trouble.strerror}); the choice holds until you leave."
        ) from None


def _put(file: Table, name: str, value: Any) -> None:
    if value is None:
        file.pop(name, None)
    else:
        file[name] = value


def _take_out(keys: Table, command: str) -> None:
    """The keys of a command, however its name is written: ``"rack.weigh"`` or ``rack.weigh``."""
    keys.pop(command, None)
    head, dot, rest = command.partition(".")
    if dot and isinstance(keys.get(head), dict):
        _take_out(keys[head], rest)
        if not keys[head]:
            keys.pop(head)


def _short(value: object) -> str:
    return str(value)[:40]


def _either(words: tuple[str, ...]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}"
