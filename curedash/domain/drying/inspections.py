"""What is seen, felt and smelled on a lot, in fixed words, and what people do next.

Nothing here says how good or bad a piece is: words go in, the usual next steps come out.
"""

from collections.abc import Sequence

from curedash.domain.errors import Doubtful, Refused
from curedash.domain.record import record
from curedash.domain.wording import listed

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.records import LotState

RIMS = ("none", "slight", "hard")
FIRMNESSES = ("soft", "springy", "firm")
SMELLS = ("clean", "sour", "ammonia", "rotten")
COLOURS = ("white", "grey", "green", "blue", "yellow", "brown", "black", "red")
COLOURED = ("green", "blue", "brown")
TEXTURES = ("powdery", "fluffy", "slimy")
SPREADS = ("spots", "patches", "all over")
ACTIONS = ("left", "brushed", "wiped", "washed", "cut away")
CONTACTS = ("good", "partly", "lost")
CUT_FACES = (
    *("even", "grey rim", "soft middle", "raw middle", "case hardening"),
    # the middle last: it is looked for there
    *("case hardening, soft middle", "grey rim, soft middle"),
)
SMELLS_OFF = "smells off"
OPENED_FACES = (*CUT_FACES, SMELLS_OFF)  # what cutting it open may show
AFTER_OPENING = ("back to drying", "equalise", "eat")
AFTER_SPOILED = ("put aside", "throw away")
PUT_ASIDE_WORDS = (
    "put it aside, cold, sealed and marked, and ask somebody who cures under a licence"
)

NOT_HUNG = ("raw", "in-cure", "salt-rest")
GOES_ON = "goes on drying"
MOULD_AGAIN_DAYS = (2, 3)  # design value: when mould is looked at again


@record
class Felt:
    """The three answers at target."""

    rim: str
    firmness: str
    smell: str

    @property
    def words(self) -> str:
        """``rim hard, firm, smell clean``."""
        return f"rim {self.rim}, {self.firmness}, smell {self.smell}"


@record
class Mould:
    """One entry of the mould log."""

    colour: str
    texture: str
    spread: str
    action: str

    @property
    def words(self) -> str:
        """``white, powdery, spots; brushed``."""
        return f"{self.colour}, {self.texture}, {self.spread}; {self.action}"

    @property
    def asks_decision(self) -> bool:
        """Black, red or slimy growth, or a coloured one all over, is decided by a person."""
        if self.colour in ("black", "red") or self.texture == "slimy":
            return True
        return self.is_coloured and self.spread == "all over"

    @property
    def is_coloured(self) -> bool:
        """Green, blue or brown fluffy growth: nobody put it on (common practice)."""
        return self.colour in COLOURED and self.texture == "fluffy"

    @property
    def caution(self) -> str:
        """The moment of the caution that belongs to it."""
        return "coloured-mould" if self.is_coloured else "mould"


@record
class Offer:
    """One way on, in words; ``days`` is how long it would take."""

    step: str  # keep-drying | equalise | slice | decide | go-on | put-aside | throw-away
    words: str
    days: int | None = None


def chosen(text: str, options: Sequence[str], what: str) -> str:
    """Read one of a few words, or a beginning that fits only one.

    Parameters
    ----------
    text : what was typed; a beginning of two, one longer, means the shorter
    options : the words there are
    what : what is asked, for the refusal

    Returns
    -------
    the word; anything else raises ``Refused`` and lists the words

    Source
    ------
    definition

    Example
    -------
    >>> chosen("Raw", CUT_FACES, "cut face"), chosen("all-over", SPREADS, "spread")
    ('raw middle', 'all over')
    """
    typed = " ".join(text.casefold().replace("-", " ").replace("_", " ").split())
    if typed in options:
        return typed
    fits = [option for option in options if typed and option.startswith(typed)]
    shortest = min(fits, key=len, default="")
    if not fits or not all(option.startswith(shortest) for option in fits):
        raise Refused(f"For the {what} type {listed(options, 'or')}.")
    return shortest


def thickness_now_mm(thickness_mm: float, loss_pct: float) -> float:
    """Guess today's thickness from the one at salting and the loss since hanging.

    Parameters
    ----------
    thickness_mm : of the thickest spot when it was measured [mm], above 0
    loss_pct : loss from hang weight [%], below 100; a piece that has gained counts as unchanged

    Returns
    -------
    thickness [mm]; outside raises ``Refused``

    Source
    ------
    the lost volume taken evenly from all sides, so by the cube root: an estimate, on the thick side

    Example
    -------
    >>> round(thickness_now_mm(80, 35), 1)
    69.3
    """
    if not thickness_mm > 0 or not loss_pct < 100:
        raise Refused("A thickness is above 0 mm and a loss below 100 %.")
    return float(thickness_mm * min(1.0, 1 - loss_pct / 100) ** (1 / 3))


def spoiled(felt: Felt, *, ferments: bool = False) -> str | None:
    """What the smell says of spoilage, as one of the words of `domain/curing/choices`.

    Parameters
    ----------
    felt : rim, firmness and smell
    ferments : it was fermented: sour is how it is meant to smell

    Returns
    -------
    ``sour`` or ``rotten``, None where the smell says nothing of it

    Source
    ------
    common practice (memory): in whole muscle sour is spoilage, in a ferment it is expected

    Example
    -------
    >>> spoiled(Felt("none", "firm", "sour")), spoiled(Felt("none", "firm", "sour"), ferments=True)
    ('sour', None)
    """
    if felt.smell == "sour" and ferments:
        return None
    return felt.smell if felt.smell in ("sour", "rotten") else None


def found_soft(lot: "LotState") -> str | None:
    """Why nobody else should pull a lot at its weight: it was felt soft, or a sibling was inside.

    Parameters
    ----------
    lot : the lot with what was seen on it, newest first

    Returns
    -------
    what was found, in words; None where it was felt otherwise since, or a decision was written

    Source
    ------
    definition
    """
    for look in lot.looks:
        if look.kind == "decision":
            return None
        if look.kind == "target":
            return "felt soft" if f", {FIRMNESSES[0]}," in look.text else None
        if look.kind == "sibling" and look.text.endswith(("soft middle", "raw middle")):
            return str(look.text)
    return None


def require_as_felt(lot: "LotState", face: str | None, *, sure: bool) -> None:
    """Ask about a raw middle in a lot that was felt firm all through.

    Parameters
    ----------
    lot : the lot with what was seen on it, newest first
    face : what the cut face showed; None: not cut
    sure : it was asked, and is so

    Raises
    ------
    Doubtful: the question

    Source
    ------
    design value of our own: without a rim, a raw middle gives way under a finger
    """
    felt = next((look.text for look in lot.looks if look.kind == "target"), "")
    firm = felt.startswith(f"rim {RIMS[0]}, {FIRMNESSES[-1]},")
    if sure or face != "raw middle" or not firm:
        return
    raise Doubtful(
        f"{lot.code} was felt with rim {RIMS[0]}, {FIRMNESSES[-1]}; that is no raw middle."
        " Is the cut face right?"
    )


def decided(lot: "LotState") -> tuple[str, str] | None:
    """What spoke against eating a lot and what was decided then.

    Parameters
    ----------
    lot : the lot with what was seen on it, newest first

    Returns
    -------
    the newest alarm and the decision after it, in words; None where nothing spoke against it, or
    nobody has decided since

    Source
    ------
    definition
    """
    decision = None
    for look in lot.looks:
        if look.kind == "decision" and decision is None:
            decision = str(look.text)
        if look.kind == "alarm":
            return None if decision is None else (str(look.text), decision)
    return None


def undecided(lot: "LotState") -> str | None:
    """What speaks against eating a lot until somebody has written down a decision.

    Parameters
    ----------
    lot : the lot with what was seen on it, newest first

    Returns
    -------
    the alarm, or a dose over the ceiling, in words; None where there is none or it was decided

    Source
    ------
    definition
    """
    for look in lot.looks:
        if look.kind == "decision":
            break
        if look.kind == "alarm":
            return str(look.text)
    if lot.dose_verdict != "refused" or lot.nitrite_mg_per_kg is None:
        return None
    from curedash.domain.dosing.limits import CEILING_NITRITE_MG_PER_KG

    over = lot.nitrite_mg_per_kg > CEILING_NITRITE_MG_PER_KG
    return dose_undecided(lot) if over else None


def require_decided(lot: "LotState") -> None:
    """Refuse to slice, pack or give away what waits for a decision.

    Parameters
    ----------
    lot : the lot with what was seen on it, newest first

    Returns
    -------
    nothing; raises ``Refused`` with the reason and the way out

    Source
    ------
    definition
    """
    against = undecided(lot)
    if against is not None:
        raise Refused(
            f"{lot.code}: {against}. Put it aside or throw it away; before anything else record"
            " what you decide."
        )


def dose_undecided(lot: "LotState") -> str | None:
    """Say that what went in broke a limit and nobody has decided since what to do with it.

    Parameters
    ----------
    lot : the lot with what was seen on it, newest first

    Returns
    -------
    ``dose outside the rule: 6250 mg/kg nitrite went in``, or None

    Source
    ------
    definition
    """
    if lot.dose_verdict != "refused":
        return None
    newest = next((look for look in lot.looks if look.kind in ("decision", "misdose")), None)
    if newest is not None and newest.kind == "decision":
        return None
    found = lot.nitrite_mg_per_kg
    if found is None:
        return "dose outside the rule"
    return f"dose outside the rule: {found:.0f} mg/kg nitrite went in"


def found_on(text: str) -> str:
    """The word of `domain/curing/choices` for an alarm as it was logged.

    Parameters
    ----------
    text : the alarm in words, as :func:`undecided` gives it

    Returns
    -------
    one of the grave words of the table

    Source
    ------
    definition

    Example
    -------
    >>> found_on("black, slimy, spots; left"), found_on("smell rotten"), found_on("red, fluffy")
    ('slime', 'rotten', 'black')
    """
    from curedash.domain.curing import choices

    for part, word in (
        ("dose ", choices.OVER_CEILING),
        ("slim", choices.SLIME),
        ("rotten", choices.ROTTEN),
        ("sour", choices.SOUR),
        (SMELLS_OFF, choices.ROTTEN),
    ):
        if part in text:
            return word
    return choices.BLACK


def next_after(face: str, undecided_of: str | None = None) -> tuple[str, ...]:
    """How it may go on after a lot was cut open.

    Parameters
    ----------
    face : what the cut face showed
    undecided_of : what speaks against it, as :func:`undecided` gives it

    Returns
    -------
    the ways on; of what smells off, or waits for a decision, only aside or away

    Source
    ------
    the table of `domain/curing/choices`

    Example
    -------
    >>> next_after("even"), next_after("smells off")
    (('back to drying', 'equalise', 'eat'), ('put aside', 'throw away'))
    """
    return AFTER_SPOILED if face == SMELLS_OFF or undecided_of is not None else AFTER_OPENING


def offers(
    felt: Felt,
    *,
    thickness_mm: float | None,
    shape: str = "slab",
    temp_c: float = 5.0,
    stage: str = "drying",
    ferments: bool = False,
    alarm: str | None = None,
) -> tuple[Offer, ...]:
    """List the ways on from the three answers, always in one order; none is a verdict.

    Parameters
    ----------
    felt : rim, firmness and smell
    thickness_mm : today's thickness [mm], None if nobody measured
    shape : round or slab
    temp_c : of the place where it would equalise [°C]
    stage : where it is now: only what never hung yet cannot equalise or be sliced
    ferments : it was fermented: sour is how it is meant to smell
    alarm : what was logged on it and not decided yet, as :func:`undecided` gives it

    Returns
    -------
    keep drying, equalise for N days, slice, and a decision where the smell asks for one; before
    it hung only going on as it is; of spoiled meat putting aside, throwing away and the decision

    Source
    ------
    the table of `domain/curing/choices`; days: ``equalising_days``; the usual one:
    :func:`usual_offer`

    Example
    -------
    >>> [offer.step for offer in offers(Felt("hard", "soft", "clean"), thickness_mm=60)]
    ['keep-drying', 'equalise', 'slice']
    >>> [offer.step for offer in offers(Felt("none", "soft", "clean"), thickness_mm=60,
    ...                                 stage="in-cure")]
    ['go-on']
    >>> [offer.step for offer in offers(Felt("none", "soft", "sour"), thickness_mm=60)]
    ['put-aside', 'throw-away', 'decide']
    """
    from curedash.domain.curing import choices

    found = [choices.AMMONIA if felt.smell == "ammonia" else choices.CLEAN]
    found += [word for word in (spoiled(felt, ferments=ferments),) if word is not None]
    found += [] if alarm is None else [found_on(alarm)]
    reason = alarm if alarm is not None else f"it smells {felt.smell}"
    words = {
        choices.PUT_ASIDE: PUT_ASIDE_WORDS,
        choices.THROW_AWAY: "throw it away",
        choices.GO_ON: "leave it as it is",
        choices.SLICE: "slice it",
        choices.DECIDE: f"{reason}: decide what you do with it",
    }
    hanging = () if stage in NOT_HUNG else _hung_offers(thickness_mm, shape, temp_c, stage)
    hung = {offer.step: offer for offer in hanging}
    opened = choices.open_choices(found, stage, None)
    return tuple(
        hung.get(one.choice) or Offer(one.choice, words[one.choice])
        for one in opened
        if one.choice in hung or one.choice in words
    )


def _hung_offers(
    thickness_mm: float | None, shape: str, temp_c: float, stage: str
) -> tuple[Offer, ...]:
    from curedash.domain.drying.equalising import equalising_days  # the Rack loads this module too

    days = None if thickness_mm is None else equalising_days(thickness_mm, shape, temp_c).days
    length = "for the days of its thickness" if days is None else f"for {days} d"
    drying = "keep drying" if stage in ("drying", "ferment") else "back to drying"
    softening = "keep equalising" if stage == "equalising" else "equalise"
    return (
        Offer("keep-drying", f"{drying} and weigh again"),
        Offer("equalise", f"{softening} {length} in a sealed bag, cold", days),
    )


def usual_offer(felt: Felt, found: Sequence[Offer]) -> int:
    """Which of the ways on is the usual one.

    Parameters
    ----------
    felt : rim, firmness and smell
    found : the ways on, as :func:`offers` gives them

    Returns
    -------
    its place in them, from 0

    Source
    ------
    common practice (memory)

    Example
    -------
    >>> felt = Felt("hard", "soft", "clean")
    >>> usual_offer(felt, offers(felt, thickness_mm=60))
    1
    """
    steps = [offer.step for offer in found]
    if "put-aside" in steps:
        return steps.index("put-aside")
    if "decide" in steps:
        return steps.index("decide")
    if felt.rim == "hard" or (felt.rim == "slight" and felt.firmness == "soft"):
        usual = "equalise"
    else:
        usual = "keep-drying" if felt.firmness == "soft" else "slice"
    return steps.index(usual) if usual in steps else 0
