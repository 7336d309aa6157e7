"""Byte-compiles the package when it is installed for editing.

A wheel is compiled by the installer; an editable install is not, and where Python may not write
byte code (a read-only or locked-down board) every command would then compile it all again.
"""

import compileall
import os
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class CompileHook(BuildHookInterface[Any]):
    """Called by the build backend; only an editable build compiles the sources in place."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        """Compile once, at install."""
        if version == "editable":
            compileall.compile_dir(os.path.join(self.root, "curedash"), quiet=2)
