"""Measures across the bar: width, row pitch, distance from row to rail.

Rows lie evenly about the middle; the outer rail runs along the edge, each other rail at the same
distance from its row. So with half the width ``w``, the rail's distance from the edge ``c`` and the
rows' pitch ``p``, the rail's distance from its row is ``h = w - c - p (rows - 1) / 2``; where rows
have to lie nearer to one another than this leaves room for, the rails come in with them.
"""

from dataclasses import dataclass

from boardgen import units
from boardgen.forms.table import plan
from boardgen.layout.cell import MARGIN_MM
from boardgen.layout.rows.needs import Needs
from boardgen.tolerances import FLOAT_MM

_WIDTH_STEP_MM = 2.0
_OFFER_STEP_MM = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Across:
    """Width, row pitch (0 for one row) and distance from a row to its rail's centre line."""

    width_mm: float
    row_pitch_mm: float
    rail_from_row_mm: float


def across(needs: Needs) -> Across:
    """Decide the measures across the bar; what is too small is noted in ``needs.misfits``."""
    if needs.parameters.form.rows == 1:
        return _one_row(needs)
    return _many_rows(needs)


def _rail_from_edge(needs: Needs) -> float:
    return needs.band + needs.rail / 2


def _least_rail(needs: Needs) -> float:
    """Find the least distance from a row to its rail, asked for by the lands or the far edge."""
    lands = needs.lands_above
    if needs.parameters.copper.relief == "all":
        # Where the next part is near, one of the cathode's two spokes must reach the pour here.
        lands = max(lands, needs.led_half + needs.aims.chip_relief_gap_mm + _spoke_room(needs))
    lands += needs.aims.pour_gap_mm + needs.rail / 2
    return max(lands, _own_half(needs) - _rail_from_edge(needs))


def _spoke_room(needs: Needs) -> float:
    """Tell how much pour a spoke's end needs: what remains after its corners are rounded."""
    aims, least = needs.aims, needs.parameters.parts.limits.pour_width_mm
    return max(2 * aims.pour_corner_mm, least, aims.chip_spoke_mm) + MARGIN_MM


def _own_half(needs: Needs) -> float:
    """Tell what a row needs between its middle and the edge without a rail."""
    bare = needs.parts_below + needs.aims.part_edge_mm
    if needs.parameters.printed:
        return bare
    below = needs.copper_lines_in_all - needs.copper_lines_above
    return max(bare, needs.copper_marks_below + needs.copper_lines(below) + needs.edge)


def _between(needs: Needs) -> float:
    """Find the least distance from a row to the rail of the row below it."""
    below = needs.lands_below + needs.aims.pour_gap_mm
    if not needs.parameters.printed:
        below = needs.copper_marks_below
    pour = below + needs.aims.pour_gap_mm + needs.pour_strip
    return needs.rail / 2 + max(pour, needs.parts_below + needs.aims.pour_gap_mm)


def _least_outline(needs: Needs) -> float:
    """Find the least width for the connector and for the screw with the rail passing it."""
    least = 0.0
    if needs.at_end:
        corner = needs.band - needs.edge if needs.mounting == "corners" else 0.0
        least = 2 * (needs.connector_half + max(needs.aims.part_edge_mm, corner + needs.edge))
        least = max(least, 2 * (_outermost(needs) + needs.rail / 2 + needs.edge + MARGIN_MM))
    if needs.mounting == "ends":
        least = max(least, needs.screw_room + 2 * (needs.rail + needs.band + MARGIN_MM))
    return least


def _outermost(needs: Needs) -> float:
    """Tell how far the supply's tracks reach from the middle at an end, as they come in."""
    inlet = needs.inlet(signs_beside=True)
    return max(*inlet.plus_v_mm, inlet.on_v_mm, inlet.feed[1])


def _comfort(needs: Needs) -> float:
    """Find the least width with + and − beside the connector."""
    return max(_least_outline(needs), 2 * needs.sign_half if needs.at_end else 0.0)


def _at_least_width(needs: Needs, asked: float, least: float) -> float:
    if asked >= least - FLOAT_MM:
        return asked
    needs.misfits["form.width"] = units.up_to_step(least, _OFFER_STEP_MM)
    return needs.misfits["form.width"]


def _one_row(needs: Needs) -> Across:
    from_edge = _rail_from_edge(needs)
    least = max(2 * (_least_rail(needs) + from_edge), _least_outline(needs))
    asked = needs.parameters.form.width_mm
    if asked is None:
        width = units.up_to_step(max(least, _comfort(needs)), _WIDTH_STEP_MM)
    else:
        width = _at_least_width(needs, asked, least)
    return Across(width_mm=width, row_pitch_mm=0.0, rail_from_row_mm=width / 2 - from_edge)


def _many_rows(needs: Needs) -> Across:
    asked = plan(needs.parameters).between_mm
    least = _least_rail(needs) + _between(needs)
    if asked is not None and asked < least - FLOAT_MM:
        needs.misfits["form.row_pitch"] = asked = units.up_to_step(least, _OFFER_STEP_MM)
    if needs.parameters.form.width_mm is None:
        return _free_width(needs, asked)
    return _given_width(needs, needs.parameters.form.width_mm, asked)


def _free_width(needs: Needs, asked: float | None) -> Across:
    """Choose the width: roomy for letters and vias, or as the row pitch asked for allows."""
    rows, from_edge = needs.parameters.form.rows, _rail_from_edge(needs)
    roomy_rail = max(
        _least_rail(needs),
        needs.letters_and_via_below + needs.aims.part_edge_mm - from_edge,
    )
    if asked is None:
        below = needs.rail / 2 + needs.aims.pour_gap_mm + needs.letters_and_via_below
        pitch = units.up_to_step(roomy_rail + max(below, _between(needs)), 1.0)
        width = units.up_to_step(
            max((rows - 1) * pitch + 2 * (roomy_rail + from_edge), _comfort(needs)), _WIDTH_STEP_MM
        )
        return _given_width(needs, width, None)
    rail = min(roomy_rail, asked - _between(needs))
    width = max((rows - 1) * asked + 2 * (rail + from_edge), _least_outline(needs))
    # Rounded so that the outer rows lie on the grid.
    beside = units.up_to_step(width - (rows - 1) * asked, 2 * needs.aims.grid_mm)
    return _given_width(needs, (rows - 1) * asked + beside, asked)


def _given_width(needs: Needs, width_mm: float, asked: float | None) -> Across:
    """Choose the row pitch, or hold the one asked for against the width."""
    rows, from_edge = needs.parameters.form.rows, _rail_from_edge(needs)
    least_rail, between = _least_rail(needs), _between(needs)
    pitch = asked or least_rail + between
    least = max((rows - 1) * pitch + 2 * (least_rail + from_edge), _least_outline(needs))
    width = _at_least_width(needs, width_mm, least)
    reach = width / 2 - from_edge
    if asked is None:
        lowest = 2 * (reach + between) / (rows + 1)
        highest = 2 * (reach - least_rail) / (rows - 1)
        pitch = _even_pitch(needs, width, lowest, highest)
    else:
        lowest = 2 * (min(reach, _passing(needs)) + between) / (rows + 1)
        if asked < lowest - FLOAT_MM:
            needs.misfits["form.row_pitch"] = pitch = units.up_to_step(lowest, _OFFER_STEP_MM)
    return Across(
        width_mm=width,
        row_pitch_mm=pitch,
        rail_from_row_mm=min(reach - pitch * (rows - 1) / 2, pitch - between),
    )


def _passing(needs: Needs) -> float:
    """Find the least distance of the outer rail from the middle: beyond connector and screw."""
    passing = _outermost(needs) if needs.at_end else 0.0
    if needs.mounting == "ends":
        passing = max(passing, needs.screw_room / 2 + needs.rail / 2 + MARGIN_MM)
    return passing


def _even_pitch(needs: Needs, width_mm: float, lowest: float, highest: float) -> float:
    """Spread the rows evenly, on the grid where the bounds leave a step of it."""
    rows = needs.parameters.form.rows
    step = needs.aims.grid_mm * (2 if rows % 2 == 0 else 1)
    on_grid = units.to_step(width_mm / rows, step)
    bounded = min(max(on_grid, units.up_to_step(lowest, step)), units.down_to_step(highest, step))
    return bounded if bounded >= lowest - FLOAT_MM else lowest
