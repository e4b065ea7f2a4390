"""Turn the assertions of the tests, and tell which of them could not fail.

An assertion that is reached and holds would fail if it were turned round. So this marked run lets
every assertion of a copy of the tests tell that it was reached, runs them all but the marked runs
(some ten minutes), and prints those that no test reaches and those that hold whatever the program
does: a constant, `or True`, a side compared with itself. It exits with 1 when there are any.
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
_COPIED = ("boardgen", "footprints", "tests", "examples", "docs", ".ci")
_REACHED = """
import os
from pathlib import Path
seen = set()
def reached(place):
    if place not in seen:
        seen.add(place)
        with (Path(__file__).parent / f"{os.getpid()}-reached.txt").open("a") as file:
            print(place, file=file)
"""


class _Telling(ast.NodeTransformer):
    """Lets every assertion tell its place; those of marked runs are counted apart."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.places: list[str] = []
        self.idle: list[str] = []
        self.by_hand = 0

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
        tree = ast.parse(path.read_text(encoding="utf-8"))
        telling = _Telling(str(path.relative_to(folder)))
        telling.visit(tree)
        if telling.places:
            at = 1 if ast.get_docstring(tree) else 0
            tree.body[at:at] = ast.parse("from tests.reached import reached as _reached").body
            path.write_text(ast.unparse(ast.fix_missing_locations(tree)), encoding="utf-8")
        yield telling


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
        (folder / "tests/reached.py").write_text(_REACHED, encoding="utf-8")
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-n", "auto", "-m", "not slow",
             "-p", "no:cacheprovider", *arguments],
            cwd=folder, capture_output=True, text=True, check=False,
            env={**os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"},
        )  # fmt: skip
        reached = {
            line
            for path in (folder / "tests").glob("*-reached.txt")
            for line in path.read_text(encoding="utf-8").splitlines()
        }
    places = [place for one in told for place in one.places]
    idle = [place for one in told for place in one.idle]
    missed = [place for place in places if place not in reached]
    lines = [
        done.stdout[-2_000:],
        *(f"holds always: {place}" for place in idle),
        *(f"not reached: {place}" for place in missed),
        (
            f"{len(places)} assertions, {len(reached)} reached and able to fail;"
            f" {sum(one.by_hand for one in told)} more in marked runs"
        ),
    ]
    sys.stdout.write("\n".join(lines) + "\n")
    return 1 if idle or missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
