"""What really went in: the fields of the mis-dose bench, read, and the bench in lines."""

from collections.abc import Iterable, Mapping

from curedash.domain.dosing import CuringSalt, MisDose, curing_salts, resolve_curing_salt
from curedash.domain.errors import CuredashError
from curedash.domain.record import record
from curedash.domain.records import DoseLine
from curedash.domain.typed.weights import parse_weight_g
from curedash.present.display_units import retold
from curedash.present.dosing.doses import contents_words, inside_words
from curedash.present.dosing.form.batch_field import Option
from curedash.present.dosing.sheet_lines import ingredient_words
from curedash.present.numbers import weight
from curedash.present.signs import key_drawn
from curedash.present.words import (
    Line,
    Span,
    cells,
    cut,
    filled,
    in_own_units,
    left,
    plain,
    wrapped,
)
from curedash.services.dosing.misdose import WentIn

LABEL = 34
WIDE = 72  # from here on a field says in full what was planned
NARROW = 60  # below, the plan is said at the foot
NEAR_G = 0.005  # nearer to the plan than this, nothing is called over or short
REALLY, LOST, NOTE = "really", "lost", "note"
_LABELS = {
    REALLY: "it was another curing salt",
    LOST: "liquid that leaked out",
    NOTE: "what happened, or what you decide",
}
_BRIEF = {  # on a phone
    REALLY: "other curing salt",
    LOST: "liquid leaked",
    NOTE: "note, decision",
}
_HELP = {
    REALLY: "←→ a type or a jar of yours, or the strength on its label; empty: the planned one",
    LOST: "grams of liquid lost from the bag, e.g. 80",
    NOTE: "in your own words; if nothing above is changed, this is what you decide",
}


@record
class BenchRead:
    """What the fields say; ``troubles`` by field where one cannot be read."""

    went_in: WentIn
    note: str
    troubles: Mapping[str, str]

    @property
    def says_nothing(self) -> bool:
        """Nothing differs from the sheet."""
        went_in = self.went_in
        return not went_in.given and went_in.really is None and not went_in.lost_liquid_g

    @property
    def decides(self) -> bool:
        """Nothing differs, and the words say what is done with it: it is left as it is."""
        return self.says_nothing and bool(self.note)


def rows(lines: tuple[DoseLine, ...]) -> list[list[str]]:
    """A field for each ingredient, then what else can have happened."""
    return [*([str(line.id)] for line in lines), [REALLY], [LOST], [NOTE]]


def kind(field_id: str) -> str:
    """Text, or a search among the curing salts."""
    return "search" if field_id == REALLY else "text"


def options(field_id: str, jars: tuple[CuringSalt, ...]) -> list[Option]:
    """The curing salts there are."""
    if field_id != REALLY:
        return []
    return [("", "the planned one"), *((salt.id, salt.name) for salt in (*jars, *curing_salts()))]


def read_bench(
    typed: Mapping[str, str], lines: tuple[DoseLine, ...], jars: tuple[CuringSalt, ...]
) -> BenchRead:
    """Read every field; an empty one stands for what the sheet says."""
    troubles: dict[str, str] = {}
    given: dict[str, float] = {}
    for line in lines:
        grams = _grams(str(line.id), typed, troubles)
        if grams is not None:
            given[line.name] = grams
    really = None
    if text := typed.get(REALLY, "").strip():
        try:
            really = resolve_curing_salt(text, jars)
        except CuredashError as unclear:
            troubles[REALLY] = in_own_units(str(unclear))
    lost = _grams(LOST, typed, troubles) or 0.0
    return BenchRead(WentIn(given, really, lost), typed.get(NOTE, "").strip(), troubles)


def _grams(field_id: str, typed: Mapping[str, str], troubles: dict[str, str]) -> float | None:
    text = typed.get(field_id, "").strip()
    if not text:
        return None
    try:
        return parse_weight_g(text, allow_zero=True, marks_are_decimal=True)
    except CuredashError as unclear:
        troubles[field_id] = in_own_units(str(unclear))
        return None


def bench_field(
    field_id: str,
    shown: str,
    line: DoseLine | None,
    read: BenchRead | None,
    width: int,
    *,
    focused: bool,
    tone: str = "typed",
) -> Line:
    """One field: an ingredient with what was planned and weighed, or what else happened."""
    room = min(LABEL, width // 2 - 4)
    label = ingredient_words(line.name, room) if line is not None else _LABELS.get(field_id, "")
    if cells(label) > room:
        label = _BRIEF.get(field_id, label)
    spans: list[Span] = [("› " if focused else "  ", "key"), (left(label, room) + " ", "quiet")]
    most = width - room - (4 if field_id == NOTE else 24)
    value = cut(shown, max(8, most))
    spans.append((value, tone if focused else ""))
    trouble = "" if read is None else read.troubles.get(field_id, "")
    if trouble:
        spans.append((f"  ! {trouble}", "act"))
    elif line is not None:
        given = None if read is None else read.went_in.given.get(line.name)
        words, how = _against_plan(line, given, short=width < WIDE)
        if width < NARROW:
            words = words.partition(" (")[0]
        unit = "g" if value.strip("▏ ") else " "
        spans += [(f" {unit}" + " " * max(1, 8 - cells(value)), "quiet"), (words, how)]
    elif field_id == LOST:
        spans.append((" g", "quiet"))
    return filled(spans, width)


def _against_plan(line: DoseLine, given: float | None, *, short: bool) -> Span:
    """What went in beside what was planned; what was never ticked is not said to be in."""
    now, plan = line.weighed_g if given is None else given, f"{weight(line.planned_g)} g"
    if now is None:
        return (f"not ticked ({plan})" if short else f"not ticked, planned {plan}"), "today"
    off = now - line.planned_g
    said = "" if given is not None else f"{weight(now)} g ticked, "
    if abs(off) < NEAR_G:
        return "as planned" if short else f"{said or plan + ', '}as planned", "quiet"
    apart = f"{weight(abs(off))} g {'over' if off > 0 else 'short'}"
    return (f"{apart} ({plan})" if short else f"{said}{apart}, planned {plan}"), "today"


def help_text(field_id: str, line: DoseLine | None = None) -> str:
    """What a field wants; of an ingredient ``line`` what was planned."""
    if line is not None:
        planned = f"planned {weight(line.planned_g)} g"
        return f"{planned}; type the grams that really went in; empty: as on the sheet"
    return key_drawn(_HELP.get(field_id, "grams that really went in; empty: as on the sheet"))


def bench_text(bench: MisDose, width: int) -> list[Line]:
    """The bench in lines broken to the width: what is out of the ordinary, what is in, what
    people do then."""
    found = _broken((f"! {plain(retold(text))}" for text in bench.messages), "act", width)
    inside = inside_words(bench)
    if bench.inside_low is not None:
        inside.append(f"at least: {contents_words(bench.inside_low)}")
    found += _broken(inside, "strong", width)
    found += [(), *_broken(["common fixes:"], "strong", width)]
    for text in bench.choices:
        first, *rest = wrapped(plain(retold(text)), width - 2, 3)
        found += [((f"- {first}", ""),), *(((f"  {line}", ""),) for line in rest)]
    return found


def _broken(texts: Iterable[str], tone: str, width: int) -> list[Line]:
    return [((line, tone),) for text in texts for line in wrapped(text, width, 3)]
