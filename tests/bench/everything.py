"""Every benchmark in one run: one table, or JSON with --json; --quick leaves the long ones out."""

import os
import sys
import tempfile

sys.path.insert(0, os.path.dirname(__file__))
import bench_rack
import bench_screen
import bench_shell
from figures import tell


def main() -> int:
    """Measure and tell; 1 if a bar is missed."""
    found = []
    for part in (bench_shell, bench_screen, bench_rack):
        with tempfile.TemporaryDirectory() as folder:
            print(f"measuring: {part.__name__} …", file=sys.stderr)
            found += part.measure(folder, quick="--quick" in sys.argv)
    return tell(found)


if __name__ == "__main__":
    sys.exit(main())
