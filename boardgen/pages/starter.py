"""A parameter file to start from: commented, and a board as it stands."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class _Use:
    words: str
    led: str
    count: int
    pitch: str
    current: str


_USES = {
    "night-light": _Use(
        words="a dim light to find the way by", led="warm white 2835", count=4, pitch="20 mm",
        current="0.5 mA",
    ),
    "indicator": _Use(
        words="a signal to look at", led="red 1206", count=3, pitch="15 mm", current="2 mA",
    ),
    "ambience": _Use(
        words="light for a mood, behind a diffuser", led="warm white 2835", count=8,
        pitch="20 mm", current="5 mA",
    ),
    "task": _Use(
        words="light to work by", led="white 2835", count=8, pitch="20 mm", current="15 mA",
    ),
}  # fmt: skip
"""Starting points; counts and pitches are own choices, currents those of the catalogue's uses."""

_TEXT = """\
# {title}: {words}
# Build it with: boardgen build {file}
# Every value has a default or is a name from: boardgen parts
format = 1

[board]
title    = "{title}"             # printed on the board
revision = "A"
# date   = "2026-01-31"          # day of the design, written into every file
# author = "your name or class"

[supply]
from = "usb 5 V 500 mA"          # a bought, tested supply; or from = "alkaline AA" with cells = 3,
                                 # or your own: low = "11.4 V", nominal = "12 V", high = "12.6 V"
                                 # with kind = "adapter", "bench", "battery" or "cells"
[light]
led   = "{led}"{pad}# colour and size; compare its lands with your data sheet
count = {count}
use   = "{use}"{use_pad}# sets {current} a branch; night-light | indicator | ambience | task
# in_series is chosen: boardgen explain lists every way, and why

[resistor]
size   = "1206"                  # inch code; metric 3216
series = "E12"                   # or drawer = ["150R", "220R"]: the values on hand

# [protection]
# fuse    = "500 mA resettable"   # a must for li-ion and other strong supplies
# reverse = "schottky"            # against a supply the wrong way round; or "p-channel"

[form]
kind  = "bar"
pitch = "{pitch}"                  # LED to LED
# rows = 2, width = "20 mm", length = "200 mm": all chosen when left out

[connector]
kind = "terminal 3.5 mm"
at   = "left"                    # left | right | middle
# switch = "slide switch"

[mounting]
screw = "M3"
at    = "ends"                   # ends | corners | none

[order]
house    = "first-time"          # ordinary | fine | first-time | home-etched | milled
mask     = "white"               # green where tracks shall be traced in class
quantity = 5
"""


def starter(use: str, file: str, title: str) -> str:
    """Write a starter file for a use.

    Parameters
    ----------
    use : str
        night-light, indicator, ambience or task.
    file : str
        Name of the file, for its first lines.
    title : str
        Printed on the board.
    """
    known = _USES[use]
    return _TEXT.format(
        title=title,
        words=known.words,
        file=file,
        led=known.led,
        pad=" " * (24 - len(known.led)),
        count=known.count,
        use=use,
        use_pad=" " * (24 - len(use)),
        current=known.current,
        pitch=known.pitch,
    )
