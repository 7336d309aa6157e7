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

    step: str  # keep-drying | equalise | slice | decide
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
    felt: Felt, *, thickness_mm: float | None, shape: str = "slab", temp_c: float = 5.0
) -> tuple[Offer, ...]:
    """List the ways on from the three answers, the usual one first; none is a verdict.

    Parameters
    ----------
    felt : rim, firmness and smell
    thickness_mm : today's thickness [mm], None if nobody measured
    shape : round or slab
    temp_c : of the place where it would equalise [°C]

    Returns
    -------
    keep drying, equalise for N days, slice; before them a decision where the smell asks for one

    Source
    ------
    order: common practice (memory); days: ``equalising_days``

    Example
    -------
    >>> [offer.step for offer in offers(Felt("hard", "soft", "clean"), thickness_mm=60)]
    ['equalise', 'keep-drying', 'slice']
    """
    from curedash.domain.equalising import equalising_days  # the Rack loads this module too

    days = None if thickness_mm is None else equalising_days(thickness_mm, shape, temp_c).days
    length = "for the days of its thickness" if days is None else f"for {days} d"
    ways = {
        "keep-drying": Offer("keep-drying", "keep drying and weigh again"),
        "equalise": Offer("equalise", f"equalise {length} in a sealed bag, cold", days),
        "slice": Offer("slice", "slice it"),
    }
    found = tuple(ways[step] for step in _usual_order(felt))
    if felt.smell in ("ammonia", "rotten"):
        return (Offer("decide", f"it smells {felt.smell}: decide what you do with it"), *found)
    return found


def _usual_order(felt: Felt) -> tuple[str, str, str]:
    if felt.rim == "hard" or (felt.rim == "slight" and felt.firmness == "soft"):
        return ("equalise", "keep-drying", "slice")
    if felt.firmness == "soft":
        return ("keep-drying", "equalise", "slice")
    return ("slice", "equalise", "keep-drying")
