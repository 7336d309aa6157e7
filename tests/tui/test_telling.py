"""News rings once, what stood already does not, and only what was chosen is sent."""

from curedash.domain.needs.lot_needs import Need
from curedash.tui.chassis.notifier import Telling

WARM = Need("act", "place-too-warm", "warm", "look", place="Fridge 2", place_id=1)
DUE = Need("today", "weigh-in-due", "due", "weigh it", lot="C2", lot_id=2)


def test_only_news_rings() -> None:
    telling = Telling({"CUREDASH_TELL": "bell"})
    assert telling.signs([WARM]) == ""
    assert telling.signs([WARM, DUE]) == ""
    assert telling.signs([DUE]) == ""
    assert telling.signs([WARM, DUE]) == "\a"
    assert telling.signs([WARM, DUE]) == ""


def test_the_title_follows_and_is_sent_when_it_differs() -> None:
    telling = Telling({"CUREDASH_TELL": "title, desktop", "TERM": "foot"})
    assert telling.signs([DUE]) == "\x1b]2;curedash: 1 today\x1b\\"
    assert telling.signs([DUE]) == ""
    assert telling.signs([DUE, WARM]).endswith("\x1b]9;Fridge 2: warm\x1b\\")
    assert telling.signs([]) == "\x1b]2;curedash\x1b\\"


def test_nothing_is_sent_unasked() -> None:
    telling = Telling({"TERM": "foot"})
    assert telling.signs([]) == telling.signs([WARM]) == ""
