"""Gerber layers: RS-274X with X2 attributes.

Source: The Gerber Layer Format Specification, revision 2023.08, as recorded clause by
clause in docs/sources.md, formats (read there).
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field

from boardgen.export.stamp import Stamp, stamp
from boardgen.model.artwork import Item, Layer, LayerKind, Purpose
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.shapes import Box, Contour, Disc, Point, Stroke
from boardgen.units import decimal

_FIRST_APERTURE = 10
_TURNED = "TURNED"
_MACRO = f"%AM{_TURNED}*21,1,$1,$2,0,0,$3*%"
"""A rectangle about its centre at an angle (4.5.4.3): width, height, degrees."""

FILE_FUNCTIONS = {
    (LayerKind.COPPER, Side.TOP): ("Copper,L1,Top", "Positive"),
    (LayerKind.COPPER, Side.BOTTOM): ("Copper,L2,Bot", "Positive"),
    (LayerKind.MASK, Side.TOP): ("Soldermask,Top", "Negative"),
    (LayerKind.MASK, Side.BOTTOM): ("Soldermask,Bot", "Negative"),
    (LayerKind.LEGEND, Side.TOP): ("Legend,Top", "Positive"),
    (LayerKind.LEGEND, Side.BOTTOM): ("Legend,Bot", "Positive"),
    (LayerKind.PASTE, Side.TOP): ("Paste,Top", "Positive"),
    (LayerKind.PROFILE, None): ("Profile,NP", "Positive"),
}

_APERTURE_FUNCTIONS = {
    Purpose.SURFACE_LAND: "SMDPad,CuDef",
    Purpose.THROUGH_LAND: "ComponentPad",
    Purpose.VIA_LAND: "ViaPad",
    Purpose.TRACK: "Conductor",
    Purpose.POUR: "Conductor",
    Purpose.SPOKE: "Conductor",
    Purpose.CLEARANCE: "Other,Clearance",
    Purpose.PATCH: "Other,Clearance",
    Purpose.OPENING: "Material",
    Purpose.PASTE: "Material",
    Purpose.LETTER: "Material",
    Purpose.MARK: "Material",
    Purpose.CATHODE_MARK: "Other,Cathode",
    Purpose.PROFILE: "Profile",
}

_SIGNS = {"+": "Plus", "−": "Minus"}
"""The connector's signs are told apart from other letters, so that they can be read back."""

_LETTERS_IN_COPPER = {
    Purpose.LETTER: "NonConductor",
    Purpose.MARK: "NonConductor",
    Purpose.CATHODE_MARK: "OtherCopper,Cathode",
}


def gerber(design: Design) -> OutputFiles:
    """Write every layer of a design.

    Returns
    -------
    OutputFiles
        ``fabrication/<board>_<layer>.gbr``.
    """
    made = stamp(design)
    return tuple(
        OutputFile(
            path=f"fabrication/{design.parameters.name}_{layer.name}.gbr",
            content=_layer(layer, made).encode("utf-8"),
        )
        for layer in design.artwork.layers
    )


def _layer(layer: Layer, made: Stamp) -> str:
    writer = _Writer()
    body = list(writer.body(layer))
    lines = [*_header(layer, made), *writer.definitions, "G01*", "G75*", "%LPD*%", *body]
    text = "".join(f"{line}\n" for line in lines)
    # 5.6.9: over all bytes up to the attribute, line ends left out.
    digest = hashlib.md5(text.replace("\n", "").encode("utf-8"), usedforsecurity=False)
    return f"{text}%TF.MD5,{digest.hexdigest()}*%\nM02*\n"


def _header(layer: Layer, made: Stamp) -> list[str]:
    function, polarity = FILE_FUNCTIONS[layer.kind, layer.side]
    return [
        f"G04 {layer.name} of {made.project}, written by boardgen {made.program_version}*",
        "%FSLAX46Y46*%",
        "%MOMM*%",
        f"%TF.GenerationSoftware,boardgen,boardgen,{made.program_version}*%",
        f"%TF.CreationDate,{made.created}*%",
        f"%TF.ProjectId,{made.project},{made.identity},{made.revision}*%",
        "%TF.SameCoordinates*%",
        "%TF.Part,Single*%",
        f"%TF.FileFunction,{function}*%",
        f"%TF.FilePolarity,{polarity}*%",
        f"%TFFiles,{','.join(made.files)}*%",
    ]


def _field(text: str) -> str:
    """Escape a value of an attribute (3.4.3)."""
    return "".join(f"\\u{ord(letter):04X}" if letter in "%*,\\" else letter for letter in text)


@dataclass
class _Writer:
    """The state that a Gerber reader will have, so that only changes are written."""

    definitions: list[str] = field(default_factory=list)
    apertures: dict[tuple[str, str], int] = field(default_factory=dict)
    attributes: dict[str, str] = field(default_factory=dict)
    aperture: int = 0
    dark: bool = True
    mode: str = "G01"
    copper: bool = False

    def function(self, item: Item) -> str:
        """Tell what an object is for; letters on copper are no conductors."""
        sign = _SIGNS.get(item.owner.function, "") if item.owner else ""
        if sign and item.purpose is Purpose.LETTER:
            return f"{'OtherCopper' if self.copper else 'Other'},{sign}"
        if self.copper and item.purpose in _LETTERS_IN_COPPER:
            return _LETTERS_IN_COPPER[item.purpose]
        if self.copper and item.owner and item.owner.reference.startswith("TP"):
            return "TestPad"
        return _APERTURE_FUNCTIONS[item.purpose]

    def body(self, layer: Layer) -> Iterator[str]:
        self.copper = layer.kind is LayerKind.COPPER
        for item in layer.items:
            yield from self._attributes(layer, item)
            if item.dark != self.dark:
                self.dark = item.dark
                yield "%LPD*%" if item.dark else "%LPC*%"
            yield from self._object(item)
        if self.attributes:
            yield "%TD*%"

    def _attributes(self, layer: Layer, item: Item) -> Iterator[str]:
        wanted = {}
        if layer.kind is LayerKind.COPPER and item.dark:
            wanted[".N"] = _field(item.net)
        if item.owner and layer.kind is LayerKind.COPPER and item.owner.pin:
            function = f",{_field(item.owner.function)}" if item.owner.function else ""
            wanted[".P"] = f"{_field(item.owner.reference)},{_field(item.owner.pin)}{function}"
        elif item.owner:
            wanted[".C"] = _field(item.owner.reference)
        for name in [name for name in self.attributes if name not in wanted]:
            del self.attributes[name]
            yield f"%TD{name}*%"
        for name, value in wanted.items():
            if self.attributes.get(name) != value:
                self.attributes[name] = value
                yield f"%TO{name},{value}*%"

    def _object(self, item: Item) -> Iterator[str]:
        function = self.function(item)
        shape = item.shape
        if isinstance(shape, Disc):
            yield from self._select(function, f"C,{decimal(2 * shape.radius_nm)}")
            yield f"{_at(shape.centre)}D03*"
        elif isinstance(shape, Box):
            size = f"{decimal(shape.width_nm)}X{decimal(shape.height_nm)}"
            turn = f"X{decimal(shape.turn_udeg)}"
            form = f"{_TURNED},{size}{turn}" if shape.turn_udeg else f"R,{size}"
            yield from self._select(function, form)
            yield f"{_at(shape.centre)}D03*"
        elif isinstance(shape, Stroke):
            yield from self._select(function, f"C,{decimal(2 * shape.radius_nm)}")
            yield from self._mode("G01")
            yield f"{_at(shape.points[0])}D02*"
            for point in shape.points[1:]:
                yield f"{_at(point)}D01*"
        elif shape.radius_nm:
            yield from self._select(function, f"C,{decimal(2 * shape.radius_nm)}")
            yield from self._contour(shape)
        else:
            yield f"%TA.AperFunction,{function}*%"
            yield "G36*"
            yield from self._contour(shape)
            yield "G37*"
            yield "%TD.AperFunction*%"

    def _select(self, function: str, template: str) -> Iterator[str]:
        key = (function, template)
        if template.startswith(_TURNED) and _MACRO not in self.definitions:
            self.definitions.insert(0, _MACRO)
        if key not in self.apertures:
            self.apertures[key] = _FIRST_APERTURE + len(self.apertures)
            self.definitions += [
                f"%TA.AperFunction,{function}*%",
                f"%ADD{self.apertures[key]}{template}*%",
                "%TD*%",
            ]
        if self.aperture != self.apertures[key]:
            self.aperture = self.apertures[key]
            yield f"D{self.aperture}*"

    def _mode(self, mode: str) -> Iterator[str]:
        if mode != self.mode:
            self.mode = mode
            yield f"{mode}*"

    def _contour(self, contour: Contour) -> Iterator[str]:
        at = contour.start
        yield f"{_at(at)}D02*"
        for edge in contour.edges:
            if edge.centre is None:
                yield from self._mode("G01")
                yield f"{_at(edge.end)}D01*"
            else:
                yield from self._mode("G02" if edge.clockwise else "G03")
                i, j = edge.centre[0] - at[0], edge.centre[1] - at[1]
                yield f"{_at(edge.end)}I{i:d}J{j:d}D01*"
            at = edge.end
        yield from self._mode("G01")


def _at(point: Point) -> str:
    return f"X{point[0]:d}Y{point[1]:d}"
