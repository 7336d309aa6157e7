"""What really went in: the fields of the mis-dose bench, read, and the bench in lines."""

from collections.abc import Mapping

from curedash.domain.dose import CuringSalt, MisDose, curing_salts, resolve_curing_salt
from curedash.domain.errors import CuredashError
from curedash.domain.record import record
from curedash.domain.records import DoseLine
from curedash.domain.units import parse_weight_g
from curedash.present.batch_fields import Option
from curedash.present.doses import bench_lines
from curedash.present.sheet_lines import ingredient_words
from curedash.present.words import (
    Line,
    Span,
    cells,
    cut,
    filled,
    in_own_units,
    left,
    weight,
    wrapped,
)
from curedash.services.misdose import WentIn

LABEL = 34
REALLY, LOST, NOTE = "really", "lost", "note"
_LABELS = {
    REALLY: "it was another curing salt",
    LOST: "liquid that leaked out",
    NOTE: "what happened",
}
_HELP = {
    REALLY: "a type by ←→, an own jar, or the strength on its label; empty: the planned one",
    LOST: "grams of liquid lost from the bag, e.g. 80",
    NOTE: "in your own words, for the log",
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
    field_id: str, shown: str, line: DoseLine | None, trouble: str, width: int, *, focused: bool,
    tone: str = "typed",
) -> Line:  # fmt: skip
    """One field: an ingredient with what was planned and weighed, or what else happened."""
    room = min(LABEL, width // 2 - 4)
    label = _LABELS.get(field_id, "") if line is None else ingredient_words(line.name, room)
    spans: list[Span] = [("› " if focused else "  ", "key"), (left(label, room) + " ", "quiet")]
    value = (
        cut(shown, max(8, width - room - 24)) if field_id != NOTE else cut(shown, width - room - 4)
    )
    spans.append((value, tone if focused else ""))
    if trouble:
        spans.append((f"  ! {trouble}", "act"))
    elif line is not None:
        now = line.planned_g if line.weighed_g is None else line.weighed_g
        words = "ticked" if line.weighed_g is not None else "planned"
        spans.append((" " * max(1, 10 - cells(value)) + f"g   {words} {weight(now)} g", "quiet"))
    return filled(spans, width)


def help_text(field_id: str) -> str:
    """What a field wants."""
    return _HELP.get(field_id, "grams that really went in; empty: as the sheet says")


def bench_text(bench: MisDose, width: int) -> list[Line]:
    """The bench in lines broken to the width: what is in, then what people do."""
    found: list[Line] = []
    for text in bench_lines(bench):
        tone = "strong" if text.startswith(("in now", "at least", "what")) else ""
        found += [((line, tone),) for line in wrapped(text, width, 3)]
    return found
