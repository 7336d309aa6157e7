"""News rings once, what stood already does not, and only what was chosen is sent."""

from curedash.domain.needs.lot_needs import Need
from curedash.tui.chassis.notifier import Notifier

WARM = Need("act", "place-too-warm", "warm", "look", place="Fridge 2", place_id=1)
DUE = Need("today", "weigh-in-due", "due", "weigh it", lot="C2", lot_id=2)


def test_only_news_rings() -> None:
    notifier = Notifier({"CUREDASH_TELL": "bell"})
    assert notifier.signs([WARM]) == ""
    assert notifier.signs([WARM, DUE]) == ""
    assert notifier.signs([DUE]) == ""
    assert notifier.signs([WARM, DUE]) == "\a"
    assert notifier.signs([WARM, DUE]) == ""


def test_the_title_follows_and_is_sent_when_it_differs() -> None:
    notifier = Notifier({"CUREDASH_TELL": "title, desktop", "TERM": "foot"})
    assert notifier.signs([DUE]) == "\x1b]2;curedash: 1 today\x1b\\"
    assert notifier.signs([DUE]) == ""
    assert notifier.signs([DUE, WARM]).endswith("\x1b]9;Fridge 2: warm\x1b\\")
    assert notifier.signs([]) == "\x1b]2;curedash\x1b\\"


def test_nothing_is_sent_unasked() -> None:
    notifier = Notifier({"TERM": "foot"})
    assert notifier.signs([]) == notifier.signs([WARM]) == ""
