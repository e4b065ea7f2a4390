"""+ and − beside their lands, on every side: nobody connects a board that does not say."""

import math

from boardgen.errors import Change
from boardgen.forms.table import plan
from boardgen.layout.signs import SIGN_REACH_MM, sign_shifts
from boardgen.layout.writer import NoRoomError, Writer, without_measures
from boardgen.model.board import Part, PartKind, Side, Text, TextRole


def write_signs(writer: Writer) -> None:
    """Print + and − near their outermost lands on every side, outside the fitted block.

    Both stand alike; where tracks of one leave no room for that, each for itself, on its own side
    of the block.
    """
    for part in writer.board.parts:
        if part.kind.row.signed:
            _signs_of(writer, part)


def _signs_of(writer: Writer, part: Part) -> None:
    # Where the next board is joined a square land and a tongue tell + too; copper letters may go.
    optional = part.kind is PartKind.JOINT and not writer.parameters.printed
    for side in writer.rooms:
        placed = writer.place_first(_sign_choices(writer, part, side, alike=True)) or (
            writer.place_each(_sign_choices(writer, part, side, alike=False))
        )
        if not placed and not optional:
            raise _no_room_for_signs(writer, part, side)
        _inner_signs(writer, part, side)


def _sign_choices(writer: Writer, part: Part, side: Side, *, alike: bool) -> list[list[Text]]:
    aims, lands = writer.parameters.parts.limits.aims, part.pattern.lands
    shifts = sign_shifts(
        aims.sign_mm, aims.legend_part_mm, part.pattern, part.pose.turn_deg, alike=alike
    )
    return [
        [
            writer.text(
                side, TextRole.SIGN, letter,
                part.place(land.x_mm + math.copysign(outward, land.x_mm), inboard),
                aims.sign_mm, part.reference,
            )
            for land, letter in ((lands[0], "+"), (lands[-1], "−"))
        ]
        for inboard, outward in shifts
    ]  # fmt: skip


def _inner_signs(writer: Writer, part: Part, side: Side) -> None:
    """Print small signs behind or before the poles between the outermost, where there is room."""
    aims, body = writer.parameters.parts.limits.aims, part.pattern.body
    reach = aims.legend_part_mm + aims.text_mm
    writer.place_first(
        [
            writer.text(side, TextRole.NOTE, "+" if land.function == "+" else "−",
                        part.place(land.x_mm, level), aims.text_mm, part.reference)
            for land in part.pattern.lands[1:-1]
        ]
        for level in (body.top_mm + reach, 2.2, -2.2)
    )  # fmt: skip


def _no_room_for_signs(writer: Writer, part: Part, side: Side) -> NoRoomError:
    parameters, outline = writer.parameters, writer.board.outline
    places = parameters.mounting.chosen
    wider = math.ceil(outline.width_mm + 2 * parameters.parts.limits.aims.sign_mm)
    across = plan(parameters).keys.across
    path = "mounting.places" if places else across
    return NoRoomError(
        parameters.problem(
            path,
            what=f"+ and − find no room within {SIGN_REACH_MM:g} mm of the lands of"
            f" {part.reference}, on the {side.value}",
            remedy="move the screws away from the connector"
            if places
            else without_measures(parameters),
            offers=() if places else (Change(path=across, value=f'"{wider} mm"'),),
        ),
        width_mm=wider,
    )
