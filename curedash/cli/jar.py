"""``curedash jar``: the household's own jars of curing salt, pre-mixes and their labels."""

from curedash.cli.command import JSON_BARE, Chosen, Command, Group, Word, switch
from curedash.cli.context import Context
from curedash.cli.dose_flags import number
from curedash.domain.dosing import curing_salts
from curedash.domain.typed.dates import parse_day
from curedash.domain.typed.weights import parse_weight_g
from curedash.present.dosing import jars as words
from curedash.present.dosing.doses import premix_document
from curedash.present.dosing.jars import jar_document, jar_label, jar_line, mixed_lines
from curedash.services.dosing.jars import add_jar, add_premix, jars, remove_jar, require_jar


def _add(chosen: Chosen, context: Context) -> None:

    conn = context.open(create=True)
    day = None
    if chosen.opened_on is not None:
        day = parse_day(chosen.opened_on, context.now, context.zone, ahead=False)
    label = {"nitrate_as": chosen.nitrate_as, "opened_on": day, "note": chosen.note}
    jar = add_jar(conn, context.by(), chosen.name, chosen.strength, **label)
    context.caution("curing-salt")
    context.answer(chosen.json, jar_document(jar), jar_line(jar))


_ADD = Command(
    "jar add",
    "Add a jar of curing salt, with the strength on its label.",
    "curedash jar add 'red jar' 6.25/0 --opened-on today",
    Word("name", "its name, as --curing-salt will use it"),
    Word("strength", "label: nitrite %%/nitrate %%, or with /salt %% after it"),
    Word(
        "--nitrate-as",
        "which nitrate salt the label means",
        choices=("NaNO3", "KNO3"),
        default="NaNO3",
    ),
    Word("--opened-on DAY", "the day it was opened"),
    Word("--note", "batch number, shop …", default=""),
    JSON_BARE,
    run=_add,
)


def _list(chosen: Chosen, context: Context) -> None:

    own = jars(context.open_if_there())
    types = () if chosen.own else curing_salts()
    context.answer(
        chosen.json,
        [*map(words.jar_document, own), *map(words.salt_document, types)],
        (*map(words.jar_line, own), *map(words.generic_line, types)),
    )


_LIST = Command(
    "jar list",
    "Your own jars, then the generic types with their sources.",
    "curedash jar list --json",
    switch("--own", "only the household's own jars"),
    JSON_BARE,
    run=_list,
)


def _premix(chosen: Chosen, context: Context) -> None:

    conn = context.open(create=True)
    jar, made = add_premix(
        conn,
        context.by(),
        chosen.curing_salt,
        number(chosen.parts, "--parts takes a number, for example 4."),
        parse_weight_g(chosen.weight, marks_are_decimal=True),
        name=chosen.name,
        mixed_on=context.now.astimezone(context.zone).date(),
    )
    context.caution("curing-salt")
    document = jar_document(jar) | {"premix": premix_document(made)}
    context.answer(chosen.json, document, mixed_lines(jar, made))


_PREMIX = Command(
    "jar premix",
    "Dilute a curing salt with table salt, so that a kitchen scale can weigh it. The mix "
    "becomes a jar with its own strength.",
    "curedash jar premix no1 --parts 4 --weight 200g --name weak",
    Word("curing_salt", "a jar, a generic type or a label strength"),
    Word("--parts", "parts of table salt to one of curing salt", required=True),
    Word("--weight", "weight of the whole mix", required=True),
    Word("--name", "name of the jar", default=""),
    JSON_BARE,
    run=_premix,
)


def _label(chosen: Chosen, context: Context) -> None:

    for line in jar_label(require_jar(context.open(), chosen.name)):
        context.out(line)


_LABEL = Command(
    "jar label",
    "The label of a jar as text.",
    "curedash jar label 'red jar'",
    Word("name", "name of the jar, e.g. 'red jar'"),
    run=_label,
)


def _remove(chosen: Chosen, context: Context) -> None:

    jar = remove_jar(context.open(), context.by(), chosen.name)
    context.out(f"{jar.salt.name} is removed; batches keep the strength they were dosed with")


_REMOVE = Command(
    "jar remove",
    "Remove a jar.",
    "curedash jar remove 'red jar'",
    Word("name", "name of the jar, e.g. 'red jar'"),
    run=_remove,
)


COMMAND = Group(
    "Say 'curedash jar add NAME 6.25/0', 'jar list', 'jar premix', 'jar label NAME'"
    " or 'jar remove NAME'.",
    *(_ADD, _LIST, _PREMIX, _LABEL, _REMOVE),
)
