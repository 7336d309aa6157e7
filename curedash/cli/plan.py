"""``curedash plan``: when to salt so that it is ready by a day."""

from curedash.cli.command import JSON, Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.domain.errors import NotFound
from curedash.domain.times import zone_of


def run(chosen: Chosen, context: Context) -> None:
    """Plan back from the day a piece is wanted."""
    from curedash.domain.typed.dates import parse_day
    from curedash.domain.typed.units import parse_length_mm
    from curedash.domain.typed.weights import parse_weight_g
    from curedash.present.needs.diary import plan_document, plan_lines, ready_lines
    from curedash.services.dosing.dosing_means import dosing_defaults, find_style
    from curedash.services.household import household
    from curedash.services.needs.diary import lots_ready, plan_ready

    try:
        conn = context.open()
    except NotFound:  # nothing of one's own to go by yet
        conn = None
    zone = zone_of(household.machine_zone()) if conn is None else context.zone
    style, new = find_style(chosen.style, None if conn is None else dosing_defaults(conn))
    if new:
        context.err(f"“{chosen.style[:40]}” is not a known style; it is treated as a new one.")
    planned = plan_ready(
        conn,
        style,
        parse_day(chosen.ready_by, context.now, zone),
        context.now.astimezone(zone).date(),
        green_g=parse_weight_g(chosen.green),
        thickness_mm=parse_length_mm(chosen.thickness),
        equalise=chosen.equalise,
        skin=chosen.skin,
    )
    if chosen.json:
        context.json(plan_document(planned))
        return
    today = context.now.astimezone(zone).date()
    lots = [] if conn is None else lots_ready(conn, context.now)
    for line in (*plan_lines(planned), *ready_lines(lots, planned.plan.ready_by, today)):
        context.out(line)


COMMAND = Command(
    "plan",
    "The latest day to salt, from your own finished lots of the style.",
    'curedash plan bresaola --ready-by "24 Dec" --thickness 70mm',
    Word("style", "a style, e.g. bresaola"),
    Word("--ready-by", "the day it is wanted, e.g. 24 Dec", required=True),
    Word(
        "--thickness", "thickness at the thickest spot, e.g. 80mm (default: 70mm)", default="70mm"
    ),
    Word("--green", "green weight, e.g. 1134g (default: 1200g)", default="1200 g"),
    switch("--equalise", "include the days of equalising"),
    switch("--skin", "skin or a fat cap covers one side (default: as on the style's cut)"),
    JSON,
    run=run,
)
