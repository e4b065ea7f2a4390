"""Change every number of standards/, footprints/ and catalogue/ by one digit, and run the tests.

A marked run of hours: for each number the published tests are run in a copy of the tree. It prints
the numbers that no test noticed and exits with 1 when there are any. Arguments are words of file
names: `spacing protection` takes ten minutes.
"""

import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import Queue

ROOT = Path(__file__).resolve().parents[2]
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.]|-\d)")
WORKERS = 2


@dataclass(frozen=True)
class Number:
    """A number in a file: where it stands, and what it becomes."""

    path: Path
    start: int
    end: int
    text: str
    line: int

    @property
    def changed(self) -> str:
        """The number with its last digit moved by one."""
        last = int(self.text[-1])
        return self.text[:-1] + str(last - 1 if last == 9 else last + 1)

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.text} -> {self.changed}"


def _code_only(path: Path, text: str) -> str:
    """Blank out what is no value: comments, docstrings, strings of a TOML source or name."""
    blank = lambda found: " " * len(found.group())  # noqa: E731 - a replacement, used twice
    if path.suffix == ".py":
        text = re.sub(r'"""[\s\S]*?"""', blank, text)
        text = re.sub(r'"[^"\n]*"', blank, text)
    else:
        text = re.sub(r"^(source|standing|name|prefix|metric|suffix) *=.*$", blank, text,
                      flags=re.MULTILINE)  # fmt: skip
        text = re.sub(r"^\[+.*\]$", blank, text, flags=re.MULTILINE)
    return re.sub(r"#.*", blank, text)


def numbers() -> Iterator[Number]:
    """List the numbers that are values."""
    catalogue = ROOT / "boardgen/catalogue"
    files = [
        *(ROOT / "boardgen/standards").glob("*.py"), *(ROOT / "footprints").glob("*.toml"),
        *(catalogue / f"{name}.toml" for name in ("leds", "led-shapes", "supplies", "uses")),
        *(catalogue / "houses").glob("*.toml"),
    ]  # fmt: skip
    for path in sorted(files):
        text = path.read_text(encoding="utf-8")
        for found in NUMBER.finditer(_code_only(path, text)):
            yield Number(
                path.relative_to(ROOT),
                found.start(),
                found.end(),
                found.group(),
                text.count("\n", 0, found.start()) + 1,
            )


def _copy(folder: Path) -> Path:
    for name in ("boardgen", "footprints", "tests", "examples"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "CHANGELOG.md"):
        shutil.copy(ROOT / name, folder / name)
    return folder


def noticed(number: Number, tree: Path) -> bool:
    """Run the published tests with one number changed."""
    path = tree / number.path
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: number.start] + number.changed + text[number.end :], encoding="utf-8")
    try:
        done = subprocess.run(
            [sys.executable, "-B", "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider",
             "tests/golden/test_golden.py", "-k", "not laid_out and not a_file_is_as_it_was",
             "tests/standards", "tests/published", "boardgen/standards"],
            cwd=tree, capture_output=True, check=False, env={"PYTHONPATH": str(tree), "PATH": ""},
        )  # fmt: skip
    finally:
        path.write_text(text, encoding="utf-8")
    return done.returncode != 0


def main(words: list[str]) -> int:
    """Try all numbers, or those of files whose names hold a word; print what nothing noticed."""
    with tempfile.TemporaryDirectory() as folder:
        trees: Queue[Path] = Queue()
        for worker in range(WORKERS):
            trees.put(_copy(Path(folder) / str(worker)))

        def attempt(number: Number) -> bool:
            tree = trees.get()
            try:
                return noticed(number, tree)
            finally:
                trees.put(tree)

        found = [number for number in numbers()
                 if not words or any(word in str(number.path) for word in words)]  # fmt: skip
        with ThreadPoolExecutor(WORKERS) as pool:
            results = list(pool.map(attempt, found))
    missed = [number for number, seen in zip(found, results, strict=True) if not seen]
    for number in missed:
        print("not noticed:", number)  # noqa: T201
    print(f"{len(found) - len(missed)} of {len(found)} numbers noticed")  # noqa: T201
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
