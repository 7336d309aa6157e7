"""``curedash restore``: go back to a copy; what was there is kept."""

from curedash.cli.command import JSON_BARE, Chosen, Command, Word, switch
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> int:
    """Without a name, list the copies; with one, bring it back."""
    if chosen.file is None:
        from curedash.cli.backup import list_copies

        return list_copies(context, as_json=chosen.json)
    from curedash.papers.acceptance import workable
    from curedash.services.file.backup import copy_named
    from curedash.services.file.restore import restore

    accept = None if chosen.as_it_is else workable(context.now)
    copy = copy_named(context.db_path, chosen.file)
    done = restore(context.db_path, copy, context.now, accept)
    context.stored()
    if chosen.json:
        holds = {name: getattr(done.contents, name) for name in ("lots", "weigh_ins", "newest_at")}
        context.json({"file": context.db_path, "kept": done.kept} | holds)
        return 0
    from curedash.cli.backup import zone_of_file
    from curedash.present.household.copies import contents_words

    words = contents_words(done.contents, zone_of_file(context))
    context.out(f"{context.db_path} is restored from {copy}: {words}")
    if done.kept is not None:
        context.out(f"the file as it was is saved as {done.kept}")
    return 0


COMMAND = Command(
    "restore",
    "Restore a copy. The present file is saved beside it under"
    " another name. Without a name the copies are listed.",
    "curedash restore curedash.db.backup-2026-11-24",
    Word("file", "the copy, or its number, as 'curedash restore' lists it", nargs="?"),
    switch("--as-it-is", "restore it even if some commands cannot read all of it"),
    JSON_BARE,
    run=run,
)
