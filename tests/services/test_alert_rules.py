"""The one table of alert rules: defaults, the household's own values, and back."""

import math
import sqlite3

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.errors import NotFound, Refused
from curedash.domain.needs.alert_rules import RULES, air_rules, checked, need_rules, rule
from curedash.domain.needs.lot_needs import DEFAULT_RULES, NeedRules
from curedash.domain.needs.place_needs import DEFAULT_AIR_RULES, AirRules
from curedash.domain.record import field_names
from curedash.services.household import undo
from curedash.services.needs import alert_rules
from curedash.store.work import By


def test_every_threshold_of_the_program_stands_in_the_table() -> None:
    listed = {known.field for known in RULES}
    assert set(field_names(NeedRules)) <= listed
    assert set(field_names(AirRules)) <= listed


def test_each_rule_has_a_source_a_range_and_a_default_inside_it() -> None:
    assert len({known.id for known in RULES}) == len(RULES)
    for known in RULES:
        assert known.source
        assert known.words
        assert known.least < known.most
        if known.default is None:
            assert known.may_be_off
        else:
            assert known.least <= known.default <= known.most, known.id


def test_the_limits_are_those_of_the_design() -> None:
    """24 h over 5 and 6 h over 7 °C where cold matters, 16 and 20 °C in drying."""
    defaults = {known.id: known.default for known in RULES}
    assert defaults["in-cure-warm-24h"] == defaults["keeping-warm-24h"] == 5
    assert defaults["in-cure-warm-6h"] == defaults["equalising-warm-6h"] == 7
    assert defaults["in-cure-cold-24h"] == 2
    assert (defaults["drying-warm-24h"], defaults["drying-warm-6h"]) == (16, 20)
    assert defaults["drying-cold-24h"] == -1
    assert (defaults["sensor-silent"], defaults["hand-log-silent"]) == (3, 48)


def test_nothing_chosen_is_the_default() -> None:
    assert need_rules({}) == DEFAULT_RULES
    assert air_rules({}) == DEFAULT_AIR_RULES


@given(st.sampled_from(RULES), st.floats(0, 1))
def test_each_rule_reaches_the_place_it_is_used(known, share: float) -> None:
    value = known.least + share * (known.most - known.least)
    chosen = {known.id: checked(known, value)}
    rules = need_rules(chosen) if known.field in NeedRules.__slots__ else air_rules(chosen)  # type: ignore[attr-defined]
    found = getattr(rules, known.field)
    if known.stage is not None:
        found = found[known.stage]
    assert (found if known.part is None else found[known.part]) == value


@pytest.mark.parametrize("value", [math.nan, math.inf, -1e9, 1e9])
def test_nonsense_is_refused_with_the_range(value: float) -> None:
    for known in RULES:
        with pytest.raises(Refused, match=known.unit.replace("/", ".")):
            checked(known, value)


def test_only_what_may_be_off_can_be_off() -> None:
    assert checked(rule("sensor-silent"), None) is None
    with pytest.raises(Refused, match="cannot be off"):
        checked(rule("clock-back"), None)
    with pytest.raises(NotFound, match="drying-warm-24h"):
        rule("drying-hot")


def test_a_rule_is_set_listed_undone_and_reset(conn: sqlite3.Connection, by: By) -> None:
    alert_rules.set_rule(conn, by, "sensor-silent", 6)
    alert_rules.set_rule(conn, by, "past-target-second", 8)
    lots, air = alert_rules.rules_of(conn)
    assert air.sensor_silent_h == 6
    assert lots.past_target_points == (3.0, 8.0)
    own = [s.rule.id for s in alert_rules.all_rules(conn) if s.own]
    assert own == ["sensor-silent", "past-target-second"]
    undo.undo_last(conn, by)
    assert alert_rules.rules_of(conn)[0] == DEFAULT_RULES
    alert_rules.reset_rule(conn, by, "sensor-silent")
    alert_rules.reset_rule(conn, by, "sensor-silent")
    assert alert_rules.rules_of(conn) == (DEFAULT_RULES, DEFAULT_AIR_RULES)
