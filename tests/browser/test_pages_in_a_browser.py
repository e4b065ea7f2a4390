"""Pages and pictures opened, switched and printed by a browser: run with `pytest -m browser`.

Needs Debian's packages chromium and poppler-utils; `.ci/run` installs them. Widths of paper are of
ISO 216 and ANSI Y14.1, from memory; what counts as seen or cut is our own.
"""

import html
import json
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from tests.conftest import MUCH_ALIKE, ROOT, built_of, every

pytestmark = pytest.mark.browser

EXAMPLES = [
    path
    for path in sorted(ROOT.glob("examples/*/*.toml"))
    if "[family]" not in path.read_text("utf-8")
]
PAGES = ("report.html", "order.html", "assembly/guide.html", "assembly/test-sheet.html")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or ""


def chromium(*options: str) -> "subprocess.CompletedProcess[str]":
    assert CHROMIUM, "chromium is not installed"
    return subprocess.run(
        [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", *options],
        capture_output=True, text=True, timeout=180, check=True,
    )  # fmt: skip


LAYERED = ("usb-shelf", "lens-ring", "etched-bar", "corner-lamp")


@pytest.fixture(
    scope="module",
    params=every(EXAMPLES, lambda at: EXAMPLES[at].stem not in MUCH_ALIKE),
    ids=[path.stem for path in EXAMPLES],
)
def folder(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build an example into a folder."""
    built = built_of(request.param.read_text("utf-8"))
    return built.write(tmp_path_factory.mktemp(request.param.stem))


def measured(page: Path, script: str, width: int = 1280) -> object:
    """Run a script in a copy of a page; it leaves its answer as JSON in the page."""
    text = page.read_text("utf-8")
    answer = (
        f"<script>window.addEventListener('load', () => {{ const answer = (() => {{{script}}})();"
        " const left = document.createElement('pre'); left.id = 'answer';"
        " left.textContent = JSON.stringify(answer); document.body.append(left); });</script>"
    )
    copy = page.with_name(f"copy-{width}-{page.name}")
    copy.write_text(text.replace("</body>", answer + "</body>"), "utf-8")
    shown = chromium(
        f"--window-size={width},900", "--virtual-time-budget=5000", "--dump-dom", copy.as_uri()
    )
    (found,) = re.findall(r'<pre id="answer">(.*?)</pre>', shown.stdout, re.DOTALL)
    return json.loads(found.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&"))


def pixels(page: Path, width: int = 1280, height: int = 1600) -> NDArray[np.uint8]:
    """Photograph a page."""
    image = page.with_suffix(".png")
    chromium(f"--window-size={width},{height}", f"--screenshot={image}", page.as_uri())
    return png(image)


def png(image: Path) -> NDArray[np.uint8]:
    with Image.open(image) as shown:
        return np.asarray(shown.convert("RGB"))


@pytest.mark.parametrize("name", PAGES)
def test_a_page_says_nothing_on_the_console(folder: Path, name: str) -> None:
    shown = chromium("--enable-logging=stderr", "--v=0", "--dump-dom", (folder / name).as_uri())
    assert "CONSOLE" not in shown.stderr
    assert "</footer>" in shown.stdout


BOXES = """
const faults = [];
const texts = [...document.querySelectorAll('p, li, td, th, h1, h2, h3, figcaption, dt, dd, label')];
const boxes = texts.map(e => [e, e.getBoundingClientRect()]).filter(([e, b]) => b.width && b.height);
for (const [e, b] of boxes)
  if (!e.closest('.wide, .board') && (b.left < -1 || b.right > document.documentElement.clientWidth + 1))
    faults.push('beyond the page: ' + e.textContent.slice(0, 60));
for (let i = 0; i < boxes.length; i++) for (let j = i + 1; j < Math.min(boxes.length, i + 40); j++) {
  const [e, a] = boxes[i], [f, b] = boxes[j];
  if (e.contains(f) || f.contains(e)) continue;
  const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  if (wide > 1.5 && high > 1.5) faults.push('upon one another: ' + e.textContent.slice(0, 40) + ' | ' + f.textContent.slice(0, 40));
}
if (document.documentElement.scrollWidth > document.documentElement.clientWidth + 1)
  faults.push('the page scrolls sideways');
return faults;
"""


@pytest.mark.parametrize("name", PAGES)
def test_texts_lie_beside_one_another_and_on_the_page(folder: Path, name: str) -> None:
    """A headless window is never narrower than 500 px; a phone is asked for in a frame below."""
    assert measured(folder / name, BOXES) == []


@pytest.mark.parametrize("name", PAGES)
def test_texts_find_room_on_a_phone(folder: Path, name: str) -> None:
    """360 px, as narrow as common phones: the page shown in a frame so wide."""
    inner = folder / f"phone-{Path(name).name}"
    text = (folder / name).read_text("utf-8")
    script = f"<script>window.addEventListener('load', () => {{ parent.document.body.dataset.answer = JSON.stringify((() => {{{BOXES}}})()); }});</script>"
    inner.write_text(text.replace("</body>", script + "</body>"), "utf-8")
    frame = folder / f"frame-{Path(name).name}"
    frame.write_text(
        f'<body><iframe src="{inner.name}" style="width:360px;height:2000px;border:0"></iframe></body>',
        "utf-8",
    )
    shown = chromium(
        "--allow-file-access-from-files", "--virtual-time-budget=5000", "--dump-dom", frame.as_uri()
    )
    (found,) = re.findall(r'data-answer="([^"]*)"', shown.stdout)
    assert json.loads(found.replace("&quot;", '"')) == []


def test_each_layer_switch_changes_the_board(folder: Path) -> None:
    """Copper at least one pixel in a hundred of the board's own; others, of few parts, less."""
    if folder.parent.name.rstrip("0123456789") not in LAYERED:
        pytest.skip("four boards show it: a ring, one side, thick copper, two sides")
    page = folder / "report.html"
    text = page.read_text("utf-8")
    names = re.findall(r'id="show-([\w-]+)" checked', text)
    assert {"copper-top", "parts"} <= set(names)
    only = re.sub(r"<main>.*?(<div class=\"view\">)", r"<main>\1", text, flags=re.DOTALL)
    only = re.sub(r"(</svg></div>\n</div>).*?</main>", r"\1</main>", only, flags=re.DOTALL)
    # One after the other upon an empty board: a layer below another would not be seen.
    empty = only.replace(" checked", "", len(names))
    at = folder / "switches.html"
    at.write_text(empty, "utf-8")
    bare = pixels(at, height=900)
    board = board_pixels(at)
    for name in names:
        at.write_text(empty.replace(f'id="show-{name}"', f'id="show-{name}" checked'), "utf-8")
        changed = int((pixels(at, height=900) != bare).any(axis=2).sum())
        least = 0.01 * board if name.startswith("copper") else _SPARSE
        assert changed >= least, (name, changed, board)


_SPARSE = 200


def board_pixels(page: Path) -> int:
    """Count the pixels of the board's own rectangle."""
    answer = measured(
        page,
        "const b = document.querySelector('.board svg').getBoundingClientRect(); return b.width * b.height;",
    )
    assert isinstance(answer, float | int)
    return round(answer)


def printed(page: Path) -> tuple[Path, str]:
    """Print to PDF as a browser does, and read its words."""
    pdf = page.with_suffix(".pdf")
    chromium(f"--print-to-pdf={pdf}", "--no-pdf-header-footer", page.as_uri())
    words = subprocess.run(
        ["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True
    )
    return pdf, words.stdout


def visible(page: Path) -> Iterator[str]:
    """List the words of a page's headings and cells."""
    text = re.sub(r"<(style|svg).*?</\1>", "", page.read_text("utf-8"), flags=re.DOTALL)
    for found in re.findall(r"<(?:h[123]|td)[^>]*>(.*?)</(?:h[123]|td)>", text, re.DOTALL):
        yield from re.sub(r"<[^>]+>", " ", found).split()


@pytest.mark.parametrize("name", PAGES)
def test_print_loses_nothing(folder: Path, name: str) -> None:
    _, words = printed(folder / name)
    have = {re.sub(r"[^\w]", "", word) for word in words.split()}
    joined = re.sub(r"\s", "", words)
    lost = [
        word
        for word in map(html.unescape, visible(folder / name))
        if re.sub(r"[^\w]", "", word) not in have and word not in joined and len(word) < 30
    ]  # longer words are broken over lines
    assert not lost


def test_a_ruler_measures_fifty_millimetres_on_paper(folder: Path) -> None:
    """Printed at 100 %, measured at 600 dpi: 50 mm within 0.2 mm, along and across."""
    for picture in sorted(folder.glob("assembly/placement-*.svg")):
        pdf, words = printed(picture)
        assert "50 mm" in words
        subprocess.run(
            [
                "pdftoppm",
                "-r",
                "600",
                "-png",
                str(pdf),
                str(pdf.with_name(f"print-{picture.stem}")),
            ],
            check=True,
        )
        pages = sorted(pdf.parent.glob(f"print-{picture.stem}-[0-9].png"))
        assert len(pages) == 1, "a sheet is one page"
        dark = png(pages[0]).max(axis=2) < 128
        per_mm = 600 / 25.4
        for lines in (dark, dark.T):
            lengths = {run for line in lines for run in runs(line) if run > 40 * per_mm}
            assert any(abs(run / per_mm - 50) <= 0.2 + 0.25 for run in lengths), sorted(lengths)


def runs(line: NDArray[np.bool_]) -> list[int]:
    """Measure the runs of dark pixels of a line."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], line.astype(np.int8), [0]))))
    return [int(run) for run in edges[1::2] - edges[::2]]


@pytest.mark.skipif("BOARDGEN_AXE" not in os.environ, reason="BOARDGEN_AXE names no axe.min.js")
@pytest.mark.parametrize("name", PAGES)
def test_an_outside_checker_finds_nothing_serious(folder: Path, name: str) -> None:
    """axe-core (MPL-2.0, npm), whose rules follow WCAG 2; its script is named by BOARDGEN_AXE."""
    checker = Path(os.environ["BOARDGEN_AXE"]).read_text("utf-8").replace("</script", "<\\/script")
    page = (folder / name).read_text("utf-8")
    script = (
        f"<script>{checker}</script><script>window.addEventListener('load', () => axe.run().then("
        "found => { document.body.dataset.answer = JSON.stringify("
        "found.violations.map(one => [one.impact, one.id])); }));</script>"
    )
    copy = folder / f"checked-{Path(name).name}"
    copy.write_text(page.replace("</body>", script + "</body>"), "utf-8")
    shown = chromium("--virtual-time-budget=20000", "--dump-dom", copy.as_uri())
    (answer,) = re.findall(r'<body data-answer="([^"]*)"', shown.stdout)
    impacts = [impact for impact, _ in json.loads(html.unescape(answer))]
    assert not {"serious", "critical"} & set(impacts), answer
