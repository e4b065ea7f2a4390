"""Drawings of joints, good and bad, seen from the side: grey solder on black lands."""

from svgwrite import Drawing

_LAND, _CHIP, _SOLDER = "#000000", "#ffffff", "#aaaaaa"

_FILLETS = {
    "good": ("M14 34Q15 20 22 16L22 34Z", "M66 34Q65 20 58 16L58 34Z"),
    "little": ("M14 34Q15 20 22 16L22 34Z",),
    "much": ("M10 34Q6 8 26 8L26 34Z", "M70 34Q74 8 54 8L54 34Z"),
    "bridge": ("M14 34Q15 20 22 16L22 34Z", "M66 34Q65 20 58 16L58 34Z", "M60 34Q76 26 92 34Z"),
    "stands": ("M14 34Q15 20 22 16L22 34Z",),
    "skew": ("M14 34Q15 20 22 16L22 34Z", "M66 34Q65 20 58 16L58 34Z"),
}


def joint_pictures() -> dict[str, str]:
    """Draw each kind of joint; all are chips on two lands, 80 by 40 units."""
    return {kind: _joint(kind) for kind in _FILLETS}


def _joint(kind: str) -> str:
    drawing = Drawing(size=("42mm", "21mm"), viewBox="0 0 100 42", debug=False)
    for x in (8, 54) if kind != "bridge" else (8, 54, 86):
        wide = 18 if x != 86 else 10  # noqa: PLR2004 - the neighbour's land
        drawing.add(drawing.rect((x, 34), (wide, 4), fill=_LAND))
    for path in _FILLETS[kind]:
        drawing.add(drawing.path(d=path, fill=_SOLDER, stroke=_LAND, stroke_width=0.8))
    chip = drawing.rect((22, 16), (36, 18), fill=_CHIP, stroke=_LAND, stroke_width=1.5)
    if kind == "stands":
        chip["transform"] = "rotate(-28 22 34)"
    if kind == "skew":
        chip["x"] = 34
    drawing.add(chip)
    return str(drawing.tostring())
