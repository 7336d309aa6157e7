"""A household's own rule set, scales, jars and styles, as a dose finds them."""

from curedash.__main__ import main
from curedash.domain.dosing import Scale
from curedash.services.dosing.dosing_means import dosing_defaults, find_style
from curedash.store import settings
from curedash.store.open import open_db
from curedash.store.work import By, change

BY = By("2026-11-25T12:00:00Z", "anna", "shell", "test")


def household(path):
    conn = open_db(str(path), create=True)
    with change(conn, BY, "settle") as work:
        settings.put(work, "rule_set", "eu")
        settings.add_scale(work, "spice scale", 0.01, 200.0)
        settings.add_scale(work, "kitchen scale", 1.0, 5000.0)
        settings.put_jar(
            work,
            "jar-1",
            name="red jar",
            nitrite_pct=5.0,
            nitrate_pct=0.0,
            nacl_pct=95.0,
            nitrate_as="label",
            opened_on="2026-01-02",
            note=None,
        )
        settings.put_style(
            work, "eye", {"id": "eye", "name": "my eye", "like": "bresaola", "loss_lo_pct": 33}
        )
    return conn


def test_the_households_own_come_first(tmp_path):
    conn = household(tmp_path / "h.db")
    found = dosing_defaults(conn)
    conn.close()
    assert found.rule_set == "eu"
    assert Scale(0.01, 200.0, "spice scale") in found.scales
    assert [(jar.id, jar.nitrite_pct) for jar in found.jars] == [("jar-1", 5.0)]
    own, new = find_style("My Eye", found)
    assert (own.loss_lo_pct, own.species, new) == (33, "beef", False)


def test_a_style_nobody_knows_is_made_and_said(tmp_path):
    style, new = find_style("goose leg")
    assert new
    assert (style.loss_lo_pct, style.loss_hi_pct, style.product_classes) == (30, 40, ())


def test_a_dose_uses_jar_scales_and_rules_of_the_file(tmp_path, capsys):
    household(tmp_path / "h.db").close()
    code = main(
        [
            "--db",
            str(tmp_path / "h.db"),
            "dose",
            "--green",
            "1 kg",
            "--salt",
            "2.75",
            "--curing-salt",
            "red jar",
            "--cure",
            "0.2",
            "--style",
            "eye",
            "--thickness",
            "60mm",
        ]
    )
    out = capsys.readouterr().out
    assert code == 0
    assert "nitrite 100 mg/kg" in out
    assert "(EU rules, non-heat-treated" in out
