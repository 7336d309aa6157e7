"""What is seen, felt and smelled on a lot, in fixed words, and what people do next.

Nothing here says how good or bad a piece is: words go in, the usual next steps come out.
"""

from collections.abc import Sequence

from curedash.domain.errors import Refused
from curedash.domain.record import record

RIMS = ("none", "slight", "hard")
FIRMNESSES = ("soft", "springy", "firm")
SMELLS = ("clean", "sour", "ammonia", "rotten")
COLOURS = ("white", "grey", "green", "blue", "yellow", "brown", "black", "red")
TEXTURES = ("powdery", "fluffy", "slimy")
SPREADS = ("spots", "patches", "all over")
ACTIONS = ("left", "brushed", "wiped", "washed", "cut away")
CONTACTS = ("good", "partly", "lost")
CUT_FACES = ("even", "grey rim", "soft middle", "raw middle")

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
        """Black, red or slimy growth is not left to a rule: a person decides."""
        return self.colour in ("black", "red") or self.texture == "slimy"


@record
class Offer:
    """One way on, in words; ``days`` is how long it would take."""

    step: str  # keep-drying | equalise | slice | decide | go-on
    words: str
    days: int | None = None


def chosen(text: str, options: Sequence[str], what: str) -> str:
    """Read one of a few words, or a beginning that fits only one.

    Parameters
    ----------
    text : what was typed
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
    if len(fits) != 1:
        raise Refused(f"The {what} is {', '.join(options[:-1])} or {options[-1]}.")
    return fits[0]


def thickness_now_mm(thickness_mm: float, loss_pct: float) -> float:
    """Guess today's thickness from the one at salting and the loss since hanging.

    Parameters
    ----------
    thickness_mm : of the thickest spot when it was measured [mm], above 0
    loss_pct : loss of hang weight [%], below 100; a piece that has gained counts as unchanged

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


def offers(
    felt: Felt, *, thickness_mm: float | None, shape: str = "slab", temp_c: float = 5.0,
    stage: str = "drying",
) -> tuple[Offer, ...]:  # fmt: skip
    """List the ways on from the three answers, always in one order; none is a verdict.

    Parameters
    ----------
    felt : rim, firmness and smell
    thickness_mm : today's thickness [mm], None if nobody measured
    shape : round or slab
    temp_c : of the place where it would equalise [°C]
    stage : where it is now: only what never hung yet cannot equalise or be sliced

    Returns
    -------
    keep drying, equalise for N days, slice, and a decision where the smell asks for one; before
    it hung only going on as it is, and the decision

    Source
    ------
    days: ``equalising_days``; what the usual one is: :func:`usual_offer`

    Example
    -------
    >>> [offer.step for offer in offers(Felt("hard", "soft", "clean"), thickness_mm=60)]
    ['keep-drying', 'equalise', 'slice']
    >>> [offer.step for offer in offers(Felt("none", "soft", "clean"), thickness_mm=60,
    ...                                 stage="in-cure")]
    ['go-on']
    """
    if stage in NOT_HUNG:
        found: tuple[Offer, ...] = (Offer("go-on", "leave it as it is"),)
    else:
        found = _hung_offers(thickness_mm, shape, temp_c, stage)
    if felt.smell in ("ammonia", "rotten"):
        found = (*found, Offer("decide", f"it smells {felt.smell}: decide what you do with it"))
    return found


def _hung_offers(
    thickness_mm: float | None, shape: str, temp_c: float, stage: str
) -> tuple[Offer, ...]:
    from curedash.domain.equalising import equalising_days  # the Rack loads this module too

    days = None if thickness_mm is None else equalising_days(thickness_mm, shape, temp_c).days
    length = "for the days of its thickness" if days is None else f"for {days} d"
    drying = "keep drying" if stage in ("drying", "ferment") else "back to drying"
    softening = "equalise on" if stage == "equalising" else "equalise"
    return (
        Offer("keep-drying", f"{drying} and weigh again"),
        Offer("equalise", f"{softening} {length} in a sealed bag, cold", days),
        Offer("slice", "slice it"),
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
    if "decide" in steps:
        return steps.index("decide")
    if felt.rim == "hard" or (felt.rim == "slight" and felt.firmness == "soft"):
        usual = "equalise"
    else:
        usual = "keep-drying" if felt.firmness == "soft" else "slice"
    return steps.index(usual) if usual in steps else 0
