"""A new batch: one form, the dose of every piece computed at each key, then the dose sheet."""

from abc import abstractmethod
from collections.abc import Callable, Iterable
from functools import partial
from typing import Any, cast

from curedash.domain.curing.stages import GROUND, RAW
from curedash.domain.dosing import DoseRequest, Premix
from curedash.domain.errors import CuredashError, Doubtful
from curedash.domain.times import utc_text
from curedash.domain.wording import sentences
from curedash.present.display_units import retold
from curedash.present.dosing.dose_table import premix_of
from curedash.present.dosing.form.batch_doubts import COARSE, coarse_dose, number_as_name
from curedash.present.dosing.form.batch_field import YES
from curedash.present.dosing.form.batch_fields import GROUPS, field, near_styles
from curedash.present.dosing.form.batch_follows import known_style
from curedash.present.dosing.form.batch_layout import MORE, line_of
from curedash.present.dosing.form.batch_place import cold_typed, cold_words
from curedash.present.dosing.form.batch_reader import Read
from curedash.present.dosing.form.batch_reading import answer_typed
from curedash.present.dosing.form.batch_sausage import WHY
from curedash.present.dosing.form.batch_texts import text_of
from curedash.present.dosing.taken_in import next_words, no_place_words, since_words, taken_in_words
from curedash.present.words import plain
from curedash.services.dosing.add_batch import AddedBatch, BatchSpec, add_batch, open_questions
from curedash.services.dosing.batch_start import start_batch
from curedash.services.dosing.dosing_means import DosingDefaults
from curedash.services.dosing.jars import Jar, add_premix
from curedash.services.dosing.sausage import Stuffed, add_stuffed
from curedash.services.dosing.take_in import TakenIn, UnderWay, take_in
from curedash.services.file import drafts
from curedash.services.household.household import choose
from curedash.services.household.household_settings import add_scales, scales_of
from curedash.services.needs.cautions import cautions_once
from curedash.store.watching import Connection
from curedash.store.work import By
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.writer import Job
from curedash.tui.flows.form_questions import (
    WhySo,
    about_all_in,
    about_draft,
    about_number,
    about_scale,
    about_style,
    kept_words,
)
from curedash.tui.prompts.prompt import Ask, Because
from curedash.tui.screens.new_batch_lines import BatchForm

DRAFT = "new-batch"
STUFFED_SO = "called-stuffed"  # beside the fields: all lines of the sheet went in
OWN_STYLE = "own-style"  # beside the fields: the new style that was meant so


class BatchQuestions(BatchForm):
    """What is asked at the foot before the form goes on, or is saved."""

    @abstractmethod
    def do_save(self) -> None:
        """Save the batch, if nothing is wrong with it."""

    @abstractmethod
    def do_premix(self) -> None:
        """Make the proposed pre-mix a jar of the household and dose with it."""

    @abstractmethod
    def do_accepted(self) -> None:
        """Use the suggested value."""

    def _asks_style(self, go_on: Callable[[], None], *, at_last: bool = False) -> bool:
        """Whether a style nobody knows was typed just now: it is asked about before going on."""
        self.form.go(self.form.at)  # the beginning of a name becomes it
        text = self.form.touched.get("style", "").strip()
        own = self.form.touched.get(OWN_STYLE, "").casefold() == text.casefold()
        here = self.form.at == "style" or at_last
        if not here or not text or own or known_style(text, self._start) is not None:
            return False

        def take(style: str, field_id: str = "style") -> None:
            self.form.put({field_id: style})
            go_on()

        keep = partial(take, text, OWN_STYLE)
        near = near_styles(text, self._start)
        self.talk(about_style(self, text, near, keep, take, partial(self.again_at, "style")))
        return True

    def _asks_number(self, fields: Iterable[str], go_on: Callable[[], None]) -> bool:
        """Whether one of these fields has a number for a name: it is asked about first."""
        doubt = number_as_name(fields, self.form.touched, self._start)
        if doubt is not None:
            again = partial(self.again_at, doubt.field_id)
            self.talk(about_number(self, doubt, self.form.touched, go_on, again))
        return doubt is not None

    def again_at(self, field_id: str) -> None:
        """Back to a field, to type it again."""
        self.button = None
        self.form.go(field_id)
        self.draw()

    def _asks_scale(self, read: Read) -> bool:
        """Whether the scale is too coarse for these doses, and nobody has kept them so."""
        touched = self.form.touched
        doubt = coarse_dose(read.planned, touched, self._start)
        if doubt is None or touched.get(COARSE) == doubt.doses:
            return False

        def again() -> None:
            self._open.add("salt")
            self.compute()
            self.again_at("scale")

        self.talk(about_scale(self, doubt, touched, self.do_save, self.do_premix, again))
        return True

    def _ask_all_in(self, read: Read) -> None:
        """Whether what is stuffed already has all its lines in: nobody ticked them."""

        def yes() -> None:
            self.form.touched[STUFFED_SO] = YES
            self.do_save()

        lines = sum(len(lot.dose.ingredients) for lot in read.planned)
        mixed_at = None if read.spec is None else read.spec.salted_at
        self.talk(about_all_in(self, lines, mixed_at, yes, partial(self.again_at, "stuffed")))

    def _ask_why(self, question: str, sentence: str) -> None:
        """The value, "unknown" or the reason that answers; saved with the batch, asked once."""

        def answer(text: str) -> None:
            self.form.touched.update([answer_typed(question, text, self._values)])
            self.hush()
            self.do_save()

        usual = ", ".join(text for text in cast(Read, self._read).accepted.values() if text)
        self.talk(WhySo(self, retold(sentence), usual, answer, self.do_accepted))


class NewBatch(BatchQuestions):
    """What the keys of the form do, and how it is saved."""

    NAME = "new_batch"
    DRAFT = DRAFT
    BUTTONS = (
        ("Save F10", "Save F10", "do_save"),
        ("Leave, saved as a draft Esc", "Leave, saved Esc", "do_leave"),
        ("Empty F9", "Empty F9", "do_empty"),
    )

    def take_key(self, key: str, char: str | None) -> None:
        """A line that is folded opens; behind the weights → gives each piece a line."""
        here = self.form.at if self.talking is None and self.button is None else ""
        folds = ("right", "left", *(() if self.form.stray else ("space",)))
        if here.startswith(MORE) and key in folds:
            self._fold(here.removeprefix(MORE))
        elif (
            here == "pieces" and key == "right" and self.form.typed.at == len(self.form.typed.text)
        ):
            self.form.put({"each": YES})
            self.compute()
            self.form.go("green:0")
            self.draw()
        else:
            super().take_key(key, char)

    def do_enter(self) -> None:
        """Open what is folded, else as everywhere."""
        if self.button is None and self.form.at.startswith(MORE):
            self._fold(self.form.at.removeprefix(MORE))
        else:
            super().do_enter()

    def _fold(self, group: str) -> None:
        """Open a group, the focus on its first field that was folded; or fold it again."""
        before = {row[0] for row in self.form.rows}
        self._open ^= {group}
        self._left, self._by_room = True, False
        self.compute()
        fresh = [row[0] for row in self.form.rows if row[0] not in before]
        if fresh:
            self.form.go(fresh[0])
        self.draw()

    def do_more(self) -> None:
        """Open every group of fields, or fold them all again; the focus stays with its group."""
        here = self.form.at
        self._open = set() if self._open else set(GROUPS)
        self._left, self._by_room = True, False
        self.compute()
        if self.form.at != here:
            self.form.go(line_of(here))
        self.draw()

    def do_sources(self) -> None:
        """Say where the limits come from, or no more."""
        self._sources = not self._sources
        self._left, self._scroll = True, 0
        self.draw()
        if self._table is None:
            self.show_message("There is no dose yet, so no limit is checked.", "quiet")

    def do_accepted(self) -> None:
        """Use the suggested value."""
        read = cast(Read, self._read)
        if not read.accepted:
            self.show_message("Nothing refused here has a suggested value.", "quiet")
            return
        self.form.put(dict(read.accepted))
        self.compute()
        self.draw()

    def do_premix(self) -> None:
        """Make the proposed pre-mix a jar of the household and dose with it."""
        found = premix_of(cast(Read, self._read).planned)
        if found is None:
            self.show_message(
                "No pre-mix is needed: the scale weighs this curing salt well enough.", "quiet"
            )
            return
        mix, better = found
        cure, today = self._values["curing_salt"], self.house.today()

        def take(name: str) -> None:
            self.write(
                lambda conn, by: add_premix(
                    conn,
                    by,
                    cure,
                    mix.parts_plain,
                    mix.curing_salt_g + mix.plain_salt_g,
                    name=name,
                    mixed_on=today,
                ),
                lambda made: self._mixed(made[0], made[1], better),
            )

        self.talk(Ask(self, "name of the jar", take, text=plain(mix.salt.name), help=mix.recipe))

    def _mixed(self, jar: Jar, mix: Premix, better: DoseRequest) -> None:
        """The jar is on the shelf now: dose with it."""
        again, now = self._again, self.house.now()
        self._start = self.house.read(start_batch, again, now)
        self.form.put({"curing_salt": jar.salt.id, "cure": text_of(better.cure_pct or 0.0)})
        self.compute()
        self.draw()
        self.show_message(f"Added as a jar and used here: {mix.recipe}.", "good")

    def do_empty(self) -> None:
        """Empty the form; pressed again it brings back what it held."""
        touched, before = self.form.touched, dict(self.form.touched)
        touched.clear()
        if not before:
            touched.update(self._before)
        self._before = before or self._before
        self._tried, self.button = False, None
        self.compute()
        self.form.go(self.form.rows[0][0])
        self.draw()
        words = "Emptied; F9 brings it back." if before else "The form is as it was before."
        self.show_message(words, "quiet")

    def on_mount(self) -> None:
        """Offer what was left half-typed; say the cautions that belong here, once."""
        self._by_room = bool(self.pane_width)
        self.compute()
        self.draw()
        kept = self.house.read(drafts.waiting)
        draft = next((d for d in kept if d.name == DRAFT), None)
        if draft is not None and self._again in (None, draft.body.get("again")):
            self.take_up(draft)
            self.show_message(f"{kept_words(draft, self.house.zone)}; F9 begins afresh.", "today")
        elif draft is not None:
            self.talk(about_draft(self, draft, self.take_up))
        self._quietly(
            lambda conn, by: cautions_once(conn, by, "new-batch", "rule-set"), self._cautions
        )

    def _cautions(self, sentences: tuple[str, ...]) -> None:
        self._once += sentences
        self.draw()

    def take_up(self, draft: drafts.Draft) -> None:
        """Go on with what was left half-typed."""
        again = draft.body.get("again")
        if isinstance(again, str):
            self._start = self.house.read(start_batch, again, self.house.now())
            self._again = again
        for name, into in (("touched", self.form.touched), ("strays", self.form.strays)):
            if isinstance(found := draft.body.get(name), dict):
                into.update({str(k): str(v) for k, v in found.items()})
        self._kept = dict(self.form.touched)
        self.compute()
        self.form.go(cast(Read, self._read).first_open(self.form.rows) or self.form.rows[0][0])
        self.draw()

    def body_of_draft(self) -> dict[str, Any]:
        """What was typed, and what it is made after."""
        strays = {"strays": dict(self.form.strays)} if self.form.strays else {}
        return {"touched": dict(self.form.touched), "again": self._again, **strays}

    def _go(self, by: int, *, row: bool = False, by_enter: bool = False) -> None:
        """A field that is left is kept: a power cut takes the one being typed at most."""

        go_on = partial(self._go, by, row=row, by_enter=by_enter)
        here = () if self.button is not None else (self.form.at,)
        if self._asks_style(go_on) or self._asks_number(here, go_on):
            return
        self._left = True
        if not self.pane_width:
            self._once = []
        cold = cold_typed(self.form.touched)
        self.form.put(cold)
        super()._go(by, row=row, by_enter=by_enter)
        if cold:
            self.show_message(cold_words(cold), "good")
        self.keep_meanwhile()

    def do_save(self) -> None:
        """Save the batch, if nothing is wrong with it."""
        self.form.put(cold_typed(self.form.touched))
        self.form.go(self.form.at)
        self.compute()
        every = (field_id for row in self.form.rows for field_id in row)
        if self._asks_style(self.do_save, at_last=True) or self._asks_number(every, self.do_save):
            return
        read = cast(Read, self._read)
        self._tried = True
        if read.under_way is not None:
            self._take_in(read.under_way)
            return
        if read.spec is None:
            self._to_first_trouble(read)
            return
        spec, now = read.spec, utc_text(self.house.now())
        if asked := next((a for lot in read.planned for a in open_questions(spec, lot, now)), None):
            self._ask_why(*asked)
            return
        if self._asks_scale(read):
            return
        if read.stuffed is not None and STUFFED_SO not in self.form.touched:
            self._ask_all_in(read)
            return
        job = _job(
            spec, read.stuffed, self._start.defaults, named=bool(self.form.touched.get("scale"))
        )
        self.store(job, self._saved, self._not_stored)

    def _not_stored(self, trouble: CuredashError) -> None:
        """What is done against a rule, such as a ferment in the cold, is asked why."""
        self._not_kept(trouble)
        if not isinstance(trouble, Doubtful) or cast(Read, self._read).stuffed is None:
            return

        def answer(text: str) -> str | None:
            if not text.strip():
                return "Type the reason, or Esc to change it."
            self.form.touched[WHY] = text
            self.hush()
            self.do_save()
            return None

        self.talk(Because(self, retold(str(trouble)), "reason", answer))

    def _take_in(self, pieces: UnderWay) -> None:
        """Pieces under way go to their lots, and the person to the Rack."""

        def keep(conn: Connection, by: By) -> TakenIn:
            taken = take_in(conn, by, pieces)
            drafts.drop(conn, DRAFT)
            return taken

        self.store(keep, self._taken_in)

    def _taken_in(self, taken: TakenIn) -> None:
        house, rack = self.house, self.app.screen_stack[-2]
        missing = no_place_words(taken.lots, key_of("lot.move"))
        words = [taken_in_words(taken.lots, house.today(), house.zone), missing]
        words += [_new_place_words(name) for name in taken.new_places]
        self.leave()
        if isinstance(rack, Page):
            rack.show_message(f"{sentences(*words)} {rack.undo_key} undoes it.", "good")

    def _to_first_trouble(self, read: Read) -> None:
        """Put the focus on the first field that is open or refused, and say it."""
        open_ones, first = {**read.wanted, **read.troubles}, read.first_open(self.form.rows)
        if first is not None:
            self.button = None
            self.form.go(first)
        self.compute()
        self.draw()
        more = f" ({len(open_ones) - 1} more)" if len(open_ones) > 1 else ""
        if first is not None:
            tone = "act" if first in read.troubles else "today"
            wants = "" if first in read.troubles else f"Still missing: {field(first).label}, "
            self.show_message(f"{wants}{open_ones[first]}{more}", tone)

    def _saved(self, added: AddedBatch) -> None:
        place = added.new_place
        house, method = self.house, added.batch.method
        house.added_lot = added.lots[0].id
        raw = added.lots[0].stage == RAW  # the sheet itself says then what comes next
        words = [] if raw else [next_words(added.lots, house.today(), house.zone, method)]
        if method == GROUND and not raw:
            words.insert(0, since_words(added.lots, house.now(), house.zone))
        words += [] if place is None else [_new_place_words(place.name)]
        self.house.navigator.open_instead("dose_sheet", batch_id=added.batch.id, said=words)


def _new_place_words(name: str) -> str:
    """That a place was made with the batch, and the keys that give it its band."""
    way = f"{key_of('rack.places')} on the Rack, then {key_of('places.edit')}"
    return f"Place “{plain(name)}” is new and has no band yet: {way}."


def _job(spec: BatchSpec, stuffed: Stuffed | None, known: DosingDefaults, *, named: bool) -> Job:
    """The first rule set and scales named become the household's; then the batch; then no draft."""
    scales = scales_of(spec.dose.shelf_of_scales) if named and not known.scales else ()

    def keep(conn: Connection, by: By) -> AddedBatch:
        if known.rule_set is None and spec.dose.rule_set is not None:
            choose(conn, by, "rule_set", spec.dose.rule_set)
        if scales:
            add_scales(conn, by, scales)
        made = (
            add_batch(conn, by, spec) if stuffed is None else add_stuffed(conn, by, spec, stuffed)
        )
        drafts.drop(conn, DRAFT)
        return made

    return keep
