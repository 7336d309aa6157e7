"""The mis-dose bench: what is in, what is missing or too much, and what people then do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite

from curedash.domain.curing import choices as table
from curedash.domain.curing.choices import Open, how_far, open_choices
from curedash.domain.dosing.compute import weighed_dose
from curedash.domain.dosing.contents import basis_g, contents_of
from curedash.domain.dosing.formulas import SATURATED_BRINE_PCT
from curedash.domain.dosing.limits import CEILING_NITRITE_MG_PER_KG
from curedash.domain.dosing.result import CAUTION, REFUSED, UNCHECKED, Contents, Dose
from curedash.domain.dosing.salts import CuringSalt
from curedash.domain.dosing.words import plain
from curedash.domain.drying.inspections import PUT_ASIDE_WORDS
from curedash.domain.errors import Refused
from curedash.domain.facts.nitrite_poison import NITRITE_POISON
from curedash.domain.quantity_text import grams, phrase

# Closer to the plan than this, nothing is called short or over [% of the planned grams].
NEAR_PCT = 2.0
# Cautions of the meat and the list were said at dosing; the bench is about what went in.
OF_THE_MEAT = ("species", "extras")
CURES = ("curing-salt", "pack")


@dataclass(frozen=True, slots=True)
class BenchLine:
    """One ingredient: planned beside given, and the grams missing or too much."""

    name: str
    kind: str
    planned_g: float
    given_g: float

    @property
    def top_up_g(self) -> float:
        """Grams to add to reach the plan, 0 when there is enough."""
        return max(0.0, self.planned_g - self.given_g)

    @property
    def over_g(self) -> float:
        """Grams above the plan, 0 when there is not too much."""
        return max(0.0, self.given_g - self.planned_g)


@dataclass(frozen=True, slots=True)
class MisDose:
    """What went in against what was planned; it gives numbers and choices, no verdict."""

    lines: tuple[BenchLine, ...]
    planned: Contents
    inside: Contents
    inside_low: Contents | None
    messages: tuple[str, ...]
    meat_to_plan_g: float | None
    choices: tuple[str, ...]
    open: tuple[Open, ...] = ()  # the same choices by their words in the table
    ticked: Contents | None = None  # in by what was ticked or said alone; None: that is all of it


def misdose(
    dose: Dose,
    given: Mapping[str, float],
    *,
    really: CuringSalt | None = None,
    lost_liquid_g: float = 0.0,
    stage: str | None = None,
    hours: float | None = None,
) -> MisDose:
    """Compare what went in with the planned dose and list the choices people have.

    Parameters
    ----------
    dose : the planned dose
    given : grams that went in, by ingredient name or kind [g]; what is not named went in as planned
    really : the curing salt that was really used, where it was not the planned one
    lost_liquid_g : liquid that leaked out of the bag [g], 0 or more
    stage : where the lot is; None for a dose without a lot
    hours : since it was salted [h]; None where nobody knows, or nothing was salted yet

    Returns
    -------
    mg/kg and salt that are in (a range after a leak), grams to top up or over, and choices

    Source
    ------
    the dose formulas; a leak takes at least its even share of the salt and at most a saturated
    brine's (26.4 %), an estimate

    Example
    -------
    >>> from curedash.domain.dosing import DoseRequest, compute_dose, resolve_curing_salt
    >>> planned = compute_dose(DoseRequest(
    ...     green_g=1000, salt_pct=2.75, curing_salt=resolve_curing_salt("no1"), cure_pct=0.25,
    ...     scale_division_g=0.1, rule_set="us", product_class="dry-cured"))
    >>> bench = misdose(planned, {"curing-salt": 1.0})
    >>> round(bench.inside.nitrite_mg_per_kg, 1), round(bench.lines[1].top_up_g, 2)
    (62.5, 1.5)
    """
    if not isfinite(lost_liquid_g) or lost_liquid_g < 0:
        raise Refused(f"{lost_liquid_g:g} g of lost liquid makes no sense; give 0 g or more.")
    request = dose.request if really is None else replace(dose.request, curing_salt=really)
    went_in = weighed_dose(replace(dose, request=request), given)
    lines = tuple(
        BenchLine(before.name, before.kind, before.weigh_g, after.weigh_g)
        for before, after in zip(dose.ingredients, went_in.ingredients, strict=True)
    )
    high, low = went_in.contents, None
    if lost_liquid_g:
        high, low = _after_leak(went_in, lost_liquid_g)
    to_plan_g = _meat_to_plan_g(dose, went_in)
    found = _found(lines, dose.contents, went_in.contents, lost_liquid_g)
    opened = open_choices(found, stage, hours, request.method)
    sentences = [
        f.text
        for f in went_in.findings
        if f.level in (REFUSED, CAUTION, UNCHECKED) and f.field not in OF_THE_MEAT
    ]
    if table.OVER_CEILING in found:
        sentences.append(NITRITE_POISON)
    elif table.ADD not in {one.choice for one in opened} and _is_short(lines):
        sentences.append(_too_late(stage, hours))
    words = tuple(_words(opened, lines, to_plan_g, stage))
    inside = (dose.contents, high, low)
    return MisDose(lines, *inside, tuple(sentences), to_plan_g, words, opened)


def _after_leak(dose: Dose, lost_g: float) -> tuple[Contents, Contents]:
    """Contents if the liquid took its even share, and if it was a saturated brine."""
    weights = [(item.kind, item.weigh_g) for item in dose.ingredients]
    dissolved_g = sum(g for kind, g in weights if kind in ("salt", "curing-salt", "pack"))
    whole_g = dose.request.green_g + sum(g for _kind, g in weights)
    even = min(1.0, lost_g / whole_g)
    most = min(1.0, lost_g * SATURATED_BRINE_PCT / 100 / dissolved_g) if dissolved_g else 0.0
    least_left, most_left = sorted((1 - even, 1 - most))
    return (
        contents_of(dose.request, [(kind, g * most_left) for kind, g in weights]),
        contents_of(dose.request, [(kind, g * least_left) for kind, g in weights]),
    )


def _meat_to_plan_g(dose: Dose, went_in: Dose) -> float | None:
    """Green meat that would bring the nitrite down to the plan, when there is too much."""
    planned, inside = dose.nitrite_mg_per_kg, went_in.nitrite_mg_per_kg
    if not planned or not inside or inside <= planned * (1 + NEAR_PCT / 100):
        return None
    if dose.request.method in ("immersion", "injection"):
        return None
    return basis_g(dose.request) * (inside / planned - 1)


def _found(
    lines: tuple[BenchLine, ...], planned: Contents, inside: Contents, lost_liquid_g: float
) -> list[str]:
    """What went wrong, in the words of the table of choices."""
    if (inside.nitrite_mg_per_kg or 0.0) > CEILING_NITRITE_MG_PER_KG:
        return [table.OVER_CEILING]
    agents = [
        *(how_far(line.planned_g, line.given_g, NEAR_PCT) for line in lines if line.kind in CURES),
        how_far(planned.nitrite_mg_per_kg, inside.nitrite_mg_per_kg, NEAR_PCT),
        how_far(planned.nitrate_mg_per_kg, inside.nitrate_mg_per_kg, NEAR_PCT),
    ]
    salt = how_far(planned.total_salt_pct, inside.total_salt_pct, NEAR_PCT)
    if salt in _TOO_MUCH:
        salt = table.SALTY
    found = [word for word in dict.fromkeys((*agents, salt)) if word != table.AS_PLANNED]
    if _is_short(lines) and not {table.SHORT, table.FAR_SHORT} & set(found):
        found.append(table.SHORT)
    if lost_liquid_g:
        found.append(table.LEAK)
    return found or [table.AS_PLANNED]


_TOO_MUCH = (table.OVER, table.FAR_OVER)


def _is_short(lines: tuple[BenchLine, ...]) -> bool:
    return any(_short_g(line) > 0 for line in lines)


def _short_g(line: BenchLine) -> float:
    return line.top_up_g if line.top_up_g > line.planned_g * NEAR_PCT / 100 else 0.0


def _too_late(stage: str | None, hours: float | None) -> str:
    where = "it is out of the cure" if stage not in ("raw", "in-cure") else "it is in the cure"
    why = where if hours is None else f"it was salted {_ago(hours)} ago"
    return f"Nothing can be added any more: {why}."


def _ago(hours: float) -> str:
    return f"{hours:.0f} h" if hours < 48 else f"{hours / 24:.0f} d"


def _words(
    opened: tuple[Open, ...], lines: tuple[BenchLine, ...], meat_g: float | None, stage: str | None
) -> list[str]:
    """The choices as sentences; what has an end says it where the stage is not known."""
    found = []
    for one in opened:
        for text in _sentences(one.choice, lines, meat_g, stage):
            most = one.most_hours
            until = "" if most is None else f"Before the cure or in its first {most:.0f} h: "
            found.append(phrase("{until}{text}", until=until, text=text) if until else text)
    return found


def _sentences(
    choice: str, lines: tuple[BenchLine, ...], meat_g: float | None, stage: str | None
) -> list[str]:
    if choice == table.ADD:
        again = " Its days in the cure count from then." if stage == "in-cure" else ""
        return [
            f"Add {plain(_short_g(line))} g {line.name} now and turn it well.{again}"
            for line in lines
            if _short_g(line) > 0
        ]
    if choice == table.MORE_MEAT:
        if meat_g is None:
            return []
        text = "Add {meat} raw meat, with the other salts for that weight."
        return [phrase(text, meat=grams(meat_g, f"{plain(meat_g)} g"))]
    return [_SENTENCES[choice]]


_SENTENCES = {
    table.THROW_AWAY: "Throw it away.",
    table.PUT_ASIDE: f"{PUT_ASIDE_WORDS[0].upper()}{PUT_ASIDE_WORDS[1:]}.",
    table.WEIGH_ANEW: "If it is not on the meat yet: leave that salt out, label it, weigh out new"
    " salt.",
    table.DECIDE: "Record what you decide.",
    table.RINSE: "Rinse it and pat it dry; how much went in is then unknown.",
    table.NEW_BAG: "Put it into a new bag.",
    table.TOP_UP_LEAK: "Top up at most what leaked, never beyond the plan.",
    table.GO_ON: "Leave it as it is; what went in stays on the record.",
    table.GO_ON_ASKED: "Ask somebody who cures under a licence before going on; what went in is on"
    " record.",
}
