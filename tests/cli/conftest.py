"""Running the shell in this process: words in; exit code, stdout and stderr out."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest

from curedash.__main__ import main


@dataclass
class Done:
    """What one command did."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


@pytest.fixture
def shell(
    db_path: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Callable[..., Done]:
    """Run one command line on a fresh file at a fixed moment."""
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-25T18:00:00Z")
    monkeypatch.setenv("CUREDASH_DB", db_path)

    def run(*words: str) -> Done:
        capsys.readouterr()
        code = main(list(words))
        streams = capsys.readouterr()
        assert "Traceback" not in streams.err
        return Done(code, streams.out, streams.err)

    return run


BATCH = (
    "batch",
    "add",
    "--name",
    "Beef eye",
    "--species",
    "beef",
    "--style",
    "bresaola",
    "--green",
    "1134 g",
    "--green",
    "2 lb 4.8 oz",
    "--salt",
    "2.75",
    "--curing-salt",
    "no2",
    "--cure",
    "0.25",
    "--rules",
    "us",
    "--class",
    "dry-cured",
    "--scale",
    "0.1",
    "--thickness",
    "80mm",
    "--temp",
    "4C",
    "--salted-on",
    "2026-11-01",
    "--place",
    "Fridge 2",
)


@pytest.fixture
def batch(shell: Callable[..., Done]) -> Done:
    """The batch of the contract."""
    return shell(*BATCH, "--json")


@pytest.fixture
def hanging(shell: Callable[..., Done], batch: Done) -> Callable[..., Done]:
    """The same batch with A1 hung on the 16th."""
    assert batch.code == 0, batch.err
    hung = shell(
        "stage",
        "A1",
        "drying",
        "--at",
        "2026-11-16",
        "--weight",
        "1108 g",
        "--tare",
        "28g",
        "--note",
        "as planned",
    )
    assert hung.code == 0, hung.err
    return shell
