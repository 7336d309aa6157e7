"""The floor: a bare Textual program with one table of the same size, and nothing else."""

import sys

from textual.app import App, ComposeResult
from textual.widgets import DataTable

HEADS = ("Lot", "Piece", "Stage", "Day", "Lost", "To go", "%/d", "Trend", "Pull window")


class Floor(App[None]):
    """One table of made-up rows."""

    def compose(self) -> ComposeResult:
        """A table."""
        yield DataTable(cursor_type="row")

    def on_mount(self) -> None:
        """Fill it."""
        table = self.query_one(DataTable)
        table.add_columns(*HEADS)
        for n in range(int(sys.argv[1])):
            table.add_row(
                f"A{n}",
                "thick end",
                "drying",
                "31",
                "24.1%",
                "167 g",
                "0.51",
                "▇▆▅▅▄▃▃▂",
                "19 Dec–4 Jan",
            )


if __name__ == "__main__":
    Floor().run(mouse=False)
