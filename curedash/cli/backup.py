"""``curedash backup``: a consistent copy, while dashboards and sensors go on writing."""

from datetime import tzinfo

from curedash.cli.command import JSON_BARE, Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.domain.errors import CuredashError
from curedash.domain.times import zone_of


def run(chosen: Chosen, context: Context) -> int:
    """Copy the file; list the copies; choose how many daily ones stay."""
    from curedash.services.file import backup

    if chosen.list:
        return list_copies(context, as_json=chosen.json)
    conn = context.open()
    if chosen.keep is not None:
        backup.require_count(chosen.keep)
    target = backup.back_up(conn, context.db_path, chosen.file, context.now)
    context.stored()
    if chosen.keep is not None:
        backup.keep(conn, context.by_now(), chosen.keep)
    context.answer(chosen.json, {"copy": target, "kept": backup.kept(conn)}, f"copied to {target}")
    return 0


COMMAND = Command(
    "backup",
    "Copy the file, even while another program writes to it. Without a name, the dated copy "
    "goes next to the file.",
    "curedash backup kitchen-copy.db",
    Word("file", "a new file or a folder to copy to", nargs="?"),
    switch("--list", "list the copies next to the file"),
    Word("--keep N", "how many daily copies to keep from now on", type=int),
    JSON_BARE,
    run=run,
)


def list_copies(context: Context, *, as_json: bool) -> int:
    """The copies beside the file, newest first, with what they hold."""
    from curedash.present.household.copies import copy_document, copy_line
    from curedash.services.file.backup import copies, held

    found = [held(copy) for copy in copies(context.db_path)]
    if as_json:
        context.json([copy_document(one) for one in found])
        return 0
    zone = zone_of_file(context)
    for number, one in enumerate(found, 1):
        context.out(copy_line(number, one, zone))
    if not found:
        context.err(
            f"There are no copies next to {context.db_path}. 'curedash backup' makes one; "
            f"'curedash restore FILE' restores one from elsewhere."
        )
    return 0


def zone_of_file(context: Context) -> tzinfo:
    """The household's zone; this machine's where the file cannot be read."""
    from curedash.services.household.household import machine_zone, zone

    try:
        conn = context.open_if_there()
    except CuredashError:
        conn = None
    return zone_of(machine_zone()) if conn is None else zone(conn)
