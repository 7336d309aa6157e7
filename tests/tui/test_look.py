"""The own looks: readable in every tone, no colour where colours are unwelcome."""

import pytest
from rich.color import Color
from rich.style import Style

from curedash.tui.chassis.theme import (
    CONTRAST,
    DARK,
    LIGHT,
    TERMINAL,
    styles_for,
    theme_for,
    themes,
)

OWN = (DARK, LIGHT, CONTRAST)


def luminance(triplet) -> float:
    """Relative luminance as WCAG 2.2 defines it (w3.org/TR/WCAG22, "relative luminance")."""
    parts = [c / 255 for c in triplet]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(style) -> float:
    over, under = (luminance(c.get_truecolor()) for c in (style.color, style.bgcolor))
    return (max(over, under) + 0.05) / (min(over, under) + 0.05)


def test_the_measure_is_the_published_one():
    # WCAG 2.2: black on white is 21:1; #767676 on white the lightest grey above 4.5:1
    assert contrast(Style.parse("#000000 on #ffffff")) == pytest.approx(21.0)
    assert contrast(Style.parse("#767676 on #ffffff")) == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("theme", OWN)
def test_every_tone_is_readable_on_its_ground_and_on_the_cursor(theme):
    for tone, style in styles_for(theme).items():
        assert contrast(style) >= 4.5, tone  # WCAG 2.2, 1.4.3 (AA)


@pytest.mark.parametrize("theme", OWN)
def test_the_cursors_row_stands_out_from_the_others(theme):
    styles = styles_for(theme)
    row, other = (luminance(styles[tone].bgcolor.get_truecolor()) for tone in ("@", ""))
    assert (max(row, other) + 0.05) / (min(row, other) + 0.05) >= 3  # WCAG 2.2, 1.4.11


def test_the_look_of_high_contrast_is_readable_by_its_name():
    for tone, style in styles_for(CONTRAST).items():
        assert contrast(style) >= 7, tone  # WCAG 2.2, 1.4.6 (AAA)


# ── seen without red and green ────────────────────────────────────────────────────────────

#: deuteranopia, linear RGB to linear RGB: Machado, Oliveira and Fernandes 2009, severity 1.0
#: (the printed matrix from memory, not seen)
DEUTERANOPIA = (
    (0.367322, 0.860646, -0.227968),
    (0.280085, 0.672501, 0.047413),
    (-0.011820, 0.042940, 0.968881),
)
TO_XYZ = (  # linear sRGB to XYZ under D65, IEC 61966-2-1
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
SEEN_ALL = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
WHITE = (0.95047, 1.0, 1.08883)


def times(matrix, values):
    return [sum(a * b for a, b in zip(row, values, strict=True)) for row in matrix]


def lab_of(triplet, seen=DEUTERANOPIA):
    """CIE L*a*b* of a colour as it is seen."""
    parts = [c / 255 for c in triplet]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    linear = [min(1.0, max(0.0, each)) for each in times(seen, linear)]
    x, y, z = (
        part ** (1 / 3) if part > (6 / 29) ** 3 else part / (3 * (6 / 29) ** 2) + 4 / 29
        for part in (each / white for each, white in zip(times(TO_XYZ, linear), WHITE, strict=True))
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def delta_e(one, other) -> float:
    """CIEDE2000: Sharma, Wu and Dalal 2005."""
    from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

    mean_c = (hypot(*one[1:]) + hypot(*other[1:])) / 2
    more = 1 + 0.5 * (1 - sqrt(mean_c**7 / (mean_c**7 + 25**7)))
    (l1, a1, b1), (l2, a2, b2) = ((li, more * a, b) for li, a, b in (one, other))
    c1, c2 = hypot(a1, b1), hypot(a2, b2)
    h1, h2 = degrees(atan2(b1, a1)) % 360, degrees(atan2(b2, a2)) % 360
    turn = (h2 - h1 + 180) % 360 - 180 if c1 * c2 else 0.0
    apart_h = 2 * sqrt(c1 * c2) * sin(radians(turn) / 2)
    mean_l, mean_c, mean_h = (l1 + l2) / 2, (c1 + c2) / 2, (h1 + turn / 2) % 360
    t = (
        1
        - 0.17 * cos(radians(mean_h - 30))
        + 0.24 * cos(radians(2 * mean_h))
        + 0.32 * cos(radians(3 * mean_h + 6))
        - 0.20 * cos(radians(4 * mean_h - 63))
    )
    by_l = (l2 - l1) / (1 + 0.015 * (mean_l - 50) ** 2 / sqrt(20 + (mean_l - 50) ** 2))
    by_c = (c2 - c1) / (1 + 0.045 * mean_c)
    by_h = apart_h / (1 + 0.015 * mean_c * t)
    bend = 2 * sqrt(mean_c**7 / (mean_c**7 + 25**7))
    bend *= -sin(radians(60 * exp(-(((mean_h - 275) / 25) ** 2))))
    return sqrt(by_l**2 + by_c**2 + by_h**2 + bend * by_c * by_h)


def test_the_difference_is_the_published_one():
    """Three pairs of the test data of Sharma, Wu and Dalal 2005 (from memory)."""
    assert delta_e((50, 2.6772, -79.7751), (50, 0, -82.7485)) == pytest.approx(2.0425, abs=1e-4)
    assert delta_e((50, 2.5, 0), (73, 25, -18)) == pytest.approx(27.1492, abs=1e-4)
    assert delta_e((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514)) == pytest.approx(
        0.9082, abs=1e-4
    )


@pytest.mark.parametrize("theme", OWN)
@pytest.mark.parametrize("mark", ["", "@"])
def test_act_and_today_stay_apart_for_who_sees_no_green(theme, mark):
    styles = styles_for(theme)
    act, today = (styles[tone + mark].color.get_truecolor() for tone in ("act", "today"))
    assert delta_e(lab_of(act), lab_of(today)) >= 12  # design value of our own


@pytest.mark.parametrize("theme", OWN)
def test_today_is_seen_apart_from_plain_and_quiet_words(theme):
    styles = styles_for(theme)
    today, ink, quiet = (
        lab_of(styles[tone].color.get_truecolor(), SEEN_ALL) for tone in ("today", "", "quiet")
    )
    assert delta_e(today, ink) >= 20  # design values of our own
    assert delta_e(today, quiet) >= 15


@pytest.mark.parametrize("theme", OWN)
def test_every_tone_is_readable_on_the_ground_of_a_field(theme):
    """Words of a field one types into, and of what scrolls."""
    raised = Color.parse(next(t for t in themes() if t.name == theme).panel)
    for tone, style in styles_for(theme).items():
        if style.bgcolor == styles_for(theme)[""].bgcolor and not style.reverse:
            assert contrast(Style.from_color(style.color, raised)) >= 4.5, tone


@pytest.mark.parametrize("theme", OWN)
def test_the_colour_of_today_means_nothing_else(theme):
    styles = styles_for(theme)
    amber = styles["today"].color
    assert [tone for tone, style in styles.items() if style.color == amber] == ["today"]


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
