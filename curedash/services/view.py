"""One person's view, a TOML file under XDG: units shown, theme, own keys; never the household's.

Read only if it exists. What cannot be used is named in one sentence and the default stands.
"""

from __future__ import annotations

import os

from curedash.domain.errors import FileTrouble, NotFound, Refused
from curedash.domain.record import record

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import Any

CHOICES = {
    "weights": ("g", "lb"),
    "temperatures": ("C", "F"),
    "lengths": ("mm", "in"),
    "paper": ("a4", "letter"),
    "theme": ("paper-dark", "paper-light", "terminal"),
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
    base = os.environ.get("XDG_CONFIG_HOME") or os.path.expanduser("~/.config")
    return os.path.join(base, "curedash", "view.toml")


def is_chosen() -> bool:
    """Whether there is such a file at all."""
    return os.path.exists(view_path())


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
            listed = ", ".join((*CHOICES, "keys"))
            troubles.append(f"{path}: “{_short(name)}” is not known; there is {listed}.")
        elif value not in allowed:
            troubles.append(
                f"{path}: {name} is {_either(allowed)}, not “{_short(value)}”; the usual stands."
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
    Refused: no such choice, a file that is no TOML; FileTrouble: it cannot be written
    """
    if name not in CHOICES or (value is not None and value not in CHOICES[name]):
        allowed = CHOICES.get(name, tuple(CHOICES))
        raise Refused(f"{name} is {_either(allowed)}.")
    _write(path or view_path(), (), name, None if value is None else _quoted(value))


def choose_keys(command: str, keys: tuple[str, ...], path: str | None = None) -> None:
    """Write the keys of one command into the file; none takes the line out.

    Raises
    ------
    Refused: a file that is no TOML; FileTrouble: it cannot be written
    """
    text = None if not keys else f"[{', '.join(_quoted(key) for key in keys)}]"
    _write(path or view_path(), ("keys",), _quoted(command), text)


# ── the file ──────────────────────────────────────────────────────────────────────────────


def _table(path: str) -> dict[str, Any]:
    import tomllib

    from curedash.store.outside import read_text

    try:
        return tomllib.loads(read_text(path, MAX_BYTES))
    except (FileTrouble, NotFound, Refused) as trouble:
        raise Refused(f"{str(trouble).rstrip('.')}; the usual view stands.") from None
    except RecursionError:
        raise Refused(f"{path} is nested too deeply; the usual view stands.") from None
    except tomllib.TOMLDecodeError as bad:
        raise Refused(f"{path} is no TOML ({bad}); the usual view stands.") from None


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


def _write(path: str, table: tuple[str, ...], name: str, text: str | None) -> None:
    lines: list[str] = []
    if os.path.exists(path):
        _table(path)  # a file that cannot be read is not written over
        from curedash.store.outside import read_text

        lines = read_text(path, MAX_BYTES).splitlines()
    changed = "\n".join(_changed(lines, table, name, text))
    fresh = f"{path}.new-{os.getpid()}"
    try:
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(fresh, "w", encoding="utf-8") as file:
            file.write(changed + "\n")
        os.replace(fresh, path)
    except OSError as trouble:
        raise FileTrouble(
            f"{path} cannot be written ({trouble.strerror}); the choice holds until you leave."
        ) from None


def _changed(lines: list[str], table: tuple[str, ...], name: str, text: str | None) -> list[str]:
    """The lines with one assignment put, replaced or taken out."""
    heads = [n for n, line in enumerate(lines) if line.lstrip().startswith("[")]
    heads = [n for n in heads if "=" not in lines[n].partition("]")[2]]
    first, last = 0, heads[0] if heads else len(lines)
    if table:
        own = [n for n in heads if lines[n].partition("#")[0].strip() == f"[{'.'.join(table)}]"]
        if not own:
            tail = [f"[{'.'.join(table)}]", f"{name} = {text}"]
            return lines if text is None else [*lines, *([""] if lines else []), *tail]
        first = own[0] + 1
        last = next((n for n in heads if n >= first), len(lines))
    wanted = name.strip("\"'")
    for at in range(first, last):
        if lines[at].partition("=")[0].strip().replace('"', "").replace("'", "") == wanted:
            return [*lines[:at], *([] if text is None else [f"{name} = {text}"]), *lines[at + 1 :]]
    if text is None:
        return lines
    while last > first and not lines[last - 1].strip():
        last -= 1
    return [*lines[:last], f"{name} = {text}", *lines[last:]]


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _short(value: object) -> str:
    return str(value)[:40]


def _either(words: tuple[str, ...]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}"
