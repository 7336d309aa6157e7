"""What a mouse does where it was asked for: a row, a key at the foot, the wheel."""

from __future__ import annotations

from textual.geometry import Offset

from curedash.present.words import cells
from curedash.tui.chassis.commands import KEY_WORDS
from curedash.tui.chassis.drawn_page import keys_shown
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.page import Page
from curedash.tui.widgets.lines import LineList

WHEEL_LINES = 3
_KEYS = {words: key for key, words in KEY_WORDS.items()} | {
    "Left": "left",
    "Right": "right",
    "Up": "up",
    "Down": "down",
    "Shift+Tab": "shift+tab",
}


def pressed(page: Page, at: Offset) -> None:
    """A click: the key at the foot that is there, or the row; on the marked row its Enter."""
    foot = page.foot.region
    if foot.contains_point(at):
        if at.y == foot.bottom - 1:
            _press_key(page, at.x - foot.x)
        return
    found = _list_at(page, at)
    if found is None or page.talking is not None or not isinstance(page, ListPage):
        return
    key = found.key_at(at.y - found.region.y, at.x - found.region.x)
    if key is None or found is not page.list or not found.has_cursor:
        return
    if key == found.marked_key:
        page.typed_meanwhile("enter", "\r")
        return
    page.clear_message()
    page.go_to(key)
    page.draw_foot()


def scrolled(page: Page, at: Offset, by: int) -> None:
    """The wheel: the list below the pointer goes on; a question about its row keeps it there."""
    found = _list_at(page, at)
    if found is None and isinstance(page, ListPage):
        found = page.list
    if found is None or (found.has_cursor and page.talking is not None):
        return
    found.scroll_by_lines(by * WHEEL_LINES)
    page.draw_foot()


def _list_at(page: Page, at: Offset) -> LineList | None:
    """The list that is drawn there."""
    for one in page.query(LineList):
        if one.display and one.region.contains_point(at):
            return one
    return None


def _press_key(page: Page, x: int) -> None:
    """The key that is named at the foot there, or whose word is."""
    begin = 0
    for text, label in keys_shown(page.hints_now(), page.size.width):
        end = begin + cells(text) + 1 + cells(label)
        if begin <= x < end:
            key = _named(text, x - begin)
            page.typed_meanwhile(key, _char_of(key))
            return
        begin = end


def _named(text: str, x: int) -> str:
    """Which key of a hint lies there; of a hint with several the first beside all of them."""
    at, names = 0, []
    for name in text.split(" "):
        names.append((at, name))
        at += cells(name) + 1
    words = [(begin, name) for begin, name in names if name]
    here = [name for begin, name in words if begin <= x < begin + cells(name)]
    name = here[0] if here else words[0][1]
    return _KEYS.get(name, name)


def _char_of(key: str) -> str | None:
    if len(key) == 1:
        return key
    return {"enter": "\r", "space": " ", "question_mark": "?", "slash": "/"}.get(key)
