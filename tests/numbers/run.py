"""Change every number of standards/, footprints/ and catalogue/ by one digit, and run the tests.

A marked run of hours: for each number the tests against outside values are run in a copy of the
tree, and where they notice nothing, our own record of the catalogue (tests/golden), which tells a
slip from a change but not right from wrong. It prints the numbers that only the record noticed and
those that nothing did, and exits with 1 when there are any of the latter. Arguments are words of
file names: `spacing protection` takes ten minutes.
"""

import compileall
import multiprocessing
import os
import re
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from py_compile import PycInvalidationMode
from queue import Queue

ROOT = Path(__file__).resolve().parents[2]
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.]|-\d)")
WORKERS = 2
LIBRARIES = ["numpy", "shapely", "scipy.optimize", "pydantic", "pygerber"]
"""What every run needs and no number changes: loaded once, before the runs fork."""

_QUIET = ["-q", "-x", "-p", "no:cacheprovider"]
OUTSIDE = [*_QUIET, "tests/standards", "tests/published", "boardgen/standards"]
RECORD = [
    *_QUIET, "tests/golden/test_golden.py", "-k", "not laid_out and not a_file_is_as_it_was",
]  # fmt: skip


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
    # By hash: a digit changed twice within a second leaves size and time as they were.
    compileall.compile_dir(folder, quiet=2, invalidation_mode=PycInvalidationMode.CHECKED_HASH)
    return folder


def _run_tests(tree: Path, tests: list[str]) -> None:
    """Leave the process with what pytest says of a tree."""
    os.chdir(tree)
    sys.path.insert(0, str(tree))
    sys.dont_write_bytecode = True
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    import pytest  # noqa: PLC0415 - in the forked process, where the server has loaded it

    os._exit(pytest.main(tests))


def fails(tree: Path, tests: list[str]) -> bool:
    """Tell whether tests of a tree fail."""
    run = multiprocessing.get_context("forkserver").Process(target=_run_tests, args=(tree, tests))
    run.start()
    run.join()
    return run.exitcode != 0


def noticed(number: Number, tree: Path) -> str:
    """Tell who notices that a number is changed: outside values, our own record, or nothing."""
    path = tree / number.path
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: number.start] + number.changed + text[number.end :], encoding="utf-8")
    try:
        if fails(tree, OUTSIDE):
            return "outside"
        return "record" if fails(tree, RECORD) else "nothing"
    finally:
        path.write_text(text, encoding="utf-8")


def main(words: list[str]) -> int:
    """Try all numbers, or those of files whose names hold a word; print what nothing noticed."""
    multiprocessing.set_forkserver_preload(LIBRARIES)
    with tempfile.TemporaryDirectory() as folder:
        trees: Queue[Path] = Queue()
        for worker in range(WORKERS):
            trees.put(_copy(Path(folder) / str(worker)))
        if any(fails(Path(folder) / "0", tests) for tests in (OUTSIDE, RECORD)):
            sys.exit("the tests fail with no number changed")

        def attempt(number: Number) -> str:
            tree = trees.get()
            try:
                seen = noticed(number, tree)
            finally:
                trees.put(tree)
            if seen != "outside":
                words = "only our record notices" if seen == "record" else "nothing notices"
                print(f"{words}: {number}", flush=True)  # noqa: T201 - the run takes long
            return seen

        found = [number for number in numbers()
                 if not words or any(word in str(number.path) for word in words)]  # fmt: skip
        with ThreadPoolExecutor(WORKERS) as pool:
            results = list(pool.map(attempt, found))
    told = Counter(results)
    print(  # noqa: T201
        f"of {len(found)} numbers {told['outside']} are noticed by outside values,"
        f" {told['record']} by our own record only, {told['nothing']} by nothing"
    )
    return 1 if told["nothing"] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
