"""The own looks: readable in every tone, no colour where colours are unwelcome."""

import pytest

from curedash.tui.chassis.theme import DARK, LIGHT, TERMINAL, styles_for, theme_for


def luminance(triplet) -> float:
    """Relative luminance as WCAG 2.2 defines it (w3.org/TR/WCAG22, "relative luminance")."""
    parts = [c / 255 for c in triplet]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(style) -> float:
    over, under = (luminance(c.get_truecolor()) for c in (style.color, style.bgcolor))
    return (max(over, under) + 0.05) / (min(over, under) + 0.05)


def test_the_measure_is_the_published_one():
    from rich.style import Style

    # WCAG 2.2: black on white is 21:1; #767676 on white the lightest grey above 4.5:1
    assert contrast(Style.parse("#000000 on #ffffff")) == pytest.approx(21.0)
    assert contrast(Style.parse("#767676 on #ffffff")) == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("theme", [DARK, LIGHT])
def test_every_tone_is_readable_on_its_ground_and_on_the_cursor(theme):
    for tone, style in styles_for(theme).items():
        assert contrast(style) >= 4.5, tone  # WCAG 2.2, 1.4.3 (AA)


@pytest.mark.parametrize("theme", [DARK, LIGHT])
def test_the_cursors_row_stands_out_from_the_others(theme):
    styles = styles_for(theme)
    row, other = (luminance(styles[tone].bgcolor.get_truecolor()) for tone in ("@", ""))
    assert (max(row, other) + 0.05) / (min(row, other) + 0.05) >= 1.5  # design value of our own


def test_act_and_today_differ_without_colour(monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    styles = styles_for(TERMINAL)
    assert styles["act"].bold
    assert not styles["today"].bold
    assert all(style.color is None and style.bgcolor is None for style in styles.values())


@pytest.mark.parametrize("term", ["linux", "screen", "screen-256color", "vt100", "dumb"])
def test_few_colours_mean_the_terminals_own(monkeypatch, term):
    monkeypatch.setenv("TERM", term)
    assert theme_for(LIGHT) == TERMINAL


def test_no_color_means_the_terminals_own(monkeypatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    assert theme_for(LIGHT) == LIGHT
    monkeypatch.setenv("NO_COLOR", "1")
    assert theme_for(LIGHT) == TERMINAL
