"""What was typed is there when one comes back, and replaces what was refused."""

from tests.tui.test_ends import foot, open_lot

WEIGHTS = "SELECT gross_g FROM weigh_in WHERE lot_id = 1 ORDER BY id DESC LIMIT 1"


async def test_what_is_typed_after_a_refusal_replaces_what_was_refused(household, sit):
    async with sit(household()) as seat:
        await seat.type("12 gg\r")
        assert "12 gg" in seat.text(), "refused, and still there"
        await seat.type("1181")
        assert "12 gg1181" not in seat.text()
        await seat.press("enter")
        assert seat.ask(WEIGHTS) == [(1181.0,)]


async def test_backspace_after_a_refusal_edits_it(household, sit):
    async with sit(household()) as seat:
        await seat.type("1181 gg\r")
        await seat.press("backspace", "enter")
        assert seat.ask(WEIGHTS) == [(1181.0,)]


async def test_an_answer_that_was_refused_is_replaced_too(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("e", "3", "1")
        await seat.type("heavy\r")
        await seat.type("1500")
        assert "heavy1500" not in seat.text()
        assert "1500" in foot(seat)


async def test_esc_at_the_tare_goes_back_to_the_weight(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("1535\r")
        assert "tare (hook, net, string)" in foot(seat)
        await seat.press("escape")
        assert "1535" in foot(seat)
        await seat.type("\r28 hook\r")
        assert "1535" not in foot(seat) or "which place" in foot(seat)


async def test_digits_typed_at_a_choice_are_shown_and_answer_nothing(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("c")
        await seat.type("94")
        assert "choose: a number, not 94" in seat.lines()[-1]
        assert "meat was taken off" in seat.text()
        await seat.press("backspace", "backspace", "1")
        assert "what" in foot(seat)


async def test_digits_typed_at_a_choice_are_carried_on_to_the_value_after_it(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("c", "1")
        await seat.type("941")  # 1 and 4 would be reasons: they belong to the number begun
        assert "choose: a number, not 941" in seat.lines()[-1]
        await seat.press("enter")
        assert "choose first; 941 is used next" in seat.lines()[-1]
        await seat.press("1")
        assert "before, on the scale › 941" in foot(seat)
        await seat.type("1226")
        assert "941" not in foot(seat)


async def test_digits_typed_at_several_choices_wait_for_the_first_value(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("c")
        await seat.type("941\r1")
        assert "what" in foot(seat)
        await seat.press("1")
        assert "before, on the scale › 941" in foot(seat)


async def test_what_stands_on_a_value_line_is_not_replaced_by_what_was_carried(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("c", "1", "1")
        await seat.type("1226\r")
        await seat.press("up", "up")
        await seat.type("941\r")
        assert "before, on the scale › 1226" in foot(seat)


async def to(seat, field_id):
    """Forward to a field by Tab; what is folded away is opened first."""
    if not any(field_id in row for row in seat.app.screen.form.rows):
        await seat.press("f6")
    while seat.app.screen.form.at != field_id:
        await seat.pilot.press("tab")


async def test_tab_takes_the_style_that_is_offered(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await to(seat, "style")
        await seat.type("bre")
        await seat.press("tab")
        assert "There is no style" not in seat.text()
        assert seat.app.screen.form.touched["style"] == "bresaola"
        await seat.type("Eye")
        assert "Eye" in seat.text()


async def test_the_arrows_choose_in_a_field_that_was_emptied(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await to(seat, "style")
        await seat.type("coppa")
        await seat.press("ctrl+u", "right")
        first = seat.app.screen.form.touched["style"]
        await seat.press("right")
        assert seat.app.screen.form.touched["style"] not in ("", first)


async def test_digits_at_a_choice_of_the_form_are_said_to_fit_none(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await to(seat, "shape")
        before = seat.app.screen.form.touched.get("shape")
        await seat.type("107")
        said = " ".join(seat.text().split())
        assert "No choice here begins with “107”" in said
        assert seat.app.screen.form.touched.get("shape") == before


async def back_to(seat, field_id):
    """Back to a field by Shift-Tab."""
    for _ in range(40):
        if seat.app.screen.form.at == field_id:
            return
        await seat.pilot.press("shift+tab")
    raise AssertionError(f"no way to {field_id} from {seat.app.screen.form.at}")


async def test_digits_at_a_choice_of_the_form_come_to_the_value_behind_it(tmp_path, sit):
    """Typed at "the pieces", meant for the thickness after it."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await to(seat, "each")
        await seat.type("78")
        await seat.press("tab")
        form = seat.app.screen.form
        assert form.at == "thickness"
        assert form.typed.text == "78"
        assert "“78” was typed at a choice; it is in this field now." in " ".join(
            seat.text().split()
        )
        await seat.type("82")
        assert form.touched["thickness"] == "82"
        await back_to(seat, "each")
        assert "No choice here begins with" not in seat.text()


async def test_digits_at_a_choice_of_the_form_wait_while_it_is_answered(tmp_path, sit):
    """Once the choice is made after all, they go on to the value behind it."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await to(seat, "each")
        await seat.type("78")
        await seat.press("right", "left")
        form = seat.app.screen.form
        assert form.stray == ""
        await seat.press("tab")
        assert form.touched["thickness"] == "78"


async def test_digits_at_a_choice_of_the_form_pass_over_other_choices(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n", "f6")
        await to(seat, "shape")
        await seat.type("0.25")
        form = seat.app.screen.form
        while form.at != "cure":
            was = form.at
            await seat.press("tab")
            assert form.at != was
            if form.at == "curing_salt":
                await seat.type("no2")
        assert "0.25" not in form.touched.values()
        await back_to(seat, "shape")
        assert form.stray == "0.25", "a field was passed that it does not fit: it stays here"


async def test_digits_at_a_choice_of_the_form_are_there_when_one_comes_back(tmp_path, sit):
    """The value behind it is there already, so nothing replaces it."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n", "f6")
        await to(seat, "thickness")
        await seat.type("82")
        await back_to(seat, "each")
        await seat.type("78")
        await seat.press("tab")
        form = seat.app.screen.form
        assert form.touched["thickness"] == "82"
        await back_to(seat, "each")
        assert form.stray == "78"
        assert "No choice here begins with “78”" in " ".join(seat.text().split())
        await seat.press("backspace")
        assert "No choice here begins with “7”" in " ".join(seat.text().split())
        await seat.press("backspace", "tab")
        await back_to(seat, "each")
        assert form.stray == ""


async def test_digits_at_a_choice_of_the_form_are_in_its_draft(tmp_path, sit):
    path = tmp_path / "new.db"
    async with sit(path) as seat:
        await seat.press("n")
        await seat.type("Eye")
        await to(seat, "shape")
        await seat.type("107")
        await seat.press("escape")
    async with sit(path) as seat:
        await seat.press("n")
        await to(seat, "shape")
        assert "No choice here begins with “107”" in " ".join(seat.text().split())


async def test_what_is_pasted_at_a_choice_of_the_form_is_there_too(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await to(seat, "shape")
        seat.app.screen.pasted("107 mm")
        await seat.settle()
        assert "No choice here begins with “107 mm”" in " ".join(seat.text().split())


async def test_words_typed_at_a_choice_of_the_form_change_nothing_and_go_nowhere(tmp_path, sit):
    """Spices typed one field early: neither their letters nor their spaces pick anything."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n", "f6")
        await to(seat, "style")
        await seat.type("coppa")
        for field_id in ("now", "each", "shape", "method", "salt_means", "class", "eaten"):
            await to(seat, field_id)
            form = seat.app.screen.form
            values, touched = dict(seat.app.screen._values), dict(form.touched)
            await seat.type("black pepper 0.3, fennel 0.3, salt 1")
            assert form.stray == "black pepper 0.3, fennel 0.3, salt 1", field_id
            assert (seat.app.screen._values, form.touched) == (values, touched), field_id
            said = " ".join(seat.text().split())
            assert "No choice here begins with “black" in said
            assert "”; nothing changed." in said
            await seat.press("tab")
            assert seat.app.screen._values == values, field_id
            assert not form.brought


async def test_a_length_typed_at_a_choice_of_the_form_picks_nothing(tmp_path, sit):
    """Its space went on to the next choice, and the form became that of pieces under way."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await to(seat, "now")
        await seat.type("80 mm")
        assert seat.app.screen._values["now"] == "raw"
        assert seat.app.screen.form.stray == "80 mm"
        await seat.press("ctrl+u", "space")
        assert seat.app.screen._values["now"] == "in-cure", "a space alone still goes on"


async def test_a_share_typed_at_a_choice_never_becomes_a_dose(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n", "f6")
        await to(seat, "style")
        await seat.type("coppa")
        for field_id in ("method", "salt_means"):
            await to(seat, field_id)
            await seat.type("0.3")
            for _ in range(4):
                await seat.press("tab")
            assert "0.3" not in seat.app.screen._values.values(), field_id


async def test_letters_go_through_the_choices_that_begin_with_them(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n", "f6")
        await to(seat, "method")
        form = seat.app.screen.form
        await seat.type("e")
        first = form.touched["method"]
        await seat.type("e")
        assert form.touched["method"] != first
        await seat.type("x")
        assert "method" not in form.touched, "as it was before these letters"
        assert form.stray == "eex"


async def test_what_is_typed_on_the_line_of_more_fields_is_said(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await to(seat, "more-meat")
        await seat.type("no 2")
        assert seat.app.screen.form.at == "more-meat"
        assert "This line takes no text, so “no 2” goes nowhere." in " ".join(seat.text().split())
        assert any("more-meat" in row for row in seat.app.screen.form.rows)
        await seat.press("backspace", "backspace", "backspace", "backspace", "space")
        assert seat.app.screen.form.at != "more-meat", "opened"


async def test_tab_goes_through_what_decides_a_batch_and_comes_to_the_rest_after_it(tmp_path, sit):
    """The four things of a first evening are one Tab apart, whatever stands between them."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        for text in ("bresaola", "1134 1088", "80 mm", "no2"):
            await seat.type(text)
            await seat.press("tab")
        values = seat.app.screen._values
        typed = [values[one] for one in ("style", "pieces", "thickness", "curing_salt")]
        assert typed == ["bresaola", "1134 1088", "80 mm", "no2"]
        assert (values["now"], seat.app.screen.form.touched.get("name")) == ("raw", None)
        for late in ("name", "now", "more-meat"):
            await to(seat, late)


async def test_what_is_typed_in_a_refused_field_of_the_form_replaces_it(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await to(seat, "thickness")
        await seat.type("wide")
        await seat.press("f10")
        form = seat.app.screen.form
        await to(seat, "thickness") if form.at != "thickness" else None
        await seat.type("82")
        assert form.touched["thickness"] == "82"


async def test_a_number_typed_at_the_question_about_a_weight_stands_there_once_it_is_changed(
    household, sit
):
    """Somebody did not see the question and typed the weight anew."""
    async with sit(household()) as seat:
        await seat.type("9181\r")
        assert "keep 9181 g" in " ".join(seat.text().split())
        await seat.type("1182")
        assert "change it to 1182" in " ".join(seat.text().split())
        await seat.press("backspace")
        await seat.type("1\r")
        assert seat.ask("SELECT count(*) FROM weigh_in WHERE gross_g > 9000") == [(0,)]
        await seat.press("n")
        assert "› 1181▏" in seat.text()
        await seat.press("enter")
        assert seat.ask(WEIGHTS) == [(1181.0,)]


async def test_what_is_typed_at_a_question_of_a_conversation_comes_after_it(household, sit):
    """Weight, Enter, tare, Enter, typed without looking: the weight was asked about."""
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("535\r")
        assert "k keep it anyway" in seat.lines()[-1]
        await seat.type("28 hook\r")
        assert "28 hook is used next" in seat.lines()[-1]
        await seat.press("n")
        assert "› 535▏" in foot(seat)
        await seat.type("1535\r")
        assert "tare (hook, net, string) › 28 hook" in foot(seat)
        await seat.type("35 hook")
        assert "28 hook" not in foot(seat)


async def test_words_typed_at_a_question_change_no_number(household, sit):
    async with sit(household()) as seat:
        await seat.type("9181\r")
        await seat.type(" hook\r")
        assert "keep 9181 g" in " ".join(seat.text().split())
        await seat.press("escape")
        assert "› 9181▏" in seat.text()
