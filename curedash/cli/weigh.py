"""``curedash weigh``: one weigh-in, with the same checks as on the screen."""

from __future__ import annotations

from collections.abc import Sequence

from curedash.cli.command import JSON, LOT, Chosen, Command, Word, plain_words, switch
from curedash.cli.context import Context

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.quantity_text import QuantityText
    from curedash.services.weighing.weigh import Preview, Weighed


def run(chosen: Chosen, context: Context) -> None:
    """Record one weigh-in; doubt stores nothing unless --yes."""
    from curedash.domain.errors import Changed

    try:
        kept = _weigh(chosen, context)
    except Changed:  # by another program between reading and saving: read it again
        kept = _weigh(chosen, context)
    context.refresh(kept.lot)
    _print(kept, context, as_json=chosen.json)


def _weigh(chosen: Chosen, context: Context) -> Weighed:
    """Read the lot, show what the weight means and keep it.

    Raises
    ------
    Doubtful: the weight makes little sense, and no ``--yes``; Changed: the lot is no longer so
    """
    from curedash.domain.errors import Doubtful
    from curedash.services.weighing.weigh import concerns_others, preview_at, weigh
    from curedash.store.rack import open_lots

    conn, now = context.open(), context.now
    zone = context.zone
    lot, at = context.lot(chosen.lot), context.at(chosen.at)
    seen = preview_at(
        conn,
        lot,
        " ".join(chosen.weight),
        now,
        zone,
        at,
        net=chosen.net,
        without_tare=chosen.without_tare,
        others=lambda: open_lots(conn),
    )
    beside = not chosen.yes and concerns_others(lot, seen)
    if beside:
        from curedash.services.weighing.neighbours import beside_others

        seen = beside_others(conn, lot, seen, now)
    if seen.doubts and not chosen.yes:
        from curedash.domain.weighing.doubts import asked_of

        asked = asked_of(lot.code, seen.doubts)
        raise Doubtful(_with_way(asked, lot.code, seen) if beside else asked)
    return weigh(conn, context.by_now(), lot.id, seen, note=chosen.note, keep_doubtful=chosen.yes)


def _print(kept: Weighed, context: Context, *, as_json: bool) -> None:
    if as_json:
        from curedash.present.documents import weighed_document

        context.json(weighed_document(kept))
    else:
        from curedash.present.lines import weighed_line

        context.out(weighed_line(kept))


def _with_way(asked: QuantityText, code: str, seen: Preview) -> QuantityText:
    """The question, and what to type if the answer is that two were swapped, or the tare off."""
    from curedash.domain.quantity_text import phrase
    from curedash.domain.weighing.neighbours import SIBLINGS, SWAPPED

    doubt = seen.doubts[0]
    if doubt.kind == SWAPPED and doubt.lot_code is not None:
        way = f"If so, repeat it with --yes, then run curedash swap {doubt.lot_code} {code}."
    elif doubt.kind == SIBLINGS and seen.tare_g:
        way = "If so, repeat it with --without-tare."
    else:
        return asked
    return phrase("{asked} {way}", asked=asked, way=way)


def fast(argv: Sequence[str]) -> Chosen | None:
    """``D1 762`` and flags only."""
    flags = ("net", "without-tare", "yes", "json")
    chosen = plain_words(argv, flags, at=None, note=None)
    if chosen is None or len(chosen.words) < 2:
        return None
    chosen.lot, *chosen.weight = chosen.words
    return chosen


COMMAND = Command(
    "weigh",
    "Record one weigh-in: what the scale shows; the lot's tare is taken off.",
    "curedash weigh D1 762",
    LOT,
    Word("weight", "1071, 1.043 kg, 2 lb 4.8 oz, 2310+2250 …", nargs="+"),
    Word("--at", "when it was weighed (default: now)"),
    switch("--net", "a net weight: the tare is taken off already"),
    switch("--without-tare", "nothing but meat on the scale, this time"),
    Word("--note", "a note with this weight"),
    switch("--yes", "save it even if it looks doubtful; it is flagged"),
    JSON,
    run=run,
    reads=fast,
)
