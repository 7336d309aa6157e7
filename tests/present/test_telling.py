"""What is sent to a terminal to call somebody: nothing a name holds can end the sequence."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.needs.lot_needs import Need
from curedash.domain.quantity_text import celsius, phrase
from curedash.present.display_units import show_in
from curedash.present.rack.around import need_words
from curedash.present.terminal_signals import BELL, can_notify, notification, signs, title

WARM = Need("act", "place-too-warm", "mean of 6 h is 9.0 °C", "look", place="Fridge 2", place_id=1)
DUE = Need("today", "weigh-in-due", "weigh-in due today", "weigh it", lot="C2", lot_id=2)
KITTY = {"TERM": "xterm-kitty"}


def test_the_title_counts_and_the_notification_names_the_worst() -> None:
    assert title([WARM, DUE]) == "\x1b]2;curedash: 1 now, 1 today\x1b\\"
    assert title([]) == "\x1b]2;curedash\x1b\\"
    assert notification([WARM, DUE]) == (
        "\x1b]9;Fridge 2: mean of 6 h is 9.0 °C (and 1 more)\x1b\\"
    )
    assert notification([]) == ""


def test_nothing_is_sent_that_was_not_chosen() -> None:
    off = {"ring": False, "show_title": False, "notify": False}
    assert signs([WARM], [WARM], KITTY, **off) == ""
    assert signs([WARM], [WARM], KITTY, **(off | {"ring": True})) == BELL
    assert signs([DUE], [DUE], KITTY, **(off | {"ring": True})) == ""
    assert signs([DUE], [DUE], KITTY, **(off | {"notify": True})) == notification([DUE])
    assert signs([DUE], [DUE], {"TERM": "linux"}, **(off | {"notify": True})) == ""
    assert signs([], [WARM], KITTY, ring=True, show_title=True, notify=True) == title([WARM])


@pytest.mark.parametrize(
    ("environ", "known"),
    [
        ({"TERM": "xterm-256color", "TERM_PROGRAM": "WezTerm"}, True),
        ({"TERM": "xterm-kitty", "TMUX": "/tmp/tmux-0/default,1,0"}, False),
        ({"TERM": "xterm-256color", "KONSOLE_VERSION": "230400"}, True),
        ({"TERM": "xterm-256color"}, False),
        ({}, False),
    ],
)
def test_only_terminals_that_show_it_are_sent_one(environ, known: bool) -> None:
    assert can_notify(environ) is known


@given(st.text(max_size=300), st.text(max_size=300))
def test_no_text_gets_out_of_its_sequence(place: str, message: str) -> None:
    need = Need("act", "x", message, "", place=place, place_id=1)
    sent = notification([need])
    inside = sent.removeprefix("\x1b]9;").removesuffix("\x1b\\")
    assert not any(ch in inside for ch in "\x1b\x07\x9c\n\r\x00")
    assert all(ch.isprintable() for ch in inside)
    assert len(inside) <= 220


def test_a_notification_is_in_the_units_shown() -> None:
    need = Need(
        "act", "place-too-warm", phrase("mean is {mean}", mean=celsius(8.2)), "", place="Cellar"
    )
    show_in("lb", "F")
    try:
        assert "Cellar: mean is 46.8 °F" in notification([need])
        assert need_words(need).endswith("mean is 46.8 °F")
    finally:
        show_in()
