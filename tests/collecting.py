"""Collecting some thousand tests in every process of the suite, for as little as it takes."""

import gc
from collections.abc import Generator
from pathlib import Path

import pytest
from _pytest.assertion import rewrite
from _pytest.doctest import DoctestModule

TESTS = Path(__file__).parent
AFTER = 10_000  # new objects before the collector looks at them, instead of 700


def share_out_rewriting(config: pytest.Config) -> None:
    """Each process makes the assertions of its share of the test files speak, for all of them.

    Every process reads every file; in a fresh copy of the source each would rewrite them all. What
    pytest finds rewritten it takes as it is, and what it does not find it rewrites itself.
    """
    me = getattr(config, "workerinput", None)
    state = config.stash.get(rewrite.assertstate_key, None)
    if me is None or state is None:
        return
    number, of = int(me["workerid"].removeprefix("gw")), me["workercount"]
    for path in sorted(TESTS.rglob("test_*.py"))[number::of]:
        cache = rewrite.get_cache_dir(path)
        made = cache / (path.stem + rewrite.PYC_TAIL)
        if rewrite._read_pyc(path, made) is None and rewrite.try_makedirs(cache):
            source, code = rewrite._rewrite_test(path, config)
            rewrite._write_pyc(state, code, source, made)


@pytest.hookimpl(wrapper=True)
def pytest_collection(session: pytest.Session) -> Generator[None, object, object]:
    """The garbage collector is not asked to look through all tests, now or while they run."""
    gc.disable()
    try:
        share_out_rewriting(session.config)
        return (yield)
    finally:
        gc.freeze()
        gc.set_threshold(AFTER)
        gc.enable()


@pytest.hookimpl(wrapper=True)
def pytest_collect_file() -> Generator[None, list[pytest.Collector], list[pytest.Collector]]:
    """Examples in docstrings are looked for in the program, not in its tests, which have none."""
    return [each for each in (yield) if not isinstance(each, DoctestModule)]
