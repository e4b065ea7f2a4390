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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    lines: str
    count: int | None = None
    ends: bool = False
    joins: bool = False


_PITCH = 'pitch = "{pitch}"                  # LED to LED\n'
_FORMS = {
    "bar": _Form(lines=f"""\
kind  = "bar"
{_PITCH}# rows = 2, width = "20 mm", length = "200 mm": all chosen when left out
""", ends=True, joins=True),
    "grid": _Form(lines=f"""\
kind  = "grid"                   # rows as far apart as columns, all LEDs facing one way
rows  = 3
{_PITCH}# row_pitch = "25 mm"            # rows further apart than columns
""", count=12, ends=True),
    "ring": _Form(lines=f"""\
kind  = "ring"                   # LEDs along a circle, each turned with it
{_PITCH}# hole = "30 mm"                 # an opening in the middle
# diameter = "90 mm"             # of the edge; chosen when left out
""", count=12),
    "arc": _Form(lines=f"""\
kind  = "arc"                    # a part of a circle
from  = "180 deg"                # counted from the right, counter-clockwise
to    = "0 deg"                  # 180 to 0: from the left over the top to the right
{_PITCH}# width = "20 mm"                # of the band; chosen when left out
""", count=12, joins=True),
    "polygon": _Form(lines=f"""\
kind  = "polygon"
sides = 6
{_PITCH}# fillet = "10 mm"               # how round the corners are
# hole = "30 mm"                 # an opening in the middle
""", count=12),
    "path": _Form(lines=f"""\
kind   = "path"                  # along a line of your own; closed = true ends where it begins
{_PITCH}points = [                       # x right, y up; the supply comes in at the first one
  ["0 mm", "0 mm"],
  ["90 mm", "0 mm"],
  ["90 mm", "60 mm"],
  ["180 mm", "60 mm"],
]
fillet = "16 mm"                 # how round its corners are
""", joins=True),
    "disc": _Form(lines=f"""\
kind  = "disc"                   # LEDs spread over a round board, all facing one way
{_PITCH}# filling = "concentric"         # or hexagonal
""", count=7),
    "word": _Form(lines="""\
kind   = "word"                  # LEDs along the strokes of letters, all facing one way
text   = "HI"                    # capital letters and digits
height = "45 mm"                 # of its letters
pitch  = "16 mm"                 # about: each stroke shares its LEDs out equally
# light.count has to be what the word takes: it is told if it is not
""", count=13),
    "places": _Form(lines="""\
kind   = "places"                # LEDs where a list has them
places = [                       # x right, y up, and which way the current passes the LED
  ["0 mm", "0 mm", "0 deg"],
  ["25 mm", "12 mm", "0 deg"],
  ["50 mm", "0 mm", "0 deg"],
  ["75 mm", "12 mm", "0 deg"],
]
""", count=4),
}  # fmt: skip
"""What a starter of each form says of it; sizes are own choices."""

FORM_NAMES = tuple(_FORMS)

_JOINT = """
# [joint]
# boards = 4                     # joined end to end: with connector.kind = "joint lands" they fit
"""
_ENDS = 'at    = "ends"                   # ends | corners | none'
_NOWHERE = '# places = [["10 mm", "10 mm"]]    # where its screws are'

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
{form}
[connector]
kind = "terminal 3.5 mm"
at   = "left"                    # left | right | middle
# switch = "slide switch"
{joint}
[mounting]
screw = "M3"
{mounting}

[order]
house    = "first-time"          # ordinary | fine | first-time | home-etched | milled
mask     = "white"               # green where tracks shall be traced in class
quantity = 5
"""


def starter(use: str, form: str, file: str, title: str) -> str:
    """Write a starter file for a use and a form.

    Parameters
    ----------
    use : str
        night-light, indicator, ambience or task.
    form : str
        One of ``FORM_NAMES``.
    file : str
        Name of the file, for its first lines.
    title : str
        Printed on the board.
    """
    known, drawn = _USES[use], _FORMS[form]
    return _TEXT.format(
        joint=_JOINT if drawn.joins else "",
        title=title,
        words=known.words,
        file=file,
        led=known.led,
        pad=" " * (24 - len(known.led)),
        count=drawn.count or known.count,
        use=use,
        use_pad=" " * (24 - len(use)),
        current=known.current,
        form=drawn.lines.replace("{pitch}", known.pitch),
        mounting=_ENDS if drawn.ends else _NOWHERE,
    )
