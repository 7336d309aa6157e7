"""The weigh-in line in words: what to expect before a digit is typed, what the digits mean after.

Whatever is compared with a scale is given as the scale shows it; the parts stand in the order of
their worth, so that a narrow screen leaves out the last ones.
"""

from curedash.domain.drying.lot_figures import SHORT_LIKELY, STALLED
from curedash.domain.records import LotState
from curedash.domain.weighing.doubts import Doubt
from curedash.domain.weighing.neighbours import SIBLINGS, SWAPPED
from curedash.present.display_units import bare, mass, mass_change, mass_range, to_go
from curedash.present.words import ABOUT, ago, cells, fitting, odds_words, percent, plain, stage
from curedash.services.weighing.weigh import Hint, Preview

FIRST_ON_CURVE = "its curve starts here"
IN_WINDOW = "in its pull window"
PULL_IT = f"{IN_WINDOW}: pull it"
PERHAPS = "perhaps in its pull window: feel it"
UNDECIDED = "decide first what you do with it"


def name_words(lot: LotState) -> str:
    """A lot by code and piece: ``C2 thick end``."""
    return plain(f"{lot.code} {lot.piece}").strip()


def prompt_words(lot: LotState) -> str:
    """What is weighed; a lot that does not hang yet says so: ``A4 end, in cure``."""
    if lot.hang_g is None:
        return f"{name_words(lot)}, {stage(lot.stage)}"
    return name_words(lot)


def loss_words(seen: Preview, base: str) -> str:
    """The loss on its base; before hanging only how far it is from its green weight."""
    about = ABOUT if seen.approx else ""
    loss_pct = seen.loss_pct or 0.0
    if starts_curve(seen):
        return FIRST_ON_CURVE
    if seen.base == "green":
        side = "under" if loss_pct >= 0 else "over"
        return f"not hanging yet, {percent(abs(loss_pct))} {side} {base}"
    if seen.base_g is not None and is_heavier_than_hung(seen):
        return f"heavier than hung by {about}{mass(seen.net_g - seen.base_g)}"
    return f"{about}{percent(loss_pct)} lost from {base}"


def starts_curve(seen: Preview) -> bool:
    """Whether it is the first weight of a lot that was hung unweighed."""
    return seen.of is not None and seen.of.stage in ("drying", "ferment") and seen.of.hang_g is None


def is_heavier_than_hung(seen: Preview) -> bool:
    """Whether there is no loss to speak of: a slip, or something left on it."""
    return seen.base == "hang" and (seen.loss_pct or 0.0) <= -0.05


def hint_parts(hint: Hint, *, alone: bool = False) -> list[str]:
    """What the person at the scale may want to know first, all as the scale shows it.

    ``alone``: nothing but the meat lies on it this once (the hint is without its tare then).
    """
    parts = []
    shown = " alone" if alone else " on the scale"  # said once, of the first weight
    if hint.last_net_g is not None:
        since = "" if hint.days_since is None else f", {ago(hint.days_since)}"
        parts.append(f"last {mass(hint.last_net_g + hint.tare_g)}{shown}{since}")
        shown = ""
    if hint.expected_on_scale_g is not None:
        lo, hi = hint.expected_on_scale_g
        parts.append(f"expect {mass_range(lo, hi, whole=True)}{shown}")
        shown = ""
    if hint.target_on_scale_g is not None:
        lo, hi = hint.target_on_scale_g
        do = f"feel it at {ABOUT}" if hint.guessed else "pull at "
        parts.append(f"{do}{mass_range(lo, hi, whole=True)}{shown}")
    if hint.chance_short is not None:
        stalls = hint.chance_short > SHORT_LIKELY
        parts.append(STALLED if stalls else odds_words(hint.chance_short))
    if hint.tare_g:
        what = f" ({plain(hint.tare_what)})" if hint.tare_what else ""
        parts.append(f"tare {mass(hint.tare_g)}{what}")
    return parts


def echo_parts(seen: Preview) -> list[str]:
    """What was typed, as it would be kept."""
    parts = [net_words(seen)]
    if seen.change_g is not None and seen.days_since is not None:
        span = f"in {seen.days_since} d" if seen.days_since else "since today"
        parts.append(f"{mass_change(seen.change_g)} {span}")
    if seen.loss_pct is not None:
        about = ABOUT if seen.approx else ""
        base = f"{seen.base} {about}{mass(seen.base_g or 0.0)}"
        parts.append(loss_words(seen, base))
    elif starts_curve(seen):
        parts.append(FIRST_ON_CURVE)
    if seen.to_go_g is not None and not is_heavier_than_hung(seen):
        parts.append(target_of(seen))
    return parts


def echo_words(seen: Preview, width: int) -> str:
    """The echo within a width: first the base goes, then the sum, and never what is to go."""
    parts = echo_parts(seen)
    brief = [parts[0], *_brief(seen, parts[1:])]
    briefest = [f"{mass(seen.net_g)} net", *brief[1:]]
    choices = [fitting(each, width) for each in (parts, brief, briefest)]
    return max(choices, key=lambda words: words.count(" · "))  # the first of equals


def _brief(seen: Preview, parts: list[str]) -> list[str]:
    """The same in fewer words: ``32.0 % lost``, ``38 g past``."""
    if seen.loss_pct is None or seen.base == "green":
        return parts
    said = [
        part.partition(" lost from ")[0] + " lost" if " lost from " in part else part
        for part in parts
    ]
    return [part.removesuffix(" the target").replace(PULL_IT, IN_WINDOW) for part in said]


def net_words(seen: Preview) -> str:
    """The net weight, with the sum it came from where a tare was taken off."""
    if not seen.tare_g:
        return f"{mass(seen.net_g)} net"
    return f"{mass(seen.net_g)} net ({bare(seen.gross_g)} − {bare(seen.tare_g)} tare)"


def target_of(seen: Preview) -> str:
    """Where a weight lies to its target; between its ends that is said, and what to do.

    What waits for a decision is not to be pulled.
    """
    to_go_g = seen.to_go_g or 0.0
    if seen.undecided is not None and (seen.in_window or to_go_g <= 0):
        return UNDECIDED
    if seen.of is not None and seen.of.start_from is not None:
        return PERHAPS if seen.in_window else f"{ABOUT}{to_go_words(to_go_g)}"
    return PULL_IT if seen.in_window else to_go_words(to_go_g)


def to_go_words(to_go_g: float) -> str:
    """Grams to the heavier end of the target, or past it."""
    words = to_go(to_go_g)
    if words == "reached":
        return "target reached"
    return f"{words} the target" if words.endswith(" past") else words


def saved_parts(lot: LotState, seen: Preview, undo_key: str) -> list[str]:
    """What was kept, said after it is on disk, with the key that undoes it."""
    flagged = " (flagged)" if seen.doubts else ""
    head, *rest = echo_parts(seen)
    return [f"Saved {lot.code}{flagged}: {head}", *rest, f"{undo_key} undoes it"]


def saved_words(lot: LotState, seen: Preview, width: int, undo_key: str) -> str:
    """The same in two lines: where there is no room the sum goes, and what the loss is of."""
    parts = saved_parts(lot, seen, undo_key)
    if cells(" · ".join(parts)) <= width:
        return " · ".join(parts)
    head = parts[0].partition(" (")[0] if seen.tare_g and not seen.doubts else parts[0]
    brief = [head, *_brief(seen, parts[1:])]
    return fitting(brief, 2 * width - 12)


def doubt_answers(doubt: Doubt, typed_g: float, worn: str = "") -> list[tuple[str, str]]:
    """The single-key answers to a question: ``y`` the likely fix if there is one, ``k``, ``n``.

    ``worn`` is what is taken off as tare, where it may have been left off the scale.
    """
    answers = []
    if doubt.kind == SWAPPED:
        answers.append(("y", f"swap with {doubt.lot_code}"))
    elif doubt.kind == SIBLINGS:
        answers += [("y", f"without {worn}")] if worn else []
    elif doubt.likely_fix_g is not None:
        answers.append(("y", f"{mass(doubt.likely_fix_g)}"))
    elif doubt.lot_code is not None:
        answers.append(("y", f"it is {doubt.lot_code}"))
    answers.append(("k", f"keep {mass(typed_g)}"))
    return [*answers, ("n Esc", "change it")]
