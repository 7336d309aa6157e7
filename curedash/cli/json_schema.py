"""The JSON Schema of what the commands print with --json: ``curedash --json-schema``."""

import os

from curedash.domain.errors import FileTrouble


def schema_text() -> str:
    """The document: inside the wheel, or beside the package in a checkout.

    Raises
    ------
    FileTrouble: the package was installed without it
    """
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    for folder in ("_docs", os.path.join(os.pardir, "docs", "reference")):
        path = os.path.normpath(os.path.join(package, folder, "json-schema.json"))
        if os.path.exists(path):
            with open(path, encoding="utf-8") as file:
                return file.read()
    raise FileTrouble("The JSON schema is missing; install curedash again.")
