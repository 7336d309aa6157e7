"""The one list of commands: it binds the keys and fills footer, palette, Keys screen and docs.

A command ``rack.weigh`` calls ``do_weigh`` of the page named ``rack``; ``any.…`` works on every
page. Keys are letters, digits, Enter, Esc, arrows and F-keys only: a multiplexer eats the others.
To add a screen: one line in ``SCREENS`` and its commands below; nothing else has to know.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from curedash.present.signs import key_drawn

#: Page name → where its class lives; loaded when first shown.
SCREENS = {
    "rack": "curedash.tui.screens.rack:Rack",
    "round": "curedash.tui.screens.round:Round",
    "needs": "curedash.tui.screens.needs:Needs",
    "places": "curedash.tui.screens.places:Places",
    "air": "curedash.tui.screens.air:AirPage",
    "new_batch": "curedash.tui.screens.new_batch:NewBatch",
    "dose_sheet": "curedash.tui.screens.dose_sheet:DoseSheet",
    "misdose": "curedash.tui.screens.misdose:MisDoseBench",
    "lot": "curedash.tui.screens.lot:Lot",
    "diary": "curedash.tui.screens.diary:DiaryPage",
    "book": "curedash.tui.screens.book:Book",
    "history": "curedash.tui.screens.history:History",
    "copies": "curedash.tui.screens.copies:Copies",
    "settings": "curedash.tui.screens.settings:Settings",
    "first_start": "curedash.tui.screens.first_start:FirstStart",
    "keys": "curedash.tui.screens.keys:Keys",
    "palette": "curedash.tui.screens.palette:Palette",
}

FOOTER_KEYS = 6  # of a page that come first at its foot
MOVES = ("up", "down", "page-up", "page-down", "first", "last", "next", "previous", "enter")
TYPED = ("palette",)  # pages on which every letter is typed, like into a form
BY_LIST = "F2 list"  # for a command without a key of its own
KEY_WORDS = {
    "question_mark": "?",
    "enter": "Enter",
    "escape": "Esc",
    "left": "←",
    "right": "→",
    "up": "↑",
    "down": "↓",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "home": "Home",
    "end": "End",
    **{f"f{n}": f"F{n}" for n in range(1, 11)},
    "tab": "Tab",
    "shift+tab": "⇧Tab",
    "space": "Space",
    "slash": "/",
    "ctrl+s": "^S",
    "ctrl+p": "^P",
}


def key_word(key: str) -> str:
    """A key as it is printed, in signs that the terminal draws."""
    return key_drawn(KEY_WORDS.get(key, key))


@dataclass(frozen=True, slots=True)
class Command:
    """Something a person can do on a page."""

    id: str  # page.verb
    keys: tuple[str, ...]
    label: str  # one or two words for the footer
    help: str  # one sentence
    footer: bool = False
    within: str = ""  # without a key of its own: the verb that offers it, and under which number

    @property
    def page(self) -> str:
        """The page it belongs to, ``any`` for all."""
        return self.id.partition(".")[0]

    @property
    def method(self) -> str:
        """The method of the page that does it."""
        return "do_" + self.id.partition(".")[2].replace("-", "_")

    @property
    def key_words(self) -> str:
        """Its keys as they are printed; one without goes by the key that offers it."""
        if self.keys:
            return " ".join(key_word(key) for key in self.keys)
        return key_of(self.id)


def _ways(page: str, back: str) -> tuple[Command, ...]:
    """What every page of letters has first: its keys, and the way back."""
    return (
        Command(f"{page}.keys", ("question_mark", "f1"), "keys", "All keys of this screen.", True),
        Command(f"{page}.leave", ("q", "escape"), "back", back, True),
    )


def _moves(page: str, row: str, *, screens: bool = True, end: str = "") -> tuple[Command, ...]:
    """How a list is gone through: by rows, by screens, to its ends where they have a name."""
    made = [
        Command(f"{page}.up", ("up", "k"), "up", f"One {row} up."),
        Command(f"{page}.down", ("down", "j"), "down", f"One {row} down."),
    ]
    if screens:
        made += [
            Command(f"{page}.page-up", ("pageup",), "page up", "One screen up."),
            Command(f"{page}.page-down", ("pagedown",), "page down", "One screen down."),
        ]
    if end:
        made += [
            Command(f"{page}.first", ("home",), "first", f"The first {end}."),
            Command(f"{page}.last", ("end",), "last", f"The last {end}."),
        ]
    return tuple(made)


_WRITTEN: tuple[Command, ...] = (
    # ── the Rack ──
    Command("rack.keys", ("question_mark", "f1"), "keys", "All keys of this screen.", True),
    Command("rack.weigh", ("w",), "weigh", "Weigh this lot; a digit starts it at once.", True),
    Command(
        "rack.stage", ("s",), "stage", "Move this lot to its next stage; b: its batch too.", True
    ),
    Command("rack.needs", ("a",), "needs", "Everything that needs you.", True),
    Command("rack.open", ("enter",), "open", "Open this lot: curve, weights, log.", True),
    Command("rack.round", ("r",), "round", "Weigh every lot that is due, one by one.", True),
    Command("rack.new", ("n",), "new", "Salt a new batch: doses, price, then lots.", True),
    Command("rack.places", ("p",), "places", "The places and their air."),
    Command("rack.diary", ("d",), "diary", "The coming days, days away, your stand-in."),
    Command("rack.undo", ("u",), "undo", "Undo the last change made here."),
    Command("rack.redo", ("y",), "redo", "Redo what was undone last."),
    Command(
        "rack.turned", ("t", "U"), "turned", "Record a turn in the cure: this lot, or its place."
    ),
    Command("rack.under-way", ("N",), "under way", "Add what is already curing or hanging."),
    Command("rack.book", ("B",), "book", "Finished lots: curves, cost per kg; make again."),
    Command("rack.history", ("H",), "history", "Who did what, when; undo any change."),
    Command(
        "rack.settings", ("S", "f9"), "settings", "Units, limits, scales, places, alerts, keys."
    ),
    Command("rack.sheet", ("f3",), "dose sheet", "The dose sheets of this lot's batch."),
    Command("rack.reading", ("g",), "pH", "Record a pH reading, by meter or strip."),
    Command(
        "rack.edit",
        ("e",),
        "weight, tare",
        "Correct its newest weigh-in, tare, hang weight or a swap.",
    ),
    Command(
        "rack.swap", (), "swap", "Swap its newest weigh-in with another lot's.", within="edit 4"
    ),
    Command("rack.misdose", ("D",), "gone wrong", "Dose gone wrong: what went in, the choices."),
    Command("rack.tag", ("T",), "tags", "Tags (labels): this lot, its batch, the rows shown."),
    Command("rack.record", ("R",), "record", "The record of this lot or its batch, to a file."),
    Command("rack.base", ("b",), "base", "Show loss from hang weight or from green weight."),
    Command("rack.order", ("o",), "order", "Re-sort the rows; they keep their order until then."),
    Command("rack.find", ("slash",), "find", "Show only rows with these letters anywhere."),
    Command(
        "rack.alike", ("L",), "alike", "Only the batch, place or stage of this row; again: all."
    ),
    Command("rack.only-batch", (), "batch", "Only the batch of this row.", within="alike 1"),
    Command("rack.only-place", (), "place", "Only the place of this row.", within="alike 2"),
    Command("rack.only-stage", (), "stage only", "Only the stage of this row.", within="alike 3"),
    *_moves("rack", "row", end="row"),
    Command("rack.clear", ("escape",), "all rows", "Show all rows again."),
    Command("rack.leave", ("q",), "quit", "Leave the program."),
    # ── the Round ──
    *_ways("round", "Back; what was saved stays."),
    Command("round.later", ("z",), "skip", "Leave this lot out of the round.", True),
    Command("round.note", ("l",), "note", "A note with the next weight.", True),
    Command("round.tare", ("tab",), "without tare", "The scale shows the meat alone.", True),
    Command("round.undo", ("u",), "undo", "Undo the last one.", True),
    Command(
        "round.round", ("r",), "all", "All that hangs, not only what is due; again: what is due."
    ),
    Command("round.up", ("up",), "up", "Back to the lot above, also one just weighed."),
    Command("round.down", ("down",), "down", "On to the lot below."),
    # ── Needs ──
    *_ways("needs", "Back to where you came from."),
    Command("needs.open", ("enter",), "do it", "Do what this line asks for, right here.", True),
    Command("needs.lot", ("right",), "open lot", "Open the page of its lot or place.", True),
    Command("needs.later", ("z",), "snooze", "Snooze it, with a reason; again: change.", True),
    Command("needs.undo", ("u",), "undo", "Undo the last change made here.", True),
    Command("needs.redo", ("y",), "redo", "Redo what was undone last."),
    *_moves("needs", "line", end="line"),
    # ── Places ──
    *_ways("places", "Back to where you came from."),
    Command("places.open", ("enter",), "week", "The curves of a week.", True),
    Command("places.reading", ("g",), "reading", "A reading you took yourself.", True),
    Command(
        "places.outage", ("O",), "off", "Record that it was off or warm: from, to, highest.", True
    ),
    Command("places.undo", ("u",), "undo", "Undo the last reading, failure or band.", True),
    Command("places.by-name", ("space",), "more", "Less common actions: off, sensor, band."),
    Command("places.decide", ("J",), "decide", "Record what you decided after it was off or warm."),
    Command("places.sensor", ("G",), "sensor", "Correct the readings of a sensor there."),
    Command("places.redo", ("y",), "redo", "Redo what was undone last here."),
    Command("places.new", ("n",), "new", "Add a place, with its band."),
    Command("places.edit", ("e",), "band", "Its temperature and humidity band."),
    *_moves("places", "place", screens=False, end="place"),
    # ── a week of one place ──
    *_ways("air", "Back to the places."),
    Command(
        "air.view", ("v", "enter"), "other", "Temperature, humidity, dew point, drying power.", True
    ),
    Command("air.span", ("space",), "span", "A week, three months, a year.", True),
    Command("air.sensor", ("G",), "sensor", "The next sensor of this place."),
    Command("air.earlier", ("left",), "earlier", "A week earlier.", True),
    Command("air.later", ("right",), "later", "A week later.", True),
    # ── New batch (letters are typed there, so its commands have none) ──
    Command("new_batch.keys", ("f1",), "keys", "All keys of this screen.", True),
    Command(
        "new_batch.leave",
        ("escape", "q"),
        "back",
        "Back; what you typed is saved as a draft.",
        True,
    ),
    Command("new_batch.save", ("f10", "ctrl+s"), "save", "Save it, open its dose sheet.", True),
    Command("new_batch.next", ("tab",), "next", "To the next field or button.", True),
    Command("new_batch.accepted", ("f5",), "accept", "Use the suggested value.", True),
    Command(
        "new_batch.more", ("f6",), "all fields", "Open all fields, the price too, or fold them."
    ),
    Command("new_batch.sources", ("f7",), "sources", "The texts that the limits come from."),
    Command("new_batch.premix", ("f8",), "pre-mix", "Make and use the suggested pre-mix."),
    Command("new_batch.enter", ("enter",), "next", "The next field; on a button: do it."),
    Command("new_batch.previous", ("shift+tab",), "previous", "The previous field."),
    Command("new_batch.down", ("down",), "down", "One line down."),
    Command("new_batch.up", ("up",), "up", "One line up."),
    Command("new_batch.table-down", ("pagedown",), "table down", "Scroll the dose table down."),
    Command("new_batch.table-up", ("pageup",), "table up", "Scroll the dose table up."),
    Command("new_batch.empty", ("f9",), "empty", "Empty the form; again brings it back."),
    # ── Dose sheet ──
    *_ways("dose_sheet", "Back; what was ticked stays."),
    Command("dose_sheet.tick", ("space", "enter"), "tick", "Weighed as planned; go on.", True),
    Command("dose_sheet.remove", ("X",), "untick", "Untick this line.", True),
    Command("dose_sheet.into-cure", ("I",), "into cure", "Put all raw lots into the cure.", True),
    Command("dose_sheet.undo", ("u",), "undo", "Undo the last change of this batch.", True),
    Command("dose_sheet.redo", ("y",), "redo", "Redo what was undone last of this batch."),
    Command("dose_sheet.misdose", ("D",), "gone wrong", "Dose gone wrong: what went in."),
    Command(
        "dose_sheet.turned", ("t", "U"), "turned", "Record that what is in the cure was turned."
    ),
    Command("dose_sheet.record", ("R",), "to file", "Write the sheet to a file, to be printed."),
    Command("dose_sheet.stage", ("s",), "stage", "Move this lot alone to its next stage."),
    Command("dose_sheet.lot", ("right",), "open lot", "Open this lot: curve, weights, log."),
    *_moves("dose_sheet", "ingredient", end="ingredient"),
    # ── the mis-dose bench (letters are typed there) ──
    Command("misdose.keys", ("f1",), "keys", "All keys of this screen.", True),
    Command("misdose.leave", ("escape", "q"), "back", "Back without saving anything.", True),
    Command("misdose.save", ("f10", "ctrl+s"), "record it", "Record what went in.", True),
    Command("misdose.next", ("tab",), "next", "To the next field or button.", True),
    Command("misdose.enter", ("enter",), "next", "The next field; on a button: do it."),
    Command("misdose.previous", ("shift+tab",), "previous", "The previous field."),
    Command("misdose.down", ("down",), "down", "One line down."),
    Command("misdose.up", ("up",), "up", "One line up."),
    Command("misdose.bench-down", ("pagedown",), "down", "Scroll down."),
    Command("misdose.bench-up", ("pageup",), "back", "Scroll up."),
    # ── one lot ──
    *_ways("lot", "Back to where you came from."),
    Command("lot.weigh", ("w",), "weigh", "Weigh it; a digit starts it at once.", True),
    Command("lot.stage", ("s",), "stage", "Change its stage, b: the batch; closed: reopen.", True),
    Command("lot.feel", ("f",), "feel", "Record rim, firmness, smell; then what next.", True),
    Command("lot.finish", ("E",), "end", "Final weight, liking, packs; again: correct them.", True),
    Command("lot.by-name", ("space",), "more", "Less common actions: divide, bag, mould, discard."),
    Command("lot.turned", ("t", "U"), "turned", "Record a turn: this lot, or all in its place."),
    Command("lot.note", ("l",), "note", "A note in your own words."),
    Command("lot.undo", ("u",), "undo", "Undo the last change of this lot."),
    Command("lot.redo", ("y",), "redo", "Redo what was undone last of this lot."),
    Command(
        "lot.opened", ("i",), "opened", "Record that it was cut open: what you saw, what next."
    ),
    Command("lot.rebase", ("c",), "re-base", "Meat cut off, casing off, lard put on, re-bagged."),
    Command("lot.divide", ("Y",), "divide", "Divide it; the parts inherit its loss."),
    Command("lot.move", ("m",), "move", "Hang it in another place."),
    Command("lot.hold", ("h",), "hold", "Pause drying in a sealed bag; again: go on."),
    Command("lot.pack", ("V",), "pack", "Packs, its own or mixed with other lots; for whom."),
    Command("lot.price", ("P",), "price", "What its roast cost; the cost of a kg follows."),
    Command("lot.sheet", ("f3",), "dose sheet", "The dose sheets of its batch, to be ticked."),
    Command(
        "lot.edit",
        ("e",),
        "weight, tare",
        "Correct its newest weigh-in, tare, hang weight or a swap.",
    ),
    Command("lot.tare", (), "tare", "Correct the tare.", within="edit 2"),
    Command("lot.start", (), "start", "Correct the hang or green weight.", within="edit 3"),
    Command(
        "lot.swap", (), "swap", "Swap its newest weigh-in with another lot's.", within="edit 4"
    ),
    Command("lot.reading", ("g",), "pH", "Record a pH reading, by meter or strip."),
    Command("lot.freeze", ("F",), "frozen", "Freezing count: in, out again, warmest reading."),
    Command("lot.misdose", ("D",), "gone wrong", "Dose gone wrong: what went in, the choices."),
    Command("lot.tag", ("T",), "tag", "Its tag (label), or that of its batch, to be printed."),
    Command("lot.record", ("R",), "record", "Its whole record, or its batch's, to a file."),
    Command("lot.what-if", ("W",), "what if", "What if: another target, place or hold."),
    Command("lot.smoked", ("K",), "smoked", "Record that it was smoked: how long, how warm."),
    Command("lot.mould", ("M",), "mould", "Mould: colour, texture, spread, what was done."),
    Command("lot.decide", ("J",), "decide", "Record what you decided after an alert."),
    Command("lot.contact", ("Q",), "bag", "Record how the bag lies on the meat."),
    Command("lot.answer", ("A",), "answer", "Answer its open question: a value, or why unknown."),
    Command("lot.right", ("enter",), "correct", "Correct the marked line of the log."),
    Command("lot.remove", ("X",), "void", "Void the marked weigh-in."),
    Command("lot.discard", ("Z",), "discard", "Throw it away, with the reason."),
    Command("lot.history", ("H",), "history", "Every change of this lot, step by step."),
    Command("lot.base", ("b",), "base", "Show loss from hang weight or from green weight."),
    Command("lot.next-tab", ("right",), "next list", "Log, dose sheet, figures."),
    Command("lot.previous-tab", ("left",), "list before", "Figures, dose sheet, log."),
    Command("lot.view", ("v",), "curve", "Curve and list, the curve alone, the list alone."),
    *_moves("lot", "line", end="line"),
    # ── Diary ──
    *_ways("diary", "The days again, then back."),
    Command("diary.view", ("v",), "month", "The month at a glance; again: the days.", True),
    Command("diary.new", ("n",), "away", "Days away: what passes its target meanwhile.", True),
    Command("diary.record", ("R",), "stand-in", "Write the page for your stand-in.", True),
    Command(
        "diary.what-if", ("W",), "ready by", "When to salt so that it is ready by a day.", True
    ),
    Command(
        "diary.save", ("ctrl+s",), "save", "Save the days away, or the page for your stand-in."
    ),
    Command("diary.remove", ("X",), "cancel days away", "Delete days away."),
    Command("diary.open", ("enter",), "open", "Open the lot of this line."),
    *_moves("diary", "line", end="line"),
    # ── Book ──
    *_ways("book", "All rows again, then back."),
    Command("book.open", ("enter",), "open", "The page of this lot.", True),
    Command("book.view", ("v",), "curves", "Curves of the marked lots, or of this style.", True),
    Command("book.mark", ("space",), "mark", "Mark this lot for its curve.", True),
    Command("book.new", ("n",), "again", "A new batch from this one, notes in view.", True),
    Command("book.pack", ("V",), "pack", "Packs of this lot; of the marked lots one mixed pack."),
    Command("book.price", ("P",), "price", "What its roast cost; the cost of a kg follows."),
    Command("book.tag", ("T",), "tags", "Tags (labels) of the packs of this lot or its batch."),
    Command("book.record", ("R",), "record", "The record of this lot or its batch, to a file."),
    Command("book.undo", ("u",), "undo", "Undo the last change made here."),
    Command("book.order", ("o",), "order", "Date, liked, loss, days, yield, cost, name."),
    Command("book.find", ("slash",), "find", "Only lots with these words anywhere."),
    Command("book.alike", ("L",), "alike", "Only lots of this style; again: all."),
    *_moves("book", "row", end="line"),
    # ── History ──
    *_ways("history", "Back to where you came from."),
    Command("history.undo", ("u", "enter"), "undo", "Undo it; again: redo it.", True),
    Command("history.lot", ("right",), "open lot", "Open the lot of this change.", True),
    Command("history.restore", ("C",), "copies", "List the copies; restore one.", True),
    *_moves("history", "change", end="line"),
    # ── Copies ──
    *_ways("copies", "Back to where you came from."),
    Command("copies.bring-back", ("enter",), "restore", "Restore the marked copy.", True),
    Command(
        "copies.new", ("n",), "copy now", "Make a backup now: beside the file or elsewhere.", True
    ),
    *_moves("copies", "copy", end="copy"),
    # ── Settings ──
    *_ways("settings", "Back to where you came from."),
    Command("settings.edit", ("enter", "e"), "change", "Change the marked line.", True),
    Command("settings.new", ("n",), "add", "Add what is listed where the cursor is.", True),
    Command("settings.remove", ("X",), "remove", "Remove it; an alert or key: its default.", True),
    Command("settings.sensor", ("G",), "watch", "Choose who measures in this place.", True),
    Command("settings.left", ("left",), "cell left", "The cell before, in the grid of alerts."),
    Command("settings.right", ("right",), "cell right", "The next cell, in the grid of alerts."),
    Command("settings.undo", ("u",), "undo", "Undo the last change made here."),
    Command("settings.redo", ("y",), "redo", "Redo what was undone last."),
    Command("settings.restore", ("C",), "copies", "List the copies; restore one."),
    *_moves("settings", "line", end="line"),
    # ── first start ──
    Command("first_start.keys", ("question_mark", "f1"), "keys", "All keys here.", True),
    Command("first_start.leave", ("q", "escape"), "back", "To the Rack; answer these later.", True),
    Command("first_start.new", ("n",), "first batch", "Salt the first batch.", True),
    Command("first_start.under-way", ("N",), "under way", "Add pieces already under way.", True),
    Command("first_start.demo", ("f4",), "demo", "Try the demo first.", True),
    Command("first_start.edit", ("enter", "e"), "answer", "Answer the marked question.", True),
    *_moves("first_start", "line", screens=False, end="line"),
    # ── Keys ──
    Command("keys.leave", ("q", "escape", "enter"), "back", "Back to the screen.", True),
    Command("keys.page-down", ("pagedown", "space"), "page down", "One screen down.", True),
    Command("keys.page-up", ("pageup",), "page up", "One screen up.", True),
    Command("keys.down", ("down", "j"), "down", "One line down.", True),
    Command("keys.up", ("up", "k"), "up", "One line up.", True),
    Command("keys.first", ("home",), "first", "The first line."),
    Command("keys.last", ("end",), "last", "The last line."),
    # ── all commands ──
    Command("palette.leave", ("escape",), "back", "Back without doing anything.", True),
    Command("palette.run", ("enter",), "do it", "Do the marked command.", True),
    Command("palette.up", ("up",), "up", "One line up.", True),
    Command("palette.down", ("down",), "down", "One line down.", True),
    # ── everywhere ──
    Command("any.palette", ("f2", "x", "ctrl+p"), "commands", "Find a command by its words."),
    Command("any.backup", (), "backup", "A copy of the whole file, beside it or elsewhere."),
    Command("any.restore", (), "restore", "List the copies; restore one."),
    Command("any.calendar", (), "calendar", "The days to come as a calendar file (.ics)."),
    Command("any.export", (), "export", "Everything, lossless: one JSON file or CSV tables."),
)

#: verbs of a lot's page that also act on the marked row of the Rack: its page opens and asks there
ON_ROW = (
    *(
        "feel",
        "finish",
        "note",
        "opened",
        "rebase",
        "divide",
        "move",
        "hold",
        "pack",
        "price",
        "freeze",
    ),
    *("what-if", "smoked", "mould", "decide", "contact", "answer", "discard", "by-name"),
)
COMMANDS: tuple[Command, ...] = (
    *_WRITTEN,
    *(
        replace(command, id=f"rack.{verb}", footer=False)
        for verb in ON_ROW
        for command in _WRITTEN
        if command.id == f"lot.{verb}"
    ),
)


#: verbs that had another name once, as a person's own keys may still call them
RENAMED = {
    "rack.new-batch": "rack.new",
    "rack.tags": "rack.tag",
    "rack.quit": "rack.leave",
    "round.back": "round.undo",
    "round.skip": "round.later",
    "needs.snooze": "needs.later",
    "rack.ph": "rack.reading",
    "lot.ph": "lot.reading",
    "places.add": "places.reading",
    "places.offset": "places.sensor",
    "places.band": "places.edit",
    "air.panel": "air.view",
    "dose_sheet.untick": "dose_sheet.remove",
    "dose_sheet.to-file": "dose_sheet.record",
    "lot.void": "lot.remove",
    "lot.size": "lot.view",
    "diary.month": "diary.view",
    "diary.away": "diary.new",
    "diary.handover": "diary.record",
    "diary.ready": "diary.what-if",
    "diary.keep": "diary.save",
    "diary.write": "diary.save",
    "diary.home": "diary.remove",
    "book.curves": "book.view",
    "book.again": "book.new",
    "history.take-back": "history.undo",
    "history.open": "history.lot",
    "copies.make": "copies.new",
    "settings.change": "settings.edit",
    "settings.add": "settings.new",
    "settings.watch": "settings.sensor",
    "first_start.new-batch": "first_start.new",
    "first_start.change": "first_start.edit",
}
_own_keys: dict[str, tuple[str, ...]] = {}  # command → keys, where a person chose others


def use_keys(chosen: Mapping[str, tuple[str, ...]]) -> None:
    """Bind these commands to a person's own keys, all others to the usual ones."""
    _own_keys.clear()
    _own_keys.update(chosen)
    of_page.cache_clear()
    of_form.cache_clear()


@cache
def of_page(page: str) -> tuple[Command, ...]:
    """The commands of a page, its own first, with the keys they have for this person."""
    own = [command for command in COMMANDS if command.page == page]
    done = {command.method for command in own}
    found = own + [c for c in COMMANDS if c.page == "any" and c.method not in done]
    return tuple(replace(c, keys=_own_keys.get(c.id, c.keys)) for c in found)


@cache
def of_form(page: str) -> tuple[Command, ...]:
    """The commands of a page of fields with the keys that work while one types into them."""
    shown = [replace(c, keys=tuple(key for key in c.keys if len(key) > 1)) for c in of_page(page)]
    return tuple(command for command in shown if command.keys)


def key_of(command_id: str) -> str:
    """The first key of a command as it is printed, for a sentence that names it."""
    command = next(command for command in COMMANDS if command.id == command_id)
    keys = _own_keys.get(command_id, command.keys)
    if keys:
        return key_word(keys[0])
    verb, _, number = command.within.partition(" ")
    return f"{key_of(f'{command.page}.{verb}')} {number}" if verb else BY_LIST


def named(command_id: str) -> str:
    """A command by its name, its key behind it: ``divide (Y)``."""
    command = next(command for command in COMMANDS if command.id == command_id)
    return f"{command.label} ({key_of(command_id)})"


def by_key(page: str) -> dict[str, Command]:
    """What each key does on a page; its own commands win."""
    keys: dict[str, Command] = {}
    for command in of_form(page) if page in TYPED else of_page(page):
        for key in command.keys:
            keys.setdefault(key, command)
    return keys


def footer_of(page: str) -> list[Command]:
    """The commands for the foot of a page: the usual ones first, then as many as there is room for.

    The keys of a list that everybody knows are left out.
    """
    own = [command for command in of_page(page) if command.page == page and command.keys]
    usual = [command for command in own if command.footer][:FOOTER_KEYS]
    verbs = (command for command in own if command not in usual)
    return usual + [each for each in verbs if each.id.partition(".")[2] not in MOVES]
