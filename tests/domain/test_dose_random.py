"""Ten thousand random doses: nothing accepted above a limit, nothing negative, a way out."""

import random
from math import isfinite

from curedash.domain.dosing import (
    METHODS,
    CuringSalt,
    DoseRequest,
    Scale,
    apply_accepted,
    compute_dose,
    curing_salts,
    resolve_curing_salt,
)
from curedash.domain.dosing.limits import exceeds, value_against
from curedash.domain.dosing.result import VERDICTS
from curedash.domain.facts.nitrite_limits import PRODUCT_CLASS_LABELS, RULE_SET_LABELS

SALTS = (
    None,
    *curing_salts(),
    resolve_curing_salt("5.88/0"),
    resolve_curing_salt("100/0"),
    CuringSalt("jar", "unlabelled jar", None, None, None),
)


def random_request(rnd):
    method = rnd.choice(METHODS)[0]
    salt = rnd.choice(SALTS)
    fields = {
        "green_g": rnd.choice((rnd.uniform(1, 50), rnd.uniform(50, 5e3), rnd.uniform(5e3, 5e5))),
        "method": method,
        "salt_pct": rnd.choice((0.0, 2.5, 2.75, rnd.uniform(0, 4), rnd.uniform(0, 100))),
        "salt_means": rnd.choice(("includes", "besides")),
        "curing_salt": salt,
        "sugar_pct": rnd.choice((0.0, 0.5, rnd.uniform(0, 100))),
        "extras": rnd.choice(((), (("pepper", 0.3),), (("[b]x[/b]", rnd.uniform(0, 100)),))),
        "water_g": rnd.uniform(1, 5000) if method == "equilibrium-brine" else None,
        "pickup_pct": rnd.uniform(0.1, 100),
        "pump_pct": rnd.uniform(0.5, 60),
        "percent_of": rnd.choice((None, "meat", "brine")),
        "scale_division_g": rnd.choice((0.001, 0.01, 0.1, 1.0, 5.0)),
        "scales": rnd.choice(((), (), (Scale(0.01, 200), Scale(1, 5000)))),
        "rule_set": rnd.choice((None, *(name for name, _label in RULE_SET_LABELS))),
        "product_class": rnd.choice((None, *(name for name, _label in PRODUCT_CLASS_LABELS))),
        "planned_days": rnd.choice((None, 10.0, 60.0)),
        "eaten": rnd.choice((None, "as-is", "cooked-soon", "fried")),
        "cut": rnd.choice(("", "belly", "loin")),
        "style_nitrite_mg_per_kg": rnd.choice((None, 156.25)),
        "pieces": rnd.choice((1, 1, 4)),
    }
    if method == "pack":
        fields |= {"pack_g": rnd.uniform(1, 1000), "pack_for_g": rnd.uniform(100, 10_000)}
        fields["packs"] = rnd.choice((None, 1.0, 0.5, rnd.uniform(0.01, 10)))
    elif salt is not None and rnd.random() < 0.8:
        wanted = rnd.choice((120.0, 156.25, 625.0, rnd.uniform(0, 2000)))
        fields |= rnd.choice(
            (
                {"cure_pct": rnd.choice((0.25, rnd.uniform(0, 1), rnd.uniform(0, 100)))},
                {"wanted_nitrite_mg_per_kg": wanted},
                {"wanted_nitrate_mg_per_kg": wanted},
            )
        )
    return DoseRequest(**fields)


def assert_whole(dose):
    for item in dose.ingredients:
        assert isfinite(item.exact_g), dose.request
        assert item.exact_g >= 0, dose.request
        assert isfinite(item.weigh_g), dose.request
        assert item.weigh_g >= 0, dose.request
    assert all(text.endswith((".", "?")) for text in dose.messages), dose.messages


def assert_within_limits(dose):
    nitrite, nitrate = dose.nitrite_mg_per_kg, dose.nitrate_mg_per_kg
    if nitrite is None or nitrate is None:
        return
    assert not exceeds(nitrite, 625), dose.request
    for limit in (dose.limit, dose.nitrate_limit):
        if limit is not None and limit.comparable:
            value = value_against(limit, nitrite, nitrate, dose.contents.nitrate_salt_mg_per_kg)
            assert not exceeds(value, limit.mg_per_kg), dose.request


def test_ten_thousand_random_doses():
    rnd = random.Random(20251009)
    verdicts = dict.fromkeys(VERDICTS, 0)
    for _ in range(10_000):
        dose = compute_dose(random_request(rnd))
        verdicts[dose.verdict] += 1
        assert_whole(dose)
        if dose.verdict == "refused":
            assert dose.accepted, dose.request
            dose = compute_dose(apply_accepted(dose.request, dose.accepted))
            assert dose.verdict != "refused", (dose.request, dose.messages)
            assert_whole(dose)
        assert_within_limits(dose)
    assert verdicts.pop("within-limits") > 0
    assert min(verdicts.values()) > 100, verdicts
