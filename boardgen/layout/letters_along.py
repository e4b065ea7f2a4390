"""Words in copper as the board's line runs, where upright ones find no room."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from boardgen.forms.table import plan
from boardgen.geometry.ground import Places
from boardgen.layout.words import LINE_STEP_MM, CopperWords
from boardgen.layout.writer import Writer, from_the_middle
from boardgen.model.board import Side, TextRole
from boardgen.model.pose import Pose
from boardgen.model.spine import Spine

_STEP_MM = 1.0
_FAR_MM = 30.0
"""Across a line words are looked for so far: further off they would not seem to follow it."""


def place_along(writer: Writer, block: Sequence[CopperWords], clear_mm: float) -> bool:
    """Set words one below the other at the first free place beside a line, turned as it runs.

    From the edge away from the rail inwards, the line's middle first; never upside down.
    """
    wide = max(word.size_mm[0] for word in block) + 2 * clear_mm
    deep = sum(word.size_mm[1] + 2 * clear_mm for word in block)
    room = writer.rooms[Side.TOP]
    # Where LEDs stand by themselves, or face out of their line, words have none to follow.
    for spine in () if plan(writer.parameters).routed else writer.board.spines:
        xs, ys, turns = beside(spine, writer.up)
        free = room.free_turned(xs, ys, turns, (wide, deep))
        if free.any():
            at = free.argmax()
            pose = Pose(x_mm=float(xs[at]), y_mm=float(ys[at]), turn_deg=float(turns[at]))
            room.take_turned(pose, (wide - 2 * clear_mm, deep - 2 * clear_mm))
            _write(writer, block, pose, clear_mm)
            return True
    return False


def beside(spine: Spine, up: int) -> tuple[Places, Places, Places]:
    """List places beside a line, the best first, with the angle at which words read there."""
    ways = from_the_middle(spine.length_mm, _STEP_MM) or [spine.length_mm / 2]
    poses = [spine.pose(along) for along in ways]
    x, y, turn = np.array([(pose.x_mm, pose.y_mm, pose.turn_deg) for pose in poses]).T
    across = -up * np.arange(_FAR_MM, -_FAR_MM, -LINE_STEP_MM)[:, None]
    xs, ys = x - across * np.sin(np.radians(turn)), y + across * np.cos(np.radians(turn))
    reading = 90.0 - (90.0 - turn) % 180.0
    return xs.ravel(), ys.ravel(), np.broadcast_to(reading, xs.shape).ravel()


def _write(writer: Writer, block: Sequence[CopperWords], pose: Pose, clear_mm: float) -> None:
    top = sum(word.size_mm[1] + 2 * clear_mm for word in block) / 2
    for word in block:
        half = word.size_mm[1] / 2 + clear_mm
        at = pose.place(0.0, top - half)
        text = writer.text(Side.TOP, TextRole.PAGE, word.text, at, word.height_mm)
        writer.texts.append(replace(text, turn_deg=pose.turn_deg))
        top -= 2 * half
