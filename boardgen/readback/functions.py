"""What an object may be for on its layer, how it is drawn, and when it may erase."""

from collections.abc import Iterator, Mapping, Sequence

from boardgen.model.proof import Difference, Kind
from boardgen.readback.matching import differing
from boardgen.readback.objects import Reading, Seen

_CLEARANCE = "Other,Clearance"
_KINDS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "copper": {
        "SMDPad,CuDef": ("flash",),
        "ComponentPad": ("flash",),
        "ViaPad": ("flash",),
        "TestPad": ("flash",),
        "Conductor": ("stroke", "contour"),
        _CLEARANCE: ("flash", "stroke", "contour"),
        "NonConductor": ("stroke",),
        "OtherCopper,Cathode": ("stroke",),
        "OtherCopper,Plus": ("stroke",),
        "OtherCopper,Minus": ("stroke",),
    },
    "mask": {"Material": ("flash", "contour")},
    "paste": {"Material": ("flash",)},
    "legend": {
        "Material": ("stroke",),
        "Other,Cathode": ("stroke",),
        "Other,Plus": ("stroke",),
        "Other,Minus": ("stroke",),
    },
    "profile": {"Profile": ("drawn contour", "stroke")},
}
"""By layer and function (5.6.10): flashes, strokes or contours. An open outline is told as such."""


def functions(readings: Mapping[str, Reading]) -> Iterator[Difference]:
    """Hold every object against what its layer carries; only clearances of a pour may erase."""
    for part, reading in readings.items():
        if part.endswith(".gbr"):
            layer = part.rpartition(".")[0]
            yield from _of_layer(layer, reading.objects)


def _of_layer(layer: str, objects: Sequence[Seen]) -> Iterator[Difference]:
    kinds = _KINDS[layer.partition("-")[0]]
    last_clear = max((at for at, seen in enumerate(objects) if not seen.dark), default=-1)
    for at, seen in enumerate(objects):
        if seen.kind not in kinds.get(seen.function, ()):
            said = f"{seen} is a {seen.kind} for {seen.function}, which has no place on this layer"
            yield differing(Kind.ATTRIBUTE, said, layer, seen)
        elif seen.dark == (seen.function == _CLEARANCE):
            said = "draws, but ought to erase" if seen.dark else "erases, but ought to draw"
            yield differing(Kind.MISSING, f"{seen} {said}", layer, seen)
        elif at < last_clear and seen.dark and seen.kind != "contour":
            said = f"{seen} is drawn before clearances that come later"
            yield differing(Kind.ORDER, said, layer, seen)
