"""Pages of every example opened, measured and printed by a browser: run with `pytest -m browser`.

What counts as beside, beyond or lost is our own; axe-core, whose rules follow WCAG 2,
is outside the project.
"""

import html
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.conftest import PAGES

pytestmark = [pytest.mark.browser, pytest.mark.parametrize("name", PAGES)]


def test_a_page_opens_and_says_nothing_on_the_console(
    folder: Path, name: str, browser: Browser
) -> None:
    page = browser.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("requestfailed", lambda asked: said.append(asked.url))
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((folder / name).as_uri())
    assert said == []
    assert asked == [(folder / name).as_uri()], "one file, nothing fetched"
    assert page.locator("footer").count() == 1
    page.close()


BOXES = """() => {
const faults = [];
const texts = [...document.querySelectorAll('p, li, td, th, h1, h2, h3, figcaption, dt, dd, label')];
const boxes = texts.map(e => [e, e.getBoundingClientRect()]).filter(([e, b]) => b.width && b.height);
const wide = document.documentElement.clientWidth;
for (const [e, b] of boxes) {
  if (!e.closest('.wide, .board') && (b.left < -1 || b.right > wide + 1))
    faults.push('beyond the page: ' + e.textContent.slice(0, 60));
  if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth && !e.closest('.wide, .board'))
    faults.push('wider than its box: ' + e.textContent.slice(0, 60));
}
for (let i = 0; i < boxes.length; i++) for (let j = i + 1; j < Math.min(boxes.length, i + 40); j++) {
  const [e, a] = boxes[i], [f, b] = boxes[j];
  if (e.contains(f) || f.contains(e)) continue;
  const along = Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const across = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  if (along > 1.5 && across > 1.5)
    faults.push('upon one another: ' + e.textContent.slice(0, 40) + ' | ' + f.textContent.slice(0, 40));
}
if (document.documentElement.scrollWidth > wide + 1) faults.push('the page scrolls sideways');
return faults; }"""


def test_texts_lie_beside_one_another_and_on_the_page(folder: Path, name: str, page: Page) -> None:
    """360 px is as narrow as common phones: from memory."""
    page.goto((folder / name).as_uri())
    for wide in (1280, 360):
        page.set_viewport_size({"width": wide, "height": 900})
        assert page.evaluate("document.documentElement.clientWidth") == wide
        assert page.evaluate(BOXES) == []


def visible(text: str) -> Iterator[str]:
    """List the words of a page's headings and cells."""
    text = re.sub(r"<(style|svg).*?</\1>", "", text, flags=re.DOTALL)
    for found in re.findall(r"<(?:h[123]|td)[^>]*>(.*?)</(?:h[123]|td)>", text, re.DOTALL):
        yield from html.unescape(re.sub(r"<[^>]+>", " ", found)).split()


def test_print_loses_nothing(folder: Path, name: str, page: Page) -> None:
    paper = ("A4", "Letter")[len(name) % 2]
    page.goto((folder / name).as_uri())
    pdf = folder / f"{Path(name).stem}-{paper}.pdf"
    page.pdf(path=pdf, format=paper)
    words = ""
    for order in ("-layout", "-raw"):
        words += subprocess.run(
            ["pdftotext", order, str(pdf), "-"], capture_output=True, text=True, check=True
        ).stdout
    have = {re.sub(r"[^\w]", "", word) for word in words.split()}
    joined = re.sub(r"\s", "", words)
    lost = [
        word
        for word in visible((folder / name).read_text("utf-8"))
        if re.sub(r"[^\w]", "", word) not in have and word not in joined and len(word) < 30
    ]  # longer words are broken over lines
    assert not lost


def test_an_outside_checker_of_access_finds_nothing_serious(
    folder: Path, name: str, page: Page
) -> None:
    """axe-core (MPL-2.0), brought by axe-playwright-python."""
    page.goto((folder / name).as_uri())
    found = Axe().run(page).response["violations"]
    assert not [one["id"] for one in found if one["impact"] in ("serious", "critical")]
