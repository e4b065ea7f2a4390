"""Golden files: the smallest board's files that no polygon operation touches.

Run as a script it rewrites them; then the diff is read by a person. Copper is left out: the last
nanometre of its patches may depend on the geometry library's version; the proof covers it.
"""

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path(__file__).parent / "smallest"


def golden_files() -> dict[str, bytes]:
    """Gather the files that are kept, by name."""
    sys.path.insert(0, str(ROOT))
    from tests.conftest import SMALLEST, built_of  # noqa: PLC0415 - needs the path above

    return {
        file.path.rpartition("/")[2]: file.content
        for file in built_of(SMALLEST).files
        if file.path.startswith(("fabrication/", "assembly/", "findings"))
        and "copper" not in file.path
        and not file.path.endswith(".svg")
    }


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, content in golden_files().items():
        (FOLDER / name).write_bytes(content)
