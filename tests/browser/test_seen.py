"""Pictures as a browser draws them: colours of layers, switches, rulers on paper.

Which colour stands for what is our own; what lies where is read from the files by the proof's own
geometry, which shares nothing with the pictures. 50 mm are 50 mm.
"""

import io
import math
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from PIL import Image
from playwright.sync_api import Browser, Page
from shapely.geometry.base import BaseGeometry

from boardgen.model.shapes import Contour
from boardgen.model.side import Side
from boardgen.readback.images import area, image
from boardgen.readback.objects import Seen
from boardgen.readback.prove import prove
from boardgen.units import Nm
from tests.conftest import example_built

pytestmark = pytest.mark.browser

PX_PER_MM, POINTS = 16, 200
SHOWN_AWAY_MM, AROUND_MM = 2.0, 1.5
"""How far a preview goes beyond its board, and how far out points are taken."""
_CSS_PX_PER_MM = 96 / 25.4
MASKS = {  # over bare board, over copper
    "white": ("#e4e4de", "#f6f6f2"), "black": ("#101214", "#24282b"),
    "green": ("#174a2c", "#23713f"), "blue": ("#14305f", "#1f4b8f"),
    "red": ("#7c1d1b", "#a83230"), "yellow": ("#b58a12", "#d9b02c"),
}  # fmt: skip
FINISHES = {"tin, lead-free": "#c3c8cd", "gold": "#d8b24a", "bare copper": "#c8733f"}
LEGENDS = {"black": "#1c1c1c", "white": "#f4f4f0"}
SUBSTRATE, PAPER = "#c8b98a", "#ffffff"


def png(content: bytes) -> NDArray[np.uint8]:
    with Image.open(io.BytesIO(content)) as shown:
        return np.asarray(shown.convert("RGB"))


def photographed(browser: Browser, picture: Path) -> NDArray[np.uint8]:
    """Photograph a picture, so many pixels a millimetre of its true size."""
    root = ET.fromstring(picture.read_text("utf-8"))  # noqa: S314 - our own file
    wide, high = (float(root.get(side, "").removesuffix("mm")) for side in ("width", "height"))
    opened = browser.new_page(
        viewport={"width": math.ceil(wide * _CSS_PX_PER_MM), "height": math.ceil(high * _CSS_PX_PER_MM)},
        device_scale_factor=PX_PER_MM / _CSS_PX_PER_MM,
    )  # fmt: skip
    opened.goto(picture.as_uri())
    pixels = png(opened.screenshot())
    opened.close()
    return pixels


@lru_cache(maxsize=2)
def areas(folder: Path) -> dict[str, BaseGeometry]:
    """Read each layer of a board's files, in mm."""
    files = {path.name: path.read_bytes() for path in (folder / "fabrication").iterdir()}
    drawn = prove(files).drawn
    lines = [shape for shape, _ in drawn["profile"] if isinstance(shape, Contour)]
    edge, *openings = sorted((area(replace(line, radius_nm=Nm(0))) for line in lines), key=_large)
    shown = {
        name: image([Seen(shape=shape, dark=dark, function="") for shape, dark in objects])
        for name, objects in drawn.items()
    } | {"profile": edge - shapely.union_all(openings)}
    return {name: shapely.transform(one, lambda at: at / 1e6) for name, one in shown.items()}


def _large(shape: BaseGeometry) -> float:
    return -float(shape.area)


def implied(order: dict[str, str], layers: dict[str, BaseGeometry], side: Side) -> dict[str, BaseGeometry]:  # fmt: skip
    """Tell of each colour where the layers of a side show it; what is printed lies uppermost."""
    none = shapely.Polygon()
    copper, legend = (layers.get(f"{kind}-{side.value}", none) for kind in ("copper", "legend"))
    drilled = shapely.union_all([layers.get(name, none) for name in ("plated", "unplated")])
    board = layers["profile"] - drilled
    opened = layers.get(f"mask-{side.value}", board)
    bare, covered = MASKS.get(order["mask"], (SUBSTRATE, SUBSTRATE))
    seen = [(LEGENDS.get(order["legend"], ""), legend & board), (FINISHES[order["finish"]], opened & copper & board),
            (SUBSTRATE, opened & board), (covered, copper & board), (bare, board)]  # fmt: skip
    shown: dict[str, BaseGeometry] = {}
    taken = none
    for colour, where in seen:
        shown[colour] = shown.get(colour, none) | (where - taken)
        taken |= where
    box = shapely.box(*layers["profile"].bounds).buffer(AROUND_MM, join_style="mitre")
    return shown | {PAPER: box - board}


@pytest.mark.parametrize("side", list(Side))
def test_pixels_of_a_preview_have_the_colours_that_the_layers_imply(
    folder: Path, source: Path, side: Side, browser: Browser
) -> None:
    """200 places drawn by lot, none nearer than 0.2 mm to a line between two colours.

    A line is up to 0.1 mm wide, and the proof's chords lie 0.05 mm off an arc of 40 mm.
    """
    order = example_built(source).design.parameters
    told = {"mask": order.order.mask, "finish": order.order.finish, "legend": order.legend_colour}
    shown = implied(told, areas(folder), side)
    pixels = photographed(browser, folder / f"preview-{side.value}.svg")
    chance = np.random.default_rng(len(source.stem))
    left, bottom, right, top = shapely.union_all(list(shown.values())).bounds
    inner = {colour: one.buffer(-0.2) for colour, one in shown.items()}
    shapely.prepare(list(inner.values()))
    wrong, asked = [], 0
    while asked < POINTS:
        at = chance.uniform(left, right), chance.uniform(bottom, top)
        here = [colour for colour, one in inner.items() if one.contains(shapely.Point(at))]
        if not here:
            continue
        asked += 1
        across = right - at[0] if side is Side.BOTTOM else at[0] - left
        y, x = ((mm + SHOWN_AWAY_MM - AROUND_MM) * PX_PER_MM for mm in (top - at[1], across))
        seen = f"#{bytes(pixels[int(y), int(x)].tolist()).hex()}"
        if seen != here[0]:
            wrong.append((at, here[0], seen))
    assert not wrong


SPARSE_PX = 60
"""Layers of few small parts change less than a hundredth of a board: each so much at least."""


def test_each_layer_switch_changes_the_board(folder: Path, page: Page) -> None:
    """Copper at least one pixel in a hundred of the board's own, others, of few parts, less."""
    page.goto((folder / "report.html").as_uri())
    boxes = page.locator("input[id^=show-]")
    names = [boxes.nth(at).get_attribute("id") or "" for at in range(boxes.count())]
    assert {"show-copper-top", "show-parts"} <= set(names)
    for name in names:  # one after the other upon an empty board: what lies below is not seen
        page.uncheck(f"#{name}")
    board = page.locator(".board svg")
    bare = png(board.screenshot())
    for name in names:
        page.check(f"#{name}")
        changed = int((png(board.screenshot()) != bare).any(axis=2).sum())
        page.uncheck(f"#{name}")
        least = bare.size / 300 if "copper" in name else SPARSE_PX
        assert changed >= least, (name, changed)


def test_a_ruler_measures_fifty_millimetres_on_paper(folder: Path, page: Page) -> None:
    """Printed at 100 %, measured at 600 dpi: 50 mm within 0.2 mm, along and across."""
    for picture in sorted(folder.glob("assembly/placement-*.svg")):
        page.goto(picture.as_uri())
        pdf = picture.with_suffix(".pdf")
        page.pdf(path=pdf, format="A4")
        assert (
            "50 mm"
            in subprocess.run(
                ["pdftotext", str(pdf), "-"], capture_output=True, text=True, check=True
            ).stdout
        )
        subprocess.run(
            ["pdftoppm", "-r", "600", "-gray", str(pdf), str(pdf.with_suffix(""))], check=True
        )
        (sheet,) = pdf.parent.glob(f"{picture.stem}-[0-9].pgm")  # a sheet is one page
        with Image.open(sheet) as shown:
            dark = np.asarray(shown) < 128
        sheet.unlink()
        for lines in (dark, dark.T):
            lengths = {run / PX_600 for line in lines for run in runs(line) if run > 40 * PX_600}
            assert any(abs(run - 50) <= 0.2 + PEN_MM for run in lengths), sorted(lengths)


PX_600, PEN_MM = 600 / 25.4, 0.25


def runs(line: NDArray[np.bool_]) -> list[int]:
    """Measure the runs of dark pixels of a line."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], line.astype(np.int8), [0]))))
    return [int(run) for run in edges[1::2] - edges[::2]]
