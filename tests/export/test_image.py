"""Outside witness: pygerber's own renderer sees the image that was designed.

Only on the smallest board: that renderer is slow. Its defects (seen here) touch
constructs that boardgen never writes.
"""

import pytest
import shapely
from pygerber.gerber.compiler import compile as compile_gerber
from pygerber.gerber.parser import parse
from pygerber.vm import render

from boardgen.geometry.regions import image
from boardgen.model.artwork import Layer
from tests.conftest import SMALLEST, built_of

LAYERS = [layer.name for layer in built_of(SMALLEST).design.artwork.layers]


@pytest.mark.parametrize("name", LAYERS)
def test_an_outside_renderer_sees_the_same_image(name: str) -> None:
    built = built_of(SMALLEST)
    (layer,) = [layer for layer in built.design.artwork.layers if layer.name == name]
    (content,) = [f.content for f in built.files if f.path == f"fabrication/bar_{name}.gbr"]
    seen = render(
        compile_gerber(parse(content.decode())),
        backend="shapely",
        angle_length_to_segment_count=lambda _: 256,
    ).shape
    seen = shapely.transform(seen, lambda points: points * 1e6)
    apart = seen.symmetric_difference(designed(layer)).buffer(-1_500)
    assert apart.is_empty


def designed(layer: Layer) -> shapely.geometry.base.BaseGeometry:
    shown = image(layer.items).shape
    assert not shown.is_empty
    return shown
