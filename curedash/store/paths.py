"""A person's own folders, by the XDG base directory specification; nothing is made here."""

import os


def data_folder() -> str:
    """Where the household's file lies unless another is named."""
    return _own("XDG_DATA_HOME", "~/.local/share")


def state_folder() -> str:
    """Where the log of faults, rescue files and what was set aside lie."""
    return _own("XDG_STATE_HOME", "~/.local/state")


def cache_folder() -> str:
    """Where the demo and the locks lie."""
    return _own("XDG_CACHE_HOME", "~/.cache")


def config_folder() -> str:
    """Where a person's view lies."""
    return _own("XDG_CONFIG_HOME", "~/.config")


def view_file() -> str:
    """What a person chose to see; there need be no such file."""
    return os.path.join(config_folder(), "view.toml")


def config_base() -> str:
    """The folder of every program's configuration, for files other programs read."""
    return _base("XDG_CONFIG_HOME", "~/.config")


def _own(variable: str, usual: str) -> str:
    return os.path.join(_base(variable, usual), "curedash")


def _base(variable: str, usual: str) -> str:
    """What the variable names; the specification has a path that is not absolute ignored."""
    named = os.environ.get(variable, "")
    return named if os.path.isabs(named) else os.path.expanduser(usual)


def node_of(path: str) -> tuple[int, int] | None:
    """Device and inode of what bears this name; None if nothing does."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_dev, found.st_ino
