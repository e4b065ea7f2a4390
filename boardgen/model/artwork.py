"""What each file shows: objects on layers in drawing order, and the holes."""

from dataclasses import dataclass
from enum import StrEnum

from boardgen.model.board import Side
from boardgen.model.shapes import Contour, Point, Shape
from boardgen.units import Nm


class LayerKind(StrEnum):
    """What a layer is made of."""

    COPPER = "copper"
    MASK = "mask"
    PASTE = "paste"
    LEGEND = "legend"
    PROFILE = "profile"


class Purpose(StrEnum):
    """What an object is there for."""

    SURFACE_LAND = "surface land"
    THROUGH_LAND = "through-hole land"
    VIA_LAND = "via land"
    TRACK = "track"
    POUR = "pour"
    CLEARANCE = "clearance"
    PATCH = "patch"
    SPOKE = "spoke"
    OPENING = "opening"
    PASTE = "paste"
    LETTER = "letter"
    MARK = "mark"
    CATHODE_MARK = "cathode mark"
    PROFILE = "profile"


@dataclass(frozen=True, slots=True, kw_only=True)
class Owner:
    """The part, and where it applies the pin and its function, that an object belongs to."""

    reference: str
    pin: str = ""
    function: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One object of a layer; clear objects take away what was drawn before them."""

    shape: Shape
    purpose: Purpose
    dark: bool = True
    net: str = ""
    owner: Owner | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One file's worth of objects, in drawing order."""

    kind: LayerKind
    side: Side | None
    items: tuple[Item, ...]

    @property
    def name(self) -> str:
        """The layer's name as it stands in file names."""
        return self.kind.value if self.side is None else f"{self.kind.value}-{self.side.value}"


class HoleKind(StrEnum):
    """What a hole is for."""

    COMPONENT = "component"
    VIA = "via"
    SCREW = "screw"
    PLAIN = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A drilled hole with its finished diameter."""

    centre: Point
    diameter_nm: Nm
    kind: HoleKind
    plated: bool
    net: str = ""
    owner: Owner | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A slot that is routed, unplated: from where to where, how wide, and the edge that it makes.

    The edge is drawn in no file, but by the pen of the profile everything keeps off it.
    """

    start: Point
    end: Point
    width_nm: Nm
    edge: Contour


@dataclass(frozen=True, slots=True, kw_only=True)
class Artwork:
    """All layers, holes and slots of a board, and the marks that had to be cut short."""

    layers: tuple[Layer, ...]
    holes: tuple[Hole, ...]
    slots: tuple[Slot, ...] = ()
    trimmed: tuple[str, ...] = ()

    @property
    def profile(self) -> Contour:
        """The board's edge; TypeError when the profile layer holds anything but contours."""
        return self.edges[0]

    @property
    def edges(self) -> tuple[Contour, ...]:
        """The board's edge, then those of cut-outs and slots; TypeError for other shapes."""
        shapes = tuple(item.shape for item in self.layer(LayerKind.PROFILE).items)
        contours = tuple(shape for shape in shapes if isinstance(shape, Contour))
        if len(contours) != len(shapes) or not shapes:
            raise TypeError("the profile holds contours only")
        return (*contours, *(slot.edge for slot in self.slots))

    @property
    def drilled(self) -> tuple[bool, ...]:
        """Which drill files there are, by whether their holes are plated; slots are not."""
        ways = {hole.plated for hole in self.holes} | ({False} if self.slots else set())
        return tuple(sorted(ways, reverse=True))

    def items(self, kind: LayerKind, side: Side | None = None) -> tuple[Item, ...]:
        """List a layer's objects; none when the board has no such layer."""
        return next(
            (layer.items for layer in self.layers if layer.kind is kind and layer.side is side), ()
        )

    def coppers(self) -> tuple[Layer, ...]:
        """List the copper layers that there are."""
        return tuple(layer for layer in self.layers if layer.kind is LayerKind.COPPER)

    def layer(self, kind: LayerKind, side: Side | None = None) -> Layer:
        """Find a layer; KeyError when there is none."""
        for layer in self.layers:
            if layer.kind is kind and layer.side is side:
                return layer
        raise KeyError(f"{kind} {side}")
