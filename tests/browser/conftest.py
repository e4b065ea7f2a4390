"""A browser, one for a whole run, and the folder of each example with all its pages.

Needs the extra ``browser`` and Debian's packages chromium and poppler-utils; `.ci/run` gets them.
"""

import shutil
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from boardgen.cli import main
from tests.conftest import EXAMPLES, MUCH_ALIKE, example_built

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

if find_spec("playwright") is None:
    collect_ignore_glob = ["test_*.py"]

PAGES = (
    "report.html", "order.html", "assembly/guide.html", "assembly/test-sheet.html",
    "class/worksheet.html", "class/answers.html", "kit/kit.html",
)  # fmt: skip
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session")
def browser() -> "Iterator[Browser]":
    """Start the browser that the machine has."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - of an extra

    assert CHROMIUM, "chromium is not installed"
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture(scope="session")
def window(browser: "Browser") -> "Page":
    """Open one window for all that only look: each costs half a second."""
    return browser.new_page()


@pytest.fixture
def page(window: "Page") -> "Page":
    """Give an empty page as wide as a desk's screen."""
    window.set_viewport_size({"width": 1280, "height": 900})
    return window


@pytest.fixture(
    scope="session",
    params=[
        pytest.param(path, id=path.stem, marks=pytest.mark.xdist_group(path.stem))
        for path in EXAMPLES
    ],
)
def source(request: pytest.FixtureRequest) -> Path:
    """Each example's parameter file in turn."""
    found: Path = request.param
    return found


_BUILT: dict[Path, Path] = {}


@pytest.fixture
def folder(source: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build an example into a folder, of a family its last member, with lesson and kit; once."""
    if source not in _BUILT:
        _BUILT[source] = _written(source, tmp_path_factory.mktemp(source.stem))
    return _BUILT[source]


def _written(source: Path, top: Path) -> Path:
    written = example_built(source).write(top)
    for command, kept, more in (("lesson", "class", ()), ("kit", "kit", ("--sets", "12"))):
        where = top / command
        done = CliRunner().invoke(
            main, [command, str(source), "--only", written.name, "-o", str(where), *more]
        )
        assert done.exit_code == 0, done.output
        (written / kept).mkdir(exist_ok=True)
        for found in where.rglob("*.html"):
            shutil.copy(found, written / kept / found.name)
    return written


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leave outside checkers of much alike boards to the runs by hand: they take seconds a page."""
    for item in items:
        if "outside_checker" in item.name and any(f"[{name}" in item.name for name in MUCH_ALIKE):
            item.add_marker(pytest.mark.thorough)
