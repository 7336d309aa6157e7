"""Nothing lies about that nobody uses: a tool finds it, this list says what is alive all the same.

Users are the program itself and the scripts that make its pages; what only tests use is dead.
"""

from fnmatch import fnmatch
from pathlib import Path

from vulture import Vulture  # type: ignore[import-untyped]

from curedash.tui.chassis.commands import SCREENS

ROOT = Path(__file__).resolve().parents[2]

#: name or pattern → who uses it
ALIVE = {
    # by their names, put together from a table or a string
    "do_*": "the command of that name, chassis/commands.COMMANDS",
    "on_*": "the event of the screen library of that name",
    "_change_*": "the line of the settings page of that name",
    "action_*": "a binding of the program",
    "_enable_mouse_pixels": "the driver of the screen library, which would count in pixels",
    "aw_brine": "the law of the table in domain/drying/water.py",
    "moisture_to_protein": "the law of the table in domain/drying/water.py",
    "deficit_hpa": "the panel of the curves of air",
    "INPUTS": "tests hold the layer of the forecast to it",
    # documents: a record becomes keys of JSON
    "batch_note": "a key of the Book",
    "two_stage": "a key of a style",
    "weighed_as_group": "a key of a style",
    # facts are a record of what was read, whether or not a rule needs it today
    "*_SOURCE": "where numbers come from",
    "*_HOW": "how well they are known",
    "example_days": "the printed example of a rule",
    "formula": "the printed formula of a rule",
    "highest_temp_f": "a column of that table",
    "degree_hours_f": "a column of that table",
    "limit_f": "a column of that table",
    "NACL": "the molar mass by name, for docs/record_of_numbers.py",
    "LETHAL_ION_MG_PER_KG": "the printed dose, of which the others are made",
    "ILL_ION_MG_PER_KG": "the printed dose, of which the others are made",
    "LETHAL_NANO2_MG_PER_KG": "the printed dose as sodium nitrite",
    "EATING": "the rule that no choice of these is offered for what is grave",
    "VERDICTS": "all words of a verdict",
    "as_weighed": "whether a dose was computed or weighed",
    "OTHER": "pages of formulas",
    # libraries read it
    "__wrapped__": "inspect",
    "ALLOW_SELECT": "Textual",
    "AUTO_FOCUS": "Textual",
    "BINDINGS": "Textual",
    "CSS_PATH": "Textual",
    "ENABLE_COMMAND_PALETTE": "Textual",
    "_return_code": "Textual",
    "_run_input_thread": "Textual",
    "animation_level": "Textual",
    "bubble": "Textual",
    "can_focus": "Textual",
    "compose": "Textual",
    "cursor_position": "Textual",
    "driver_class": "Textual",
    "get_default_screen": "Textual",
    "max_height": "Textual",
    "render_line": "Textual",
    "c_margin": "fpdf2",
    "connections": "the tests of the broker: how often it was reached",
}


def unused() -> dict[str, str]:
    """What nobody uses, by name, with its place; pages are loaded by name."""
    tool = Vulture(ignore_decorators=["@curedash*"])  # steps of the schema
    tool.scavenge([str(ROOT / "curedash"), str(ROOT / "docs")])
    pages = {page.partition(":")[2] for page in SCREENS.values()}
    return {
        item.name: f"{item.filename}:{item.first_lineno}"
        for item in tool.get_unused_code(min_confidence=60)
        if item.name not in pages
    }


def test_nothing_is_dead() -> None:
    found = unused()
    dead = {
        name: place
        for name, place in found.items()
        if not any(fnmatch(name, pattern) for pattern in ALIVE)
    }
    assert dead == {}, "take it out, or say in ALIVE who uses it"
    idle = {pattern for pattern in ALIVE if not any(fnmatch(name, pattern) for name in found)}
    assert idle == set(), "the tool sees who uses it: take it out of ALIVE"
