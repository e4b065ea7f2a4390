"""Turn the values that the tests assert, and tell which assertions could not fail.

In a copy of the tests every comparison of an assertion is asked twice: as it stands, and with the
value that is expected turned into another one (a number doubled and one more, words with a letter
more, a list with a member more, the other truth). One that still holds then is told, and so is one
that no test reaches, or that holds whatever the program does: a constant, `or True`, a side
compared with itself. Other assertions would fail if they were turned round as soon as they are
reached. It runs all but the marked runs, some fifteen minutes, and exits with 1 when it tells any.
Arguments go to pytest.
"""

import ast
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.asserted.turning import TURNED  # noqa: E402 - needs the path above

_COPIED = ("boardgen", "footprints", "tests", "examples", "docs", ".ci")


class _Telling(ast.NodeTransformer):
    """Lets every assertion tell its place; those of marked runs are counted apart."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.places: list[str] = []
        self.idle: list[str] = []
        self.by_hand = self.turned = 0

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        if any("slow" in ast.unparse(mark) for mark in node.decorator_list):
            self.by_hand += sum(isinstance(inner, ast.Assert) for inner in ast.walk(node))
            return node
        return self.generic_visit(node)

    def visit_Assert(self, node: ast.Assert) -> list[ast.stmt]:
        place = f"{self.name}:{node.lineno}"
        self.places.append(place)
        if _always(node.test):
            self.idle.append(place)
        if isinstance(node.test, ast.Compare) and len(node.test.ops) == 1:
            op = type(node.test.ops[0]).__name__
            if op in TURNED:
                self.turned += 1
                call = ast.parse(f"_held({place!r}, {op!r}, 0, 0)", mode="eval").body
                assert isinstance(call, ast.Call)
                call.args[2:] = [node.test.left, node.test.comparators[0]]
                return [ast.Assert(test=call, msg=node.msg)]
        return [node, ast.parse(f"_reached({place!r})").body[0]]


def _always(test: ast.expr) -> bool:
    """Tell whether an assertion holds whatever the program does."""
    if isinstance(test, ast.Constant):
        return True
    if isinstance(test, ast.BoolOp) and isinstance(test.op, ast.Or):
        return any(_always(value) for value in test.values)
    if isinstance(test, ast.IfExp):
        return _always(test.body) or _always(test.orelse)
    return isinstance(test, ast.Compare) and ast.dump(test.left) == ast.dump(test.comparators[0])


def _telling(folder: Path) -> Iterator[_Telling]:
    """Rewrite the tests of a copy."""
    for path in sorted((folder / "tests").rglob("*.py")):
        if path.parent.name == "asserted":
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        telling = _Telling(str(path.relative_to(folder)))
        telling.visit(tree)
        if telling.places:
            at = 1 if ast.get_docstring(tree) else 0
            tree.body[at:at] = ast.parse(
                "from tests.asserted.turning import held as _held, reached as _reached"
            ).body
            path.write_text(ast.unparse(ast.fix_missing_locations(tree)), encoding="utf-8")
        yield telling


def _noted(folder: Path, what: str) -> set[str]:
    return {
        line
        for path in (folder / "tests/asserted").glob(f"*-{what}.txt")
        for line in path.read_text(encoding="utf-8").splitlines()
    }


def main(arguments: list[str]) -> int:
    """Run the tests of a copy and tell what could not fail."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for part in _COPIED:
            shutil.copytree(ROOT / part, folder / part,
                            ignore=shutil.ignore_patterns("__pycache__"))  # fmt: skip
        for file in (*ROOT.glob("*.md"), ROOT / "pyproject.toml", ROOT / "LICENSE"):
            shutil.copy(file, folder)
        told = list(_telling(folder))
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-n", "auto", "-m", "not slow",
             "-p", "no:cacheprovider", *arguments],
            cwd=folder, capture_output=True, text=True, check=False,
            env={**os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"},
        )  # fmt: skip
        reached, still = (_noted(folder, what) for what in ("reached", "still"))
    places = [place for one in told for place in one.places]
    idle = [place for one in told for place in one.idle]
    missed = [place for place in places if place not in reached]
    lines = [
        done.stdout[-2_000:],
        *(f"holds always: {place}" for place in idle),
        *(f"not reached: {place}" for place in missed),
        *(f"holds although its value is turned: {place}" for place in sorted(still)),
        (
            f"{len(places)} assertions, {len(reached)} reached; of"
            f" {sum(one.turned for one in told)} values turned {len(still)} still hold;"
            f" {sum(one.by_hand for one in told)} assertions more in marked runs"
        ),
    ]
    sys.stdout.write("\n".join(lines) + "\n")
    return 1 if idle or missed or still else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
