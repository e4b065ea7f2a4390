"""Measures along the bar: pitch, holes, length."""

from dataclasses import dataclass
from itertools import pairwise

from boardgen import units
from boardgen.layout.needs import HAIR_MM, MARGIN_MM, POUR_STRIP_MM, Needs


@dataclass(frozen=True, slots=True, kw_only=True)
class Along:
    """Where things lie along the bar, counted from the connector's edge inboard.

    ``hole_mm`` are the two holes, the one next to the connector first; ``led_from_hole_mm`` is
    the distance of either end LED from the hole next to it.
    """

    pitch_mm: float
    length_mm: float
    hole_mm: tuple[float, float]
    led_from_hole_mm: float
    trunk_from_hole_mm: float


def along(needs: Needs, width_mm: float) -> Along:
    """Decide the measures along the bar; what is too small is noted in ``needs.misfits``."""
    pitch = _pitch(needs)
    span = pitch * (needs.circuit.columns - 1)
    near, far = _hole_from_face(needs, width_mm), _hole_from_free_end(needs)
    least = near + far + 2 * _led_from_hole(needs) + span
    asked = needs.parameters.form.length_mm
    if asked is None:
        page = needs.page_room + 2 * (near + needs.screw_room / 2 + needs.aims.legend_part_mm)
        length = max(least, least + 2 * needs.up_grid((page - least) / 2))
    else:
        length = _at_least(needs, "form.length", asked, least)
    from_hole = units.down_to_step((length - near - far - span) / 2, needs.grid)
    return Along(
        pitch_mm=pitch,
        length_mm=length,
        hole_mm=(near, near + 2 * from_hole + span),
        led_from_hole_mm=from_hole,
        trunk_from_hole_mm=units.up_to_step(
            needs.screw_room / 2 + needs.aims.pour_gap_mm + needs.rail / 2, needs.grid / 5
        ),
    )


def _at_least(needs: Needs, path: str, asked: float, least: float) -> float:
    if asked >= least - HAIR_MM:
        return asked
    needs.misfits[path] = units.up_to_step(least, 0.1)
    return needs.misfits[path]


def _pitch(needs: Needs) -> float:
    """Take the pitch, or the least that fits when the one asked for is too tight."""
    least = needs.led.right_mm - needs.led.left_mm
    cuts = sorted({branch.first_column for branch in needs.circuit.branches})
    for before, after in pairwise(cuts):
        least = max(least, (needs.resistor.right_mm - needs.resistor.left_mm) / (after - before))
        if needs.ballast.across_mm:
            least = max(least, needs.link_room + needs.led.right_mm)
        else:
            least = max(least, needs.left_of_led + needs.led.right_mm)
    return _at_least(needs, "form.pitch", needs.parameters.form.pitch_mm, least)


def _signs_beside(needs: Needs, width_mm: float) -> bool:
    """Tell whether + and − find room beside the connector, towards the long edges."""
    need = needs.connector.top_mm + needs.sign_room + needs.aims.legend_edge_mm
    return width_mm / 2 >= need


def _hole_from_face(needs: Needs, width_mm: float) -> float:
    """Tell how far from the connector's edge the inboard hole lies."""
    behind = needs.sign_room + needs.aims.legend_part_mm
    signs = 0.0 if _signs_beside(needs, width_mm) else behind
    return needs.up_grid(needs.connector.right_mm + signs + needs.screw_room / 2 + MARGIN_MM)


def _hole_from_free_end(needs: Needs) -> float:
    edge = max(
        needs.screw_room / 2 + needs.aims.screw_edge_mm,
        needs.parameters.screw.hole_mm / 2 + needs.parameters.limits.hole_edge_mm + MARGIN_MM,
    )
    return needs.up_grid(edge)


def _led_from_hole(needs: Needs) -> float:
    """Tell the least distance of the end LEDs from the hole next to them: alike at both ends."""
    left, right = needs.left_of_led, needs.right_of_led
    if needs.parameters.form.rows > 1:
        trunk = needs.rail + 2 * needs.aims.pour_gap_mm
        # Where rails end on the ballasts' side, the return pour must pass between end and screw.
        tap = needs.parameters.resistor_part.pattern.land("1").x_mm + needs.ballast.along_mm
        end = needs.rail / 2 + needs.aims.pour_gap_mm + POUR_STRIP_MM - tap
        left, right = (left + trunk, right) if needs.up > 0 else (max(left, end), right + trunk)
    return needs.up_grid(needs.screw_room / 2 + max(left, right) + MARGIN_MM)
