"""``curedash photo``: the photos of a lot, and whether each file is still there."""

from curedash.cli.command import JSON_ARRAY, LOT, Chosen, Command, switch
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """List the photos of a lot; with --confirm let this machine open those from elsewhere."""
    from curedash.present.household.photos import photo_document, photo_line
    from curedash.services.household import photos

    conn = context.open()
    zone = context.zone
    found = photos.photos_of(conn, context.lot(chosen.lot).id)
    if chosen.confirm:
        for _, photo in found:
            photos.confirm_photo(conn, photo)
    told = [
        (event, photos.where(conn, photo), photos.state(conn, photo, thorough=True))
        for event, photo in found
    ]
    none = f"{chosen.lot} has no photo; 'curedash note LOT TEXT --photo PATH' adds one."
    lines = [photo_line(*one, zone) for one in told] or [none]
    context.answer(chosen.json, [photo_document(*one) for one in told], lines)


COMMAND = Command(
    "photo",
    "List the photos of a lot, and whether each file is still there.",
    "curedash photo D1",
    LOT,
    switch("--confirm", "allow this machine to open the photo paths in the file"),
    JSON_ARRAY,
    run=run,
)
