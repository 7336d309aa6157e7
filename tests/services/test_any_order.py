"""The events of a life, entered in whatever order a person could, give the same curve."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from curedash.store.open import open_db
from tests.services.lives import differing


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("lives") / "template.db"
    open_db(str(path), create=True).close()
    return path


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 2**32))
def test_any_order_of_entering_gives_the_same_curve(template: Path, seed: int) -> None:
    assert differing(template, seed) is None
