"""The household as one web page for a phone: needs, Rack, places, every open lot with its curve.

One file without a script and without an outside address. Its content policy allows nothing but
its own style sheet (by hash) and pictures inside the page, so that no name can start anything.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Sequence
from datetime import datetime, tzinfo
from html import escape
from sqlite3 import Connection

from curedash.domain.drying.lot_figures import chance_short
from curedash.domain.needs.lot_needs import Need, gathered
from curedash.domain.times import days_between, utc_text
from curedash.papers.page_curve import fan_of, svg_of
from curedash.papers.page_photos import photo_list
from curedash.papers.page_style import STYLE
from curedash.present.display_units import retold
from curedash.present.drying.lot import facts
from curedash.present.lines import air_words
from curedash.present.numbers import number
from curedash.present.places.air import about_lines, age_words
from curedash.present.rack.around import counts_words, nothing_words
from curedash.present.rack.state import day_words, reached_or_to_go, window_words
from curedash.present.weighing.on_scale import pull_range
from curedash.present.words import ABOUT, LEVEL_WORDS, NOTHING, odds_words, plain, stage, weekday
from curedash.services.lot_view import LotView, read_lot
from curedash.services.places.air_view import PlaceAir, air_of_places
from curedash.services.rack import Rack, RackRow, read_rack, snoozed
from curedash.store import settings

HOUSEHOLD = "household"  # setting: the name on papers
WORDY = 60  # cells: room for the longest wording of a window or place
RELOAD_S = 300  # a page that is kept fresh is read again by the browser


def page(conn: Connection, now: datetime, *, reload_s: int | None = None, folder: str = ".") -> str:
    """The whole page as one text.

    Parameters
    ----------
    now : the moment it states (aware)
    reload_s : let the browser read it again after so long [s]; None for a page written once
    folder : where the page will lie, since photos are linked from there
    """
    rack = read_rack(conn, now)
    lots = [row.lot for row in rack.rows]
    needs = gathered(rack.needs, lots)
    air = air_of_places(conn, now, lots)
    name = plain(settings.get(conn, HOUSEHOLD) or "")
    title = f"Rack, {name}" if name else "Rack"
    local = now.astimezone(rack.zone)
    written = f"{weekday(local.date())} {local.year}, {local:%H:%M}"
    parts = [
        f"<header><h1>{escape(title)}</h1>",
        f'<p>As of <time datetime="{utc_text(now)}">{written}</time></p>',
        f'<p class="quiet">{escape(counts_words(rack.rows, needs))}</p></header>',
        _nav(air),
        _needs(conn, needs, rack, air, now),
        _rack(rack),
        _places(air, rack.needs, now),
        *(_lot(conn, row, now, rack.zone, folder) for row in rack.rows),
        '<footer class="quiet"><p>Written by curedash. It computes and records; it does not judge'
        " meat. Change nothing here: weigh and decide at the program.</p></footer>",
    ]
    return _document(title, parts, reload_s)


def undated(text: str) -> str:
    """A page without the moment it was written, to see whether anything else changed."""
    return re.sub(r"<time [^>]*>[^<]*</time>", "", text)


def policy() -> str:
    """The content policy of the page: its own style sheet and pictures inside it, nothing else."""
    digest = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
    return (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none';"
        " form-action 'none'"
    )


def _document(title: str, parts: Sequence[str], reload_s: int | None) -> str:
    again = "" if reload_s is None else f'<meta http-equiv="refresh" content="{reload_s}">\n'
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy()}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        '<meta name="referrer" content="no-referrer">\n<meta name="robots" content="noindex">\n'
        f'{again}<link rel="icon" href="data:,">\n<title>{escape(title)}</title>\n'
        f"<style>{STYLE}</style>\n</head>\n<body>\n" + "\n".join(parts) + "\n</body>\n</html>\n"
    )


def _nav(air: Sequence[PlaceAir]) -> str:
    wanted = [("needs", "Needs", True), ("rack", "Rack", True), ("places", "Places", bool(air))]
    links = "".join(f'<a href="#{at}">{word}</a>' for at, word, there in wanted if there)
    return f"<nav>{links}</nav>"


# ── needs ─────────────────────────────────────────────────────────────────────────────────


def _needs(
    conn: Connection, needs: Sequence[Need], rack: Rack, air: Sequence[PlaceAir], now: datetime
) -> str:
    head = '<section id="needs"><h2>Needs</h2>'
    if not needs:
        return f"{head}<p>{escape(nothing_words(snoozed(conn, now), rack.zone))}</p></section>"
    codes = {row.lot.code for row in rack.rows}
    places = {item.place.name for item in air}
    items = "".join(f"<li>{_need(need, codes, places)}</li>" for need in needs)
    return f'{head}<ul class="rows">{items}</ul></section>'


def _need(need: Need, codes: set[str], places: set[str]) -> str:
    said = (
        f'{_level(need.level)}<span class="what"><b><bdi>{_safe(need.subject)}</bdi></b> '
        f'{_safe(need.message)}<br><span class="quiet">{_safe(need.action)}</span></span>'
    )
    at = ""
    if need.lot in codes:
        at = _lot_id(str(need.lot))
    elif need.place in places:
        at = "places"
    return f'<a href="#{at}">{said}</a>' if at else f'<div class="row">{said}</div>'


def _level(level: str) -> str:
    words = LEVEL_WORDS.get(level)
    return "" if words is None else f'<span class="level {level}">{words}</span>'


# ── the Rack ──────────────────────────────────────────────────────────────────────────────


def _rack(rack: Rack) -> str:
    head = '<section id="rack"><h2>Rack</h2>'
    if not rack.rows:
        return f"{head}<p>No open lots.</p></section>"
    items = "".join(f"<li>{_row(row, rack.zone)}</li>" for row in rack.rows)
    note = "Losses are counted from the hang weight; ≈ marks an estimate."
    return f'{head}<p class="quiet">{note}</p><ul class="rows">{items}</ul></section>'


def _row(row: RackRow, zone: tzinfo) -> str:
    lot, shown = row.lot, row.figures
    where = plain(lot.place or "")
    about = f"{stage(lot.stage)}, {day_words(row)}" + (f" · {where}" if where else "")
    figures = []
    if shown.loss_pct is not None:
        figures.append(f"{ABOUT if shown.approx else ''}{number(shown.loss_pct, 1)} % lost")
    if still := reached_or_to_go(row):
        figures.append(still)
    note = window_words(row, WORDY, zone)
    if shown.window is not None and "since" not in note and "past" not in note:
        note = f"pull {note}"
    if note != NOTHING:
        figures.append(note)
    if odds := odds_words(chance_short(lot)):
        figures.append(odds)
    return (
        f'<a class="lot-row" href="#{_lot_id(lot.code)}"><span class="what">'
        f"<b>{_safe(lot.code)}</b> <bdi>{_safe(lot.piece or lot.batch_name)}</bdi></span>"
        f"{_level(row.level)}"
        f'<span class="told">{_whole(figures)}</span>'
        f'<span class="told quiet"><bdi>{_safe(about)}</bdi></span></a>'
    )


# ── places ────────────────────────────────────────────────────────────────────────────────


def _places(air: Sequence[PlaceAir], needs: Sequence[Need], now: datetime) -> str:
    if not air:
        return ""
    items = []
    for item in air:
        own = [need for need in needs if need.place_id == item.place.id and need.lot_id is None]
        level = own[0].level if own else ""
        last = ["no reading"]
        if item.last is not None:
            words = air_words(item.last.temp_c, item.last.rh_pct)
            last = [*words.split(", "), age_words(item.age_s)]
        more = "".join(f"<br>{_safe(line)}" for line in about_lines(item, now.timestamp()))
        items.append(
            f'<li><div class="row"><span class="what"><b><bdi>{_safe(item.place.name)}</bdi></b>'
            f'{_level(level)}<span class="quiet">{more}</span></span>'
            f'<span class="figures">{_whole(last)}</span></div></li>'
        )
    return f'<section id="places"><h2>Places</h2><ul class="rows">{"".join(items)}</ul></section>'


# ── one lot ───────────────────────────────────────────────────────────────────────────────


def _lot(conn: Connection, row: RackRow, now: datetime, zone: tzinfo, folder: str) -> str:
    view, photos = read_lot(conn, row.lot.id, now), photo_list(conn, row.lot.id, folder, zone)
    lot, local = view.lot, now.astimezone(zone)
    about = {
        words.casefold(): words
        for words in (plain(lot.batch_name), plain(lot.style_name), plain(lot.place or ""))
    }
    needs = "".join(
        f'<li><div class="row">{_level(need.level)}<span class="what">{_safe(need.message)}<br>'
        f'<span class="quiet">{_safe(need.action)}</span></span></div></li>'
        for need in view.needs
    )
    rows = [(name, plain(value)) for name, value, _ in facts(view, local.date(), zone)]
    span = pull_range(lot)
    if span is not None and lot.stage == "drying" and "pull at" not in dict(rows):
        rows.append(("pull at", f"{span} on the scale"))
    listed = "".join(f"<dt>{_safe(name)}</dt><dd>{_safe(value)}</dd>" for name, value in rows)
    return (
        f'<section class="lot" id="{_lot_id(lot.code)}"><h2>{_safe(lot.code)} '
        f"<bdi>{_safe(lot.piece)}</bdi></h2>"
        f'<p class="quiet"><bdi>{_safe(" · ".join(filter(None, about.values())))}</bdi></p>'
        + (f'<ul class="rows">{needs}</ul>' if needs else "")
        + _figure(view, now)
        + f"<dl>{listed}</dl>{photos}"
        + '<p class="back"><a href="#rack">Back to the Rack</a></p></section>'
    )


def _figure(view: LotView, now: datetime) -> str:
    curve = view.curve
    today = None if view.lot.hang_at is None else days_between(view.lot.hang_at, utc_text(now))
    drawn = svg_of(curve, today)
    if not drawn:
        return ""
    signs = ['<span class="key curve-key">weigh-ins</span>']
    if curve.target_pct is not None:
        low, high = (number(loss, 1).removesuffix(".0") for loss in curve.target_pct)
        span = low if low == high else f"{low}–{high}"
        signs.append(f'<span class="key target-key">target {span} %</span>')
    if 'class="window"' in drawn:
        signs.append('<span class="key window-key">pull window</span>')
    if fan_of(curve) and 'class="fan"' in drawn:
        signs.append('<span class="key fan-key">forecast, 8 times in 10</span>')
    return f"<figure>{drawn}<figcaption>{' '.join(signs)}</figcaption></figure>"


def _whole(parts: Sequence[str]) -> str:
    """Figures with commas between, none broken at the end of a line."""
    return ", ".join(f'<span class="whole">{_safe(part)}</span>' for part in parts)


def _lot_id(code: str) -> str:
    """The name of a lot's section; a code is letters and digits, whatever a file says of it."""
    return "lot-" + re.sub(r"[^A-Za-z0-9-]", "_", code)


def _safe(text: str) -> str:
    """Words for the page: in the units shown, no control or direction signs, escaped."""
    return escape(plain(retold(text)))
