"""``y`` is the likely fix or nothing: whatever is in doubt, it never keeps what was typed."""

import re
from pathlib import Path

import pytest

import curedash
from curedash.domain.errors import Changed, Doubtful
from curedash.domain.weighing.doubts import Doubt
from curedash.domain.weighing.neighbours import SIBLINGS, SWAPPED
from curedash.services.weighing.weigh import JUST_WEIGHED
from curedash.tui.flows.form_questions import WhySo, about_style
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.prompt import DoubtedDose
from curedash.tui.prompts.questions import Save, Text

TYPED_G, FIX_G = 1500.0, 1181.0
#: every kind of doubt about a weight; the two last are raised by the screen itself
KINDS = (
    *("earlier", "ahead", "heavier", "missing", "slip", "other-lot", "too-light", "too-fast"),
    *("far-off", SWAPPED, SIBLINGS, JUST_WEIGHED, "ambiguous", "changed"),
)
#: files of the screens that answer to y
ANSWER_TO_Y = {
    "draft_resume.py",  # go on with what was half typed
    "weighing.py",
    "form_questions.py",
    "prompt.py",
    "prompt_kinds.py",
}


def test_every_kind_of_doubt_and_every_prompt_that_answers_to_y_is_tried_here():
    names = {"SWAPPED": SWAPPED, "SIBLINGS": SIBLINGS, "JUST_WEIGHED": JUST_WEIGHED}
    found = set()
    house = Path(next(iter(curedash.__path__)))
    for path in house.rglob("*.py"):
        text = re.sub(r"^ *>>>.*$", "", path.read_text("utf-8"), flags=re.M)
        for kind in re.findall(r"\b[Dd]oubt\(\s*(\"[a-z-]+\"|[A-Z_]+)", text):
            found.add(names.get(kind, kind.strip('"')))
    assert found == set(KINDS)
    tui = (house / "tui").rglob("*.py")
    answers = {p.name for p in tui if re.search(r'[=n] \(?"y"', p.read_text("utf-8"))}
    assert answers == ANSWER_TO_Y


@pytest.mark.parametrize("fix_g", [None, FIX_G])
@pytest.mark.parametrize("other", [None, "C2"])
async def test_in_the_line_of_a_weigh_in_y_never_keeps_the_weight(household, sit, fix_g, other):
    kept = "SELECT count(*) FROM weigh_in WHERE lot_id = ? AND gross_g = ? AND tare_g > 0"
    async with sit(household()) as seat:
        lot_id = seat.app.screen.list.cursor_key
        for kind in KINDS:
            if (kind == SWAPPED) != (fix_g is not None and other is not None):
                continue  # that one has both, and no other has
            await seat.press("w")
            await seat.type("1500")
            line = seat.app.screen.talking
            line._seen = line._read()
            line._questions = [Doubt(kind, "Is it so?", fix_g, other)]
            await seat.press("y")
            assert seat.ask(kept, lot_id, TYPED_G) == [(0,)], kind
            fixes = fix_g is not None or kind == SIBLINGS or other is not None
            stays = bool(line._questions) and line._questions[0].question == "Is it so?"
            assert stays != (fixes and not (kind == SIBLINGS and not line.lot.tare_g)), kind
            while seat.app.screen.talking is not None:
                await seat.press("escape")


@pytest.mark.parametrize("fix_g", [None, FIX_G])
async def test_between_questions_y_never_answers_with_a_doubtful_value(household, sit, fix_g):
    async with sit(household()) as seat:
        for doubt in ("Is it so?", *(Doubt(kind, "Is it so?", fix_g) for kind in KINDS)):
            answered = []

            def steps(doubt=doubt, answered=answered):
                grams = yield Text(
                    "weight",
                    lambda text: float(text.split()[0]),
                    doubt=lambda grams: doubt if grams == TYPED_G else None,
                )
                answered.append(grams)

            converse(seat.app.screen, steps)
            await seat.type("1500\ry")
            if isinstance(doubt, Doubt) and fix_g is not None:
                assert answered == [FIX_G], doubt
            else:
                assert answered == [], doubt
                assert "Is it so?" in seat.text()
                await seat.press("k")
                assert answered == [TYPED_G], doubt


@pytest.mark.parametrize("refusal", [Doubtful("Is it so?"), Changed("It changed. Still?")])
async def test_what_a_save_doubts_is_not_saved_by_y(household, sit, refusal):
    async with sit(household()) as seat:
        tried = []

        def job(conn, by):
            tried.append(by)
            if len(tried) == 1:
                raise refusal

        def steps():
            yield Text("weight", float)
            yield Save(lambda _: job)

        converse(seat.app.screen, steps)
        await seat.type("1500\ryy")
        assert len(tried) == 1
        await seat.press("k")
        assert len(tried) == 2


@pytest.mark.parametrize("has_fix", [False, True])
async def test_on_a_dose_y_is_the_likely_weight_or_nothing(household, sit, has_fix):
    async with sit(household()) as seat:
        done, page = [], seat.app.screen
        fix = ("2.1 g", lambda: done.append("fix")) if has_fix else None
        page.talk(
            DoubtedDose(
                page,
                "Ten times the plan. Right?",
                lambda: done.append("keep"),
                lambda: done.append("change"),
                fix,
                "21 g really went in",
            )
        )
        await seat.press("y")
        assert done == (["fix"] if has_fix else [])


@pytest.mark.parametrize("usual", ["", "2.5 %"])
async def test_in_the_form_y_takes_the_usual_or_nothing(household, sit, usual):
    async with sit(household()) as seat:
        done, page = [], seat.app.screen

        def reason(text):
            done.append(text)
            return None if text else "Type a reason."

        page.talk(WhySo(page, "Much salt.", usual, reason, lambda: done.append("usual")))
        await seat.press("y")
        assert done == (["usual"] if usual else [])
        page.hush()
        near = [("coppa", "collar")] if usual else []
        done.clear()
        page.talk(
            about_style(
                page,
                "copa",
                near,
                lambda: done.append("keep"),
                lambda style: done.append(style),
                lambda: done.append("again"),
            )
        )
        await seat.press("y")
        assert done == (["coppa"] if usual else [])


def test_a_question_of_yes_or_nothing_is_about_a_deed_and_never_about_a_doubt():
    tui = (Path(next(iter(curedash.__path__))) / "tui").rglob("*.py")
    asked = {
        words
        for path in tui
        for words in re.findall(r'\(\(True, "?([^",)]+)"?\),\)', path.read_text("utf-8"))
    }
    throws_or_brings = {
        "void it",
        "throw it away",
        "undo it",
        "delete them",
        "undo it all",
        "words",
    }
    assert asked == throws_or_brings | {"replace it", "restore it", "eat it"}
