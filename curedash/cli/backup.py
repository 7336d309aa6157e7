"""``curedash backup``: a consistent copy, while dashboards and sensors go on writing."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """Copy the file; list the copies; choose how many daily ones stay."""
    parser = Parser("backup", "Write a consistent copy of the file, whoever else is writing."
                    " Without a name it lies beside the file, dated.",
                    "curedash backup /media/stick")  # fmt: skip
    parser.add_argument("file", nargs="?", help="a new file, or a folder")
    parser.add_argument("--list", action="store_true", help="list the copies beside the file")
    parser.add_argument("--keep", type=int, metavar="N", help="keep so many daily copies from now")
    parser.add_argument("--json", action="store_true")
    chosen = parser.parse_args(argv)
    from curedash.services import backup

    if chosen.list:
        return list_copies(context, as_json=chosen.json)
    conn = context.open()
    if chosen.keep is not None:
        backup.keep(conn, context.by(), chosen.keep)
    target = backup.back_up(conn, context.db_path, chosen.file, context.now)
    if chosen.json:
        context.json({"copy": target, "kept": backup.kept(conn)})
    else:
        context.out(f"copied to {target}")
    return 0


def list_copies(context: Context, *, as_json: bool) -> int:
    """The copies beside the file, newest first, with what they hold."""
    from curedash.domain.errors import CuredashError
    from curedash.services.backup import KINDS, copies
    from curedash.store.inspect import contents

    rows = []
    for copy in copies(context.db_path):
        row = {"file": copy.path, "kind": copy.kind, "made_at": copy.made_at,
               "size_bytes": copy.size_bytes, "lots": None, "weigh_ins": None,
               "newest_at": None, "trouble": None}  # fmt: skip
        try:
            holds = contents(copy.path)
            row.update(lots=holds.lots, weigh_ins=holds.weigh_ins, newest_at=holds.newest_at)
        except CuredashError as trouble:
            row["trouble"] = str(trouble)
        rows.append(row)
    if as_json:
        context.json(rows)
        return 0
    for row in rows:
        holds_words = row["trouble"] or (
            f"{row['lots']} lots, {row['weigh_ins']} weigh-ins, newest {row['newest_at'] or '–'}"
        )
        context.out(f"{row['made_at']}  {KINDS[str(row['kind'])]}  {row['file']}  {holds_words}")
    if not rows:
        context.err(f"There are no copies beside {context.db_path}; 'curedash backup' makes one.")
    return 0
