"""``curedash settings list``, ``set``, ``scale`` and ``forget-scale``."""

from curedash.cli.command import JSON_BARE, Chosen, Command, Group, Word
from curedash.cli.context import Context
from curedash.domain.errors import Refused
from curedash.domain.wording import no_such
from curedash.present.household.settings import scale_words, setting_lines, settings_document
from curedash.services.household import household_settings, preferences
from curedash.services.household.household import zone_name
from curedash.services.household.household_settings import (
    add_scale,
    change_scale,
    read_settings,
    remove_scale,
    typed_scale,
)
from curedash.services.household.preferences import load, view_path


def _list(chosen: Chosen, context: Context) -> None:

    of = (load(), read_settings(context.open()), view_path())
    context.answer(chosen.json, settings_document(*of), setting_lines(*of))


_LIST = Command(
    "settings list",
    "Your own view, and the settings of the household.",
    "curedash settings list --json",
    JSON_BARE,
    run=_list,
)


def _set(chosen: Chosen, context: Context) -> None:

    if chosen.name in preferences.CHOICES:
        preferences.choose(chosen.name, chosen.value)
        context.err(f"{chosen.name} is {chosen.value}, saved in {preferences.view_path()}")
        return
    household = {
        "rule-set": household_settings.set_rule_set,
        "zone": household_settings.set_zone,
        "copies": household_settings.set_copies,
        "keep-days": household_settings.set_keep_days,
    }
    if chosen.name not in household:
        raise Refused(no_such("setting", chosen.name[:40], (*preferences.CHOICES, *household)))
    conn, said = context.open(create=True), chosen.value.strip()
    household[chosen.name](conn, context.by(), chosen.value)
    if chosen.name == "zone":  # a city was enough
        said = zone_name(conn)
    context.err(f"{chosen.name} is {said}")


_SET = Command(
    "settings set",
    "Change one setting: weights, temperatures, lengths, paper,"
    " theme, signs, mouse (this person's view); rule-set, zone, copies, keep-days (the"
    " household's).",
    "curedash settings set weights lb",
    Word(
        "name",
        "weights, temperatures, lengths, paper, theme, signs, mouse, rule-set, zone, copies or"
        " keep-days",
    ),
    Word("value", "lb, F, in, paper-light, eu, Europe/Vienna, 14 …"),
    run=_set,
)


def _scale(chosen: Chosen, context: Context) -> None:

    scale = typed_scale(" ".join(chosen.scale))
    conn = context.open(create=True)
    if scale.name.casefold() in (own.name.casefold() for own in read_settings(conn).scales):
        change_scale(conn, context.by(), scale.name, scale)
    else:
        add_scale(conn, context.by(), scale)
    context.err(f"{scale.name}: {scale_words(scale)}")


_SCALE = Command(
    "settings scale",
    "Add a scale, or change the one of that name.",
    "curedash settings scale 'fine 0.1 g 500 g'",
    Word("scale", "name, smallest step, maximum", nargs="+"),
    run=_scale,
)


def _forget(chosen: Chosen, context: Context) -> None:

    remove_scale(context.open(), context.by(), chosen.scale)
    context.err(f"{chosen.scale} removed; 'curedash undo' restores it")


_FORGET = Command(
    "settings forget-scale",
    "Remove a scale.",
    "curedash settings forget-scale fine",
    Word("scale", "name of the scale, e.g. fine"),
    run=_forget,
)


COMMAND = Group(
    "Say 'curedash settings list', 'settings set NAME VALUE' or"
    " 'settings scale \"kitchen 1 g 5 kg\"'.",
    *(_LIST, _SET, _SCALE, _FORGET),
)
