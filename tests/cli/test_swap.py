"""``curedash swap``, and the question of ``curedash weigh`` that leads to it."""

from collections.abc import Callable

from tests.cli.conftest import Done

Shell = Callable[..., Done]


def hang_both(shell: Shell) -> None:
    """A1 and A2 of the batch, hung and weighed for three weeks."""
    for code, grams in (("A1", "1130"), ("A2", "1040")):
        done = shell(
            "stage",
            code,
            "drying",
            "--weight",
            grams,
            "--yes",
            "--note",
            "early",
            "--at",
            "2026-11-01T20:00Z",
        )
        assert done.code == 0, done.err
    for day, one, other in ((8, 1058, 971), (13, 1012, 930), (19, 968, 889)):
        for code, grams in (("A1", one), ("A2", other)):
            done = shell(
                "weigh",
                code,
                str(grams),
                "--at",
                f"2026-11-{day:02}T18:00Z",
                "--yes",
                "--now",
                f"2026-11-{day:02}T18:00Z",
            )
            assert done.code == 0, done.err


def newest(shell: Shell, code: str) -> float:
    lots = shell("lots", "--json").json
    return next(lot["last_net_g"] for lot in lots if lot["code"] == code)


def test_a_swapped_pair_is_asked_about_and_put_right_in_one_step(shell: Shell, batch: Done):
    assert batch.code == 0
    hang_both(shell)
    shell("weigh", "A1", "855", "--yes")
    asked = shell("weigh", "A2", "933")
    assert asked.code == 65
    assert "933 g fits A1, and the 855 g of A1 fit A2. Were the two swapped?" in asked.err
    assert "then run curedash swap A1 A2." in asked.err
    assert shell("weigh", "A2", "933", "--yes").code == 0
    done = shell("swap", "A1", "A2")
    assert done.code == 0, done.err
    assert (newest(shell, "A1"), newest(shell, "A2")) == (933, 855)
    assert shell("undo").code == 0
    assert (newest(shell, "A1"), newest(shell, "A2")) == (855, 933)


def test_a_lot_is_not_swapped_with_itself(shell: Shell, batch: Done):
    assert batch.code == 0
    done = shell("swap", "A1", "a1")
    assert done.code == 65
    assert "two different lots" in done.err


def test_the_same_weigh_in_of_an_earlier_day_is_not_kept_twice(shell: Shell, batch: Done) -> None:
    hang_both(shell)
    again = ("weigh", "A1", "1030 g", "--at", "2026-11-10T18:00Z", "--yes")
    assert shell(*again).code == 0
    twice = shell(*again)
    assert twice.code == 65
    assert "A1 has that weigh-in already: 1030 g at the same time. Nothing was saved." in twice.err
    other = shell("weigh", "A1", "1031 g", "--at", "2026-11-10T18:00Z", "--yes")
    assert other.code == 0, other.err
