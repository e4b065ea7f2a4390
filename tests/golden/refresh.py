"""Golden files: the smallest board's that no polygon operation touches, and the pairs' findings.

Run as a script it rewrites them; then the diff is read by a person. Copper is left out: the last
nanometre of its patches may depend on the geometry library's version; the proof covers it.
"""

import json
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path(__file__).parent / "smallest"
WORDS = FOLDER.parent / "pairs.json"


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


def pair_words() -> dict[str, dict[str, list[str]]]:
    """Tell what the rules say of each pair of boards, by its name."""
    sys.path.insert(0, str(ROOT))
    from boardgen.checks.table import check  # noqa: PLC0415 - needs the path above
    from boardgen.export.records import finding_record  # noqa: PLC0415
    from tests.checks.planting import UM  # noqa: PLC0415
    from tests.checks.test_pairs import PAIRS, said  # noqa: PLC0415

    return {
        one.name: {
            name: said(finding_record(found, design) for found in check(design))
            for name, design in (("past", one.plant(UM)), ("at the limit", one.plant(0.0)))
        }
        for one in PAIRS
    }


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, content in golden_files().items():
        (FOLDER / name).write_bytes(content)
    WORDS.write_text(json.dumps(pair_words(), indent=1, ensure_ascii=False) + "\n", "utf-8")
