"""Own folders, by the XDG Base Directory Specification 0.8 (freedesktop.org), read there:

data ``$HOME/.local/share``, configuration ``$HOME/.config``, state ``$HOME/.local/state``, cache
``$HOME/.cache`` where the variable is unset or empty; a path that is not absolute is ignored.
"""

import pytest

from curedash.store import paths

FOLDERS = {
    "XDG_DATA_HOME": (paths.data_folder, ".local/share"),
    "XDG_CONFIG_HOME": (paths.config_folder, ".config"),
    "XDG_STATE_HOME": (paths.state_folder, ".local/state"),
    "XDG_CACHE_HOME": (paths.cache_folder, ".cache"),
}


@pytest.mark.parametrize("variable", FOLDERS)
@pytest.mark.parametrize("value", [None, "", "relative/folder", "./here"])
def test_unset_empty_or_relative_is_the_usual_folder(
    variable: str, value: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", "/home/anna")
    monkeypatch.delenv(variable, raising=False)
    if value is not None:
        monkeypatch.setenv(variable, value)
    folder, usual = FOLDERS[variable]
    assert folder() == f"/home/anna/{usual}/curedash"


@pytest.mark.parametrize("variable", FOLDERS)
def test_an_absolute_path_is_taken(variable: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(variable, "/elsewhere")
    assert FOLDERS[variable][0]() == "/elsewhere/curedash"


def test_units_of_the_service_manager_lie_beside_other_configuration(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", "/elsewhere")
    assert paths.config_base() == "/elsewhere"
