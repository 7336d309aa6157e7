"""What somebody wants to dose, and the first look at whether it makes sense at all."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from curedash.domain.dosing.limits import known_product_class, known_rule_set
from curedash.domain.dosing.salts import CuringSalt, not_a_spice
from curedash.domain.errors import Refused
from curedash.domain.wording import no_such

METHODS = (
    ("equilibrium", "equilibrium dry cure"),
    ("equilibrium-brine", "equilibrium brine"),
    ("immersion", "short immersion"),
    ("injection", "injection"),
    ("ground", "ground meat, sausage"),
    ("salt-box", "salt box"),
    ("pack", "ready-mixed pack"),
)
SALT_MEANS = ("includes", "besides")
EATEN = ("as-is", "cooked-soon", "fried")
PERCENT_OF = ("meat", "brine")

# Over this many days a salt with nitrite only is used up; so long a piece counts as long-dried.
LONG_DRY_DAYS = 30

MAX_GREEN_G = 500_000.0
MAX_WATER_G = 2_000_000.0
MIN_GREEN_G = 1.0
MOST_IN_A_STRING = 1000  # design value: pieces weighed as one lot


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale of the household: its division and, if it has one, its maximum [g]."""

    division_g: float
    max_g: float | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class DoseRequest:
    """One dose as asked for.

    Percentages are of the meat; in an equilibrium brine of meat and water together; in an
    immersion or injection of the brine, unless ``percent_of`` is "meat". In a ready-mixed pack
    and a salt box ``salt_pct`` is plain salt beside it, on the meat, and may be left out.
    """

    green_g: float
    method: str = "equilibrium"
    salt_pct: float | None = None
    salt_means: str = "includes"
    curing_salt: CuringSalt | None = None
    cure_pct: float | None = None
    wanted_nitrite_mg_per_kg: float | None = None
    wanted_nitrate_mg_per_kg: float | None = None
    sugar_pct: float = 0.0
    extras: tuple[tuple[str, float], ...] = ()
    water_g: float | None = None
    pickup_pct: float | None = None
    pump_pct: float | None = None
    percent_of: str | None = None
    pack_g: float | None = None
    pack_for_g: float | None = None
    packs: float | None = None
    scale_division_g: float = 1.0
    scales: tuple[Scale, ...] = ()
    rule_set: str | None = None
    product_class: str | None = None
    planned_days: float | None = None
    eaten: str | None = None
    cut: str = ""
    style_nitrite_mg_per_kg: float | None = None
    style_salt_pct: float | None = None
    style_without_nitrite: bool = False
    fermented: bool | None = None
    species: str = ""
    wild: bool = False
    skin: bool = False
    answers: tuple[tuple[str, str], ...] = ()  # question and reason, kept with the batch
    pieces: int = 1
    fat_pct: float | None = None  # of ground meat: the fat in the bowl, where it was weighed

    @property
    def shelf_of_scales(self) -> tuple[Scale, ...]:
        """The scales to choose from: the list, or one scale of the given division."""
        return self.scales or (Scale(self.scale_division_g),)

    @property
    def wants_nitrite_or_nitrate(self) -> bool:
        """Whether any curing salt is asked for at all."""
        amounts = (self.cure_pct, self.wanted_nitrite_mg_per_kg, self.wanted_nitrate_mg_per_kg)
        return any(amount is not None and amount > 0 for amount in amounts)

    @property
    def reach_pct(self) -> float:
        """Share of the meat's weight in brine that gets into it [%]: pick-up or pump."""
        chosen = self.pickup_pct if self.method == "immersion" else self.pump_pct
        return chosen or 0.0

    @property
    def basis(self) -> str:
        """What percentages are of: the meat, meat and water together, or the brine."""
        if self.method == "equilibrium-brine":
            return "meat and water"
        return "brine" if self.of_brine else "meat"

    @property
    def of_brine(self) -> bool:
        """Whether percentages are of a brine that only partly gets into the meat."""
        return self.method in ("immersion", "injection") and self.percent_of != "meat"


def check_request(request: DoseRequest) -> None:
    """Refuse what cannot be meant: no number, negative, out of any sense, or a missing answer.

    Parameters
    ----------
    request : the dose asked for

    Returns
    -------
    nothing; a `Refused` with one sentence says what is wrong and what to give

    Source
    ------
    the project's own bounds (design values)

    Example
    -------
    >>> check_request(DoseRequest(green_g=1000, salt_pct=2.75))
    """
    _check_words(request)
    _number("green weight", request.green_g, MIN_GREEN_G, MAX_GREEN_G, "g")
    for name, value in _percentages(request):
        _number(name, value, 0, 100, "%")
    for name, value in (
        ("wanted nitrite", request.wanted_nitrite_mg_per_kg),
        ("wanted nitrate", request.wanted_nitrate_mg_per_kg),
    ):
        _number(name, value, 0, 100_000, "mg/kg")
    _number("water", request.water_g, 0, MAX_WATER_G, "g")
    _number("planned days", request.planned_days, 0, 3650, "d")
    _number("number of pieces", request.pieces, 1, MOST_IN_A_STRING, "")
    for scale in request.shelf_of_scales:
        _number("smallest step of the scale", scale.division_g, 0.0001, 1000, "g")
        _number("maximum of the scale", scale.max_g, scale.division_g, MAX_GREEN_G, "g")
    _check_curing_salt(request)
    _check_names(request)
    _CHECKS[request.method](request)


def _check_words(request: DoseRequest) -> None:
    for name, word, known in (
        ("method", request.method, [method for method, _label in METHODS]),
        ("salt-means", request.salt_means, SALT_MEANS),
        ("eaten", request.eaten, EATEN),
        ("percent-of", request.percent_of, PERCENT_OF),
    ):
        if word is not None and word not in known:
            raise Refused(no_such(name, word[:40], known))
    if request.rule_set is not None:
        known_rule_set(request.rule_set)
    if request.product_class is not None:
        known_product_class(request.product_class)


def _percentages(request: DoseRequest) -> list[tuple[str, float | None]]:
    named: list[tuple[str, float | None]] = [
        ("salt", request.salt_pct),
        ("curing salt", request.cure_pct),
        ("sugar", request.sugar_pct),
        ("pick-up", request.pickup_pct),
        ("pump", request.pump_pct),
        ("fat", request.fat_pct),
    ]
    return named + [(name[:40] or "an ingredient", pct) for name, pct in request.extras]


def _number(name: str, value: float | None, low: float, high: float, unit: str) -> None:
    if value is None:
        return
    if not isfinite(value) or not low <= value <= high:
        unit = f" {unit}" if unit else ""
        raise Refused(f"{name} {value:g}{unit} makes no sense; give {low:g} to {high:g}{unit}.")


def _check_curing_salt(request: DoseRequest) -> None:
    amounts = (request.cure_pct, request.wanted_nitrite_mg_per_kg, request.wanted_nitrate_mg_per_kg)
    if sum(amount is not None for amount in amounts) > 1:
        raise Refused("Give the curing salt once: as a percentage or as the wanted mg/kg.")
    if request.wants_nitrite_or_nitrate and request.curing_salt is None:
        raise Refused("Which curing salt? Give no1, no2 … or the strength on its label as 5.88/0.")


def _check_names(request: DoseRequest) -> None:
    """Each line of the sheet is ticked off by its name, so no two may be called alike."""
    taken = {"salt", "curing-salt", "sugar", "water", "pack", "ready-mixed pack"}
    if request.curing_salt is not None:
        taken.add(request.curing_salt.name.casefold())
    for name, _pct in request.extras:
        shown = name.strip().casefold()
        if not shown:
            raise Refused("A spice needs a name, for example pepper.")
        if shown in taken:
            raise Refused(f"{name.strip()[:40]!r} is on the sheet already; give it another name.")
        not_a_spice(name)
        taken.add(shown)


def _needs_salt(request: DoseRequest) -> None:
    if request.salt_pct is None:
        raise Refused("How much salt? Give the salt in percent, for example 2.75.")


def _check_equilibrium_brine(request: DoseRequest) -> None:
    _needs_salt(request)
    if not request.water_g:
        raise Refused("An equilibrium brine needs the weight of its water, for example 1000 g.")


def _check_partial(request: DoseRequest) -> None:
    _needs_salt(request)
    if not request.reach_pct:
        if request.method == "immersion":
            raise Refused("Short immersion needs the pick-up in percent, for example 4.")
        raise Refused("Injection needs the pump in percent, for example 10.")


def _check_pack(request: DoseRequest) -> None:
    if request.pack_g is None or request.pack_for_g is None:
        raise Refused("A pack needs its weight and the weight of meat it is for.")
    _number("pack weight", request.pack_g, 0.1, 50_000, "g")
    _number("meat the pack is for", request.pack_for_g, 1, MAX_GREEN_G, "g")
    _number("number of packs", request.packs, 1e-9, 1000, "")
    if request.wants_nitrite_or_nitrate:
        raise Refused("A pack is dosed by the meat it is for; leave out the curing salt's amount.")


_CHECKS = {
    "equilibrium": _needs_salt,
    "ground": _needs_salt,
    "equilibrium-brine": _check_equilibrium_brine,
    "immersion": _check_partial,
    "injection": _check_partial,
    "salt-box": lambda _request: None,
    "pack": _check_pack,
}
