"""A person's view on the screens: the units shown, the look, and keys of one's own.

Keys are letters, Enter, Esc, arrows and F-keys; digits start a weigh-in, the rest is eaten by
terminals and multiplexers. A map that cannot hold is named in one sentence; the usual keys stand.
"""

from collections.abc import Iterator, Mapping

from curedash.domain.errors import Refused
from curedash.present import signs
from curedash.present.display_units import show_in
from curedash.services.household.preferences import View, load
from curedash.tui.chassis.commands import COMMANDS, KEY_WORDS, RENAMED, SCREENS, Command, use_keys

_BY_WORD = {word.casefold(): key for key, word in KEY_WORDS.items()} | {
    key.casefold(): key for key in KEY_WORDS
}
_ALL = {command.id: command for command in COMMANDS}
TYPED_ON = ("new_batch", "misdose", "palette")  # letters go into a field there
Keys = Mapping[str, tuple[str, ...]]


def take(path: str | None = None) -> tuple[View, tuple[str, ...]]:
    """Read the view, show in its units, bind its keys; what could not be used, in sentences."""
    view = load(path)
    show_in(*view.shown())
    signs.use(signs.set_for(view.signs))
    keys, troubles = usable(view.keys or {})
    use_keys(keys)
    return view, (*view.troubles, *troubles)


def usable(wanted: Keys) -> tuple[dict[str, tuple[str, ...]], list[str]]:
    """The part of a key map that holds together, and a sentence for each part that does not.

    Example
    -------
    >>> usable({"rack.weigh": ("G",), "rack.fly": ("y",)})[1]
    ['There is no command rack.fly; the reference of keys names them all.']
    """
    taken: dict[str, tuple[str, ...]] = {}
    troubles: list[str] = []
    for name, keys in named_anew(wanted).items():
        try:
            taken[name] = tuple(checked(name, key) for key in keys)
        except Refused as bad:
            troubles.append(str(bad))
    while (clash := next(_clashes(taken), None)) is not None:
        mine, key, other = clash
        troubles.append(
            f"{mine.id}: {KEY_WORDS.get(key, key)} is {other.id} already; the default key is used."
        )
        del taken[mine.id]
    return taken, troubles


def named_anew(keys: Keys) -> dict[str, tuple[str, ...]]:
    """The same keys under the names their commands have today; two that became one share them.

    Example
    -------
    >>> named_anew({"diary.keep": ("K",), "diary.write": ("w",), "rack.weigh": ("G",)})
    {'diary.save': ('K', 'w'), 'rack.weigh': ('G',)}
    """
    found: dict[str, tuple[str, ...]] = {}
    for name, own in keys.items():
        name = RENAMED.get(name, name)
        found[name] = (*found.get(name, ()), *own)
    return found


def checked(name: str, typed: str) -> str:
    """A key as the terminal names it.

    Raises
    ------
    Refused: no such command, a key that cannot be bound, a letter where letters are typed
    """
    if name not in _ALL:
        raise Refused(f"There is no command {name[:40]}; the reference of keys names them all.")
    word = typed.strip()
    if len(word) == 1 and word.isascii() and word.isalpha():
        if _ALL[name].page in TYPED_ON:
            raise Refused(
                f"{name}: letters are typed there, so use an F-key; the default key is used."
            )
        return word
    if word.casefold() in _BY_WORD:
        return _BY_WORD[word.casefold()]
    if len(word) == 1 and word.isdecimal():
        raise Refused(f"{name}: digits start a weight; the default key is used.")
    raise Refused(
        f"{name}: not every terminal passes “{word[:20]}” on, so use a letter or F1 to F10; the"
        " default key is used."
    )


def _clashes(own: Keys) -> Iterator[tuple[Command, str, Command]]:
    """A command of the map, the key, and what has that key on the same page."""
    for name in own:
        mine = _ALL[name]
        pages = SCREENS if mine.page == "any" else (mine.page,)
        for other in COMMANDS:
            if other.id == name or (other.page not in pages and other.page != "any"):
                continue
            for key in own[name]:
                if key in own.get(other.id, other.keys) and not _usually(mine, other, key):
                    yield mine, key, other


def _usually(mine: Command, other: Command, key: str) -> bool:
    """A page's own command wins over the palette's key, if it always has."""
    return "any" in (mine.page, other.page) and key in mine.keys and key in other.keys
