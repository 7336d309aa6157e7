"""Small pieces of words on the screens that once went wrong."""

import pytest

from curedash.domain.errors import Refused
from curedash.domain.needs.alert_rules import RULES, AlertRule
from curedash.present.household.settings import as_typed
from curedash.present.household.shelf_rows import _alert_row
from curedash.services.needs.alert_rules import StandingRule
from curedash.tui.flows.lot_weights import _each


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("", (0.0, 0.0)),
        ("0", (0.0, 0.0)),
        ("1 oz", (28.349523125,) * 2),
        ("1oz", (28.349523125,) * 2),
        ("12 g 20 g", (12.0, 20.0)),
        ("12 0", (12.0, 0.0)),
        ("0 20", (0.0, 20.0)),
        ("1 lb 2 oz", (510.29141625,) * 2),
    ],
)
def test_what_is_not_meat_of_each_part(text: str, grams: tuple[float, ...]) -> None:
    """1 oz = 28.349523125 g (international yard and pound agreement, 1959)."""
    assert _each(2)(text) == pytest.approx(grams)


def test_three_weights_for_two_parts_are_refused() -> None:
    with pytest.raises(Refused, match="one for each of the 2 parts"):
        _each(2)("1 g 2 g 3 g")


@pytest.mark.parametrize("grams", [0.05, 0.1, 0.2, 1.0, 5.0, 500.0, 5000.0])
def test_a_scale_in_grams_stays_in_grams(grams: float) -> None:
    assert as_typed(grams) == f"{grams:g} g"


def test_every_need_of_a_lot_that_asks_for_more_than_a_weight_has_words_for_its_row():
    from curedash.tui.chassis.need_keys import ANSWERS, BY_DIGIT

    of_lots = {c: a.words for c, a in ANSWERS.items() if a.ways[0].startswith("lot.")}
    assert all(of_lots.values())
    assert BY_DIGIT in of_lots
    assert max(len(words) for words in of_lots.values()) <= 12, "beside a key in 16 cells"


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_threshold_that_is_usually_off_says_so_once(rule: AlertRule) -> None:
    row = _alert_row(StandingRule(rule, rule.default, own=False), "X")
    assert row.help.count("off") == int(rule.may_be_off or rule.default is None)
