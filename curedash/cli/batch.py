"""``curedash batch add``: a new batch from flags or a TOML file."""

from typing import Any

from curedash.cli.command import Chosen, Command, Group, Word, several, switch
from curedash.cli.context import Context
from curedash.cli.dose_flags import DOSE, green
from curedash.domain.errors import Unclear, UsageError
from curedash.domain.quantity_text import phrase

_WAYS = {
    "thickness": "give --thickness 80mm, or --thickness 'unknown: no ruler here'",
    "end-use": "give --eaten, or --because end-use='unknown: a present'",
}
_EXAMPLE = (
    "curedash batch add --name 'Beef eye' --green '1134 g' --thickness 80mm --salt 2.75 "
    "--salted-on today"
)


#: What is known of the roast as it was bought.
_OF_THE_ROAST = (
    several("--shop", "where it was bought; once for all, or once per piece"),
    several("--price", "price of the roast: 38.20 EUR, or 17 EUR/kg with --bought"),
    several("--bought WEIGHT", "weight of the roast as bought, e.g. 2.3kg"),
    several("--packed-on DAY", "pack date on its label"),
    several("--use-by DAY", "use-by date on the meat's label; one for all, or one per piece"),
)

#: Where ground meat goes once it is stuffed; its fat is the second weight of --green.
_OF_A_SAUSAGE = (
    Word(
        "--ferments",
        "ground meat: whether it ferments (default: the style's)",
        choices=("yes", "no"),
    ),
    Word(
        "--ferment-in PLACE",
        "ground meat: where it will ferment; a new place with its band: 'Warm box 20-24C'",
    ),
    Word("--smoke HOW", "ground meat: how it will be smoked, e.g. '4 h beech'"),
    Word("--hang-in PLACE", "ground meat: where it will hang to dry"),
)

#: A target, a note, and what is known of pieces that are in the cure, or hang, already.
_UNDER_WAY_TAKES = (
    Word("--target", "loss to pull it at, e.g. 35..40%% (default: the style's)"),
    Word("--note", "a note for next time"),
    Word(
        "--stage STAGE",
        "for pieces under way: in-cure, salt-rest, ferment, drying, equalising, keeping or on-hold",
    ),
    Word("--since DAY", "since when they have been in that stage, e.g. 2026-11-21 or -4d"),
    Word("--pieces N", "how many pieces; you need not weigh them", type=int),
    Word("--roast WEIGHT", "weight of the roast they were cut from, e.g. 2.3kg"),
    several("--weight WEIGHT", "what the scale shows today, e.g. 980g; once per piece"),
    several("--tare WEIGHT", "tare (hook, net, string), e.g. 28g; once for all, or once per piece"),
    Word("--sticker DAY", "the day written on its sticker, e.g. '20 Dec'"),
    Word(
        "--from FILE",
        "pieces under way from a CSV sheet (- for stdin), one line each: columns style, stage,"
        " since; also name, batch, weight, tare, green, thickness, bag, place, planned, salted,"
        " roast, shop, price, bought, packed, use-by",
        dest="sheet",
    ),
    switch("--dry-run", "with --from: only show what the sheet would add"),
    switch("--yes", "with --from: also add lines that are in the file already"),
)


def _read(argv: list[str]) -> Chosen:
    """The flags, or those a TOML file gives before them; as typed they are in ``words``."""
    words = argv if not argv or argv[0].startswith("-") else _words_from_toml(argv[0]) + argv[1:]
    chosen: Chosen = _ADD.parser().parse_args(words)
    chosen.words = words
    return chosen


def _add(chosen: Chosen, context: Context) -> int:
    """Add a batch with its doses; nothing is kept if one of them is refused."""
    if chosen.sheet is not None:
        return _from_sheet(chosen, context)
    if chosen.yes:
        raise UsageError("--yes goes with a sheet: --from FILE.csv --yes adds it once more.")
    if chosen.dry_run:
        raise UsageError(
            "--dry-run goes with a sheet: --from FILE.csv --dry-run shows what it would add."
        )
    if chosen.name is None:
        raise UsageError(f"Give the batch a name with --name: {_EXAMPLE}.")
    if chosen.stage is not None:
        from curedash.cli import batch_under_way

        return batch_under_way.run(chosen, context)
    _require_new(chosen)
    return _add_new(chosen, context)


def _from_sheet(chosen: Chosen, context: Context) -> int:
    """Pieces under way, one line each; no flag repeats what the sheet has a column for."""
    flags = {word.partition("=")[0] for word in chosen.words if word.startswith("--")}
    others = sorted(flags - {"--from", "--dry-run", "--new-style", "--json", "--yes"})
    if others:
        raise UsageError(
            f"{others[0]} cannot be used with --from: only the columns of the sheet count."
        )
    from curedash.cli import piece_sheet

    return piece_sheet.run(
        piece_sheet.read(chosen.sheet),
        context,
        dry=chosen.dry_run,
        may_be_new=chosen.new_style,
        as_json=chosen.json,
        may_repeat=chosen.yes,
    )


def _add_new(chosen: Chosen, context: Context) -> int:
    """The new batch with its sheet, and what there is to say about it."""
    from curedash.cli.batch_flags import spec_from_flags
    from curedash.cli.batch_under_way import place_words
    from curedash.present.dosing.sheets import batch_document, batch_sheet
    from curedash.services.dosing.add_batch import add_batch
    from curedash.services.dosing.batch_sheet import is_raw_pork
    from curedash.services.needs.cautions import cautions_once
    from curedash.services.needs.cautions import moments_of_batch as moments

    conn = context.open(create=True)
    spec, messages = spec_from_flags(chosen, conn, context.now)
    try:
        added = add_batch(conn, context.by(), spec)
    except Unclear as asked:
        raise Unclear(_with_way(asked)) from None
    raw_pork = ["raw-pork"] if any(is_raw_pork(conn, lot) for lot in added.lots) else []
    said = moments(added.planned[0].dose, spec.salted_at)
    cautions = cautions_once(conn, context.by(), *said, *raw_pork, batch_id=added.lots[0].batch_id)
    if added.new_place is not None:
        messages += place_words([added.new_place.name])
    for message in (*messages, *cautions):
        context.err(message)
    context.answer(chosen.json, batch_document(added), batch_sheet(added))
    return 0


def _with_way(asked: Unclear) -> str:
    """The question, and the flag that answers it."""
    way = _WAYS.get(asked.question, f"give --because {asked.question}=REASON")
    return phrase("{question} Nothing was saved; {way}.", question=str(asked), way=way)


_UNDER_WAY = ("since", "pieces", "roast", "weight", "tare", "sticker")


def _require_new(chosen: Chosen) -> None:
    """A new batch has its green weights; what is of pieces under way says so."""
    given = next((name for name in _UNDER_WAY if getattr(chosen, name) is not None), None)
    if given is not None:
        raise UsageError(
            f"--{given} is for pieces under way: say where they are, --stage in-cure or --stage"
            " drying."
        )
    if not chosen.green:
        raise UsageError(
            "Give the green weight of each piece with --green; pieces under way need none:"
            " --pieces 4 --stage in-cure --since 2026-11-21."
        )


_ADD = Command(
    "batch add",
    "Add a batch with its doses, from flags or a TOML file with the same names. With --from, "
    "add pieces under way from a CSV sheet.",
    _EXAMPLE,
    green(),
    *DOSE,
    Word("--name", "what the batch is called, e.g. 'Beef eye'"),
    Word("--species", "beef, pork, duck, venison …", default=""),
    Word("--style", "a style of the library, or a new one", default="own"),
    switch("--new-style", "create a style of this name"),
    several("--piece-name", "name of a piece; once for all, or once per piece"),
    several(
        "--source", "the roast it was cut from, e.g. 'roast 1'; once for all, or once per piece"
    ),
    several(
        "--condition",
        "how the meat was bought; once for all, or once per piece",
        choices=("fresh", "frozen", "wild"),
    ),
    *_OF_THE_ROAST,
    several("--count", "how many small pieces are weighed as one lot", type=int),
    Word("--place", "the place it cures in; an unknown place is added"),
    *_OF_A_SAUSAGE,
    Word("--salted-on", "the day it went into cure; without it the lots are raw"),
    Word("--one-bag PIECES", "pieces that share one bag, by number: 1+2, or '1+2 3+4', or all"),
    switch("--in-bag", "dries in a vapour-permeable bag"),
    *_UNDER_WAY_TAKES,
    run=_add,
    reads=_read,
)


def _words_from_toml(path: str) -> list[str]:
    """The flags a TOML file stands for, its keys; a list repeats a flag, true gives it alone."""
    from curedash.cli.toml_file import read_toml

    words: list[str] = []
    for key, value in read_toml(path).items():
        for item in value if isinstance(value, list) else [value]:
            words += _flag(path, key.replace("_", "-"), item)
    return words


def _flag(path: str, name: str, value: Any) -> list[str]:
    if isinstance(value, bool):
        return [f"--{name}"] if value else []
    if isinstance(value, dict):
        raise UsageError(f"{path}: “{name}” is a table here; give one value or a list of values.")
    return [f"--{name}={value}"]


COMMAND = Group(f"Say for example: {_EXAMPLE}.", _ADD)
