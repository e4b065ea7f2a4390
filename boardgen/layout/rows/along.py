"""Measures along the bar: pitch, holes, length."""

from dataclasses import dataclass
from itertools import pairwise

from boardgen import units
from boardgen.forms.table import plan
from boardgen.layout.cell import MARGIN_MM
from boardgen.layout.inlet import InletPlaces
from boardgen.layout.rows.needs import Needs
from boardgen.tolerances import FLOAT_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Along:
    """Where things lie along the bar, counted from the fed end inboard.

    ``hole_mm`` are the holes on the middle line, the one next to the connector first; none unless
    the screws sit at the ends.
    """

    pitch_mm: float
    length_mm: float
    hole_mm: tuple[float, ...]
    first_led_mm: float
    trunk_mm: float
    inlet: InletPlaces


def along(needs: Needs, width_mm: float) -> Along:
    """Decide the measures along the bar; what is too small is noted in ``needs.misfits``."""
    pitch = _pitch(needs)
    span = pitch * (plan(needs.parameters).longest - 1)
    inlet = needs.inlet(signs_beside=_signs_beside(needs, width_mm))
    if needs.mounting == "ends":
        return _with_end_holes(needs, inlet, pitch, span)
    return _without_holes(needs, inlet, pitch, span)


def _with_end_holes(needs: Needs, inlet: InletPlaces, pitch: float, span: float) -> Along:
    """Lay the row between two holes, at one distance from both."""
    near, far = _hole_from_face(needs, inlet), needs.corner_hole
    half = needs.screw_room / 2
    least = near + far + 2 * needs.up_grid(half + _beside_row(needs) + MARGIN_MM) + span
    length = _length(needs, inlet, least, near + half)
    from_hole = units.down_to_step((length - near - far - span) / 2, needs.grid)
    trunk = half + _beside_trunk(needs) + needs.aims.pour_gap_mm + needs.rail / 2
    return Along(
        pitch_mm=pitch,
        length_mm=length,
        hole_mm=(near, near + 2 * from_hole + span),
        first_led_mm=near + from_hole,
        trunk_mm=near + units.up_to_step(trunk, needs.grid / 5),
        inlet=inlet,
    )


def _without_holes(needs: Needs, inlet: InletPlaces, pitch: float, span: float) -> Along:
    """Lay the row in the middle of the board; without screws only as far as the length allows."""
    edge = needs.aims.part_edge_mm
    taken = max(inlet.depth_mm, edge) if needs.at_end else edge
    if needs.mounting == "corners" and not needs.at_end:
        # The pour behind the rails joins the rest beyond their ends, past the corners' screws.
        passage = needs.aims.pour_gap_mm + needs.pour_strip
        taken = needs.corner_hole + needs.screw_room / 2 + passage
    beside = _beside_row(needs) + MARGIN_MM
    near = needs.up_grid(taken + beside)
    far = near if needs.mounting == "corners" else needs.up_grid(min(taken, edge) + beside)
    least = near + far + span
    if needs.mounting == "corners":
        least = max(least, 2 * (needs.corner_hole + needs.screw_room))
    length = _length(needs, inlet, least, taken)
    middle = units.down_to_step((length - span) / 2, needs.grid)
    return Along(
        pitch_mm=pitch,
        length_mm=length,
        hole_mm=(),
        first_led_mm=max(near, min(middle, length - span - far)),
        trunk_mm=taken + needs.aims.pour_gap_mm + needs.rail / 2,
        inlet=inlet,
    )


def _length(needs: Needs, inlet: InletPlaces, least: float, blocked: float) -> float:
    """Choose the length, or hold the one asked for against the least.

    ``blocked`` is what hole or connector takes of the page on the back, at either end.
    """
    if not needs.at_end:
        reach = max(inlet.half_mm, needs.sign_half)
        beside = {"ends": needs.corner_hole + needs.screw_room / 2,
                  "corners": needs.corner_hole + needs.screw_room / 2}  # fmt: skip
        least = max(least, 2 * (reach + beside.get(needs.mounting, 0.0) + MARGIN_MM))
        least = needs.up_grid(least)
    if not needs.parameters.printed:
        wide = max(words.size_mm[0] for words in needs.copper_words) + 2 * (
            needs.copper_room + needs.aims.legend_edge_mm
        )
        least += 2 * needs.up_grid(max(0.0, wide - least) / 2)
    asked = needs.parameters.form.length_mm
    if asked is not None:
        return _at_least(needs, "form.length", asked, least)
    if not needs.parameters.printed:
        return least
    page = needs.page_room + 2 * (blocked + needs.aims.legend_part_mm)
    return max(least, least + 2 * needs.up_grid((page - least) / 2))


def _at_least(needs: Needs, path: str, asked: float, least: float) -> float:
    if asked >= least - FLOAT_MM:
        return asked
    needs.misfits[path] = units.up_to_step(least, 0.1)
    return needs.misfits[path]


def _pitch(needs: Needs) -> float:
    """Take the pitch, or the least that fits when the one asked for is too tight."""
    least = needs.led.right_mm - needs.led.left_mm
    cuts = sorted(
        {branch.first_site % plan(needs.parameters).longest for branch in needs.circuit.branches}
    )
    for before, after in pairwise(cuts):
        row = needs.ballast.along_mm - needs.ballast.start_mm
        row += needs.resistor.right_mm - needs.resistor.left_mm
        least = max(least, row / (after - before))
        if needs.ballast.across_mm:
            least = max(least, needs.link_room + needs.led.right_mm)
        else:
            least = max(least, needs.left_of_led + needs.led.right_mm)
    return _at_least(needs, "form.pitch", needs.parameters.form.pitch_mm, least)


def _signs_beside(needs: Needs, width_mm: float) -> bool:
    """Tell whether + and − find room beside the connector, towards the long edges."""
    if not needs.parameters.printed and needs.at_end:
        return False  # in copper they may not stand on rails
    return not needs.at_end or width_mm / 2 >= needs.sign_half


def _hole_from_face(needs: Needs, inlet: InletPlaces) -> float:
    """Tell how far from the connector's edge the inboard hole lies."""
    if not needs.at_end:
        return needs.corner_hole
    return needs.up_grid(inlet.depth_mm + needs.screw_room / 2 + MARGIN_MM)


def _beside_trunk(needs: Needs) -> float:
    """Tell what the pour needs to pass between screw and trunk: only there when fed in the middle.

    Else the connector's own pole of 0 V lies on that side.
    """
    return 0.0 if needs.at_end else needs.aims.pour_gap_mm + needs.pour_strip


def _beside_row(needs: Needs) -> float:
    """Tell what the row needs beyond its end LEDs' centres: alike at both ends."""
    left, right = needs.left_of_led, needs.right_of_led
    near, far = (left, right) if needs.from_left else (right, left)
    if needs.parameters.form.rows > 1:
        near += needs.rail + 2 * needs.aims.pour_gap_mm + _beside_trunk(needs)
        if not needs.from_left:
            # Where rails end on the ballasts' side, the return pour must pass beyond their end, and
            # beyond the land there: with ballasts over their row it may lie beside the screw.
            land = needs.parameters.parts.resistor.pattern.land("1")
            tap = land.x_mm + needs.ballast.start_mm
            reach = max(needs.rail, land.width_mm) / 2
            far = max(far, reach + needs.aims.pour_gap_mm + needs.pour_strip - tap)
    return max(near, far + needs.probe_room)
