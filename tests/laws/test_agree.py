"""The law of agreement: six files say where an LED's poles lie, and none knows of the others.

Each is read here by a reader of a few lines: placement list (x, y, turn), netlist (IPC-D-356: pins
at places), copper (flashes with pin attributes, Gerber X2), legend (the bar of what is named by
%TO.C), solid (glTF, read by trimesh), slanting view (SVG paths). That pin 1 of an LED is its
cathode, left at 0 degrees, is IPC-7351's convention (from memory); how the slanting view looks at a
board is our own. That the other pictures agree the proof holds: they are part of it.
"""

import csv
import io
import math
import os
import re
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from statistics import fmean
from traceback import format_exc

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, Phase, given, seed, settings

from boardgen import build
from boardgen.build import Built, build_board
from boardgen.checks.table import judge
from boardgen.designing import draw_board
from boardgen.errors import RefusalError
from boardgen.model.board import PartKind
from boardgen.pages.bodies import BLACK
from boardgen.pages.solid import solid_file
from boardgen.reading.parameters import parse
from tests.laws.strategies import form_files
from tests.test_solid import trimesh_colour

At = tuple[float, float]
MANY = int(os.environ.get("BOARDGEN_EXAMPLES", "1000"))
SHARE = 10
ROUNDED_MM = 0.0021
"""Lists and netlist tell micrometres; two of them may both be rounded."""


def text_of(built: Built, ending: str) -> str:
    (file,) = [file for file in built.files if file.path.endswith(ending)]
    return file.content.decode()


def listed(built: Built) -> dict[str, tuple[At, float]]:
    rows = csv.DictReader(io.StringIO(text_of(built, "placement.csv")))
    return {
        row["reference"]: ((float(row["x_mm"]), float(row["y_mm"])), float(row["rotation_deg"]))
        for row in rows
    }


def pins(built: Built) -> dict[tuple[str, str], At]:
    """Read the netlist: reference, pin and place of each land, in micrometres."""
    found = re.findall(
        r"^3[12]7.{17}(\S+) +-(\S+) .*?X([+-]\d+)Y([+-]\d+)", text_of(built, ".ipc"), re.MULTILINE
    )
    return {(part, pin): (int(x) / 1e3, int(y) / 1e3) for part, pin, x, y in found}


def flashes(built: Built) -> dict[tuple[str, str], At]:
    """Read the copper: what is flashed while a pin's attribute stands."""
    found: dict[tuple[str, str], At] = {}
    pin: tuple[str, str] | None = None
    for line in text_of(built, "copper-top.gbr").splitlines():
        if named := re.match(r"%TO\.P,([^,*]+),([^,*]+)", line):
            pin = (named[1], named[2])
        elif line.startswith("%TD"):
            pin = None
        elif (at := re.match(r"X(-?\d+)Y(-?\d+)D03\*", line)) and pin:
            found.setdefault(pin, (int(at[1]) / 1e6, int(at[2]) / 1e6))
    return found


def drawn_marks(built: Built) -> dict[str, list[tuple[str, At, At]]]:
    """Read the legend: the lines of each part, with the tool that draws them."""
    found: dict[str, list[tuple[str, At, At]]] = {}
    part, tool, here = "", "", (0.0, 0.0)
    for line in text_of(built, "legend-top.gbr").splitlines():
        if named := re.match(r"%TO\.C,([^*]+)\*%", line):
            part = named[1]
        elif line.startswith("%TD"):
            part = ""
        elif re.match(r"D\d\d+\*", line):
            tool = line
        elif at := re.match(r"X(-?\d+)Y(-?\d+)D0([12])\*", line):
            there = (int(at[1]) / 1e6, int(at[2]) / 1e6)
            if at[3] == "1" and part:
                found.setdefault(part, []).append((tool, here, there))
            here = there
    return found


def solid_marks(built: Built) -> dict[str, tuple[At, float]]:
    """Read the solid: each LED's black mark, its corners' mean, its height over the board's face.

    Lengths are metres and y points upwards (glTF).
    """
    thick = built.design.parameters.order.thickness_mm
    scene = trimesh.load_scene(io.BytesIO(solid_file(built.design).content), file_type="glb")
    dark, found = trimesh_colour(BLACK), dict[str, tuple[At, float]]()
    for name, mesh in scene.geometry.items():
        part = name.partition(".")[0]
        if re.fullmatch(r"D\d+", part) and tuple(mesh.visual.material.baseColorFactor) == dark:
            corners = np.unique(np.round(mesh.vertices * 1e3, 6), axis=0)
            top = corners[corners[:, 1] >= corners[:, 1].max() - 1e-6]
            x, up, away = top.mean(axis=0).tolist()
            found[part] = ((x, -away), up - thick)
    return found


def slanting_marks(built: Built) -> list[At]:
    """Read the slanting view: the middles of its black shapes of three or four corners."""
    found = []
    for path in re.findall(rf'<path[^>]*fill="{BLACK}"[^>]*>', text_of(built, "oblique.svg")):
        (chain,) = re.findall(r' d="M([^"]*)Z"', path)
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", chain)]
        found.append((fmean(numbers[0::2]), fmean(numbers[1::2])))
    return found


def near(one: At, other: At, within: float, *said: object) -> None:
    assert math.dist(one, other) < within, (one, other, *said)


def holds(built: Built) -> None:
    leds = [p.reference for p in built.design.board.parts if p.kind is PartKind.LED]
    list_says, net_says, copper_says = listed(built), pins(built), flashes(built)
    solid_says = solid_marks(built)
    for led in leds:
        (x, y), turn = list_says[led]
        cathode, anode = net_says[led, "1"], net_says[led, "2"]
        for pin in ("1", "2"):
            near(net_says[led, pin], copper_says[led, pin], ROUNDED_MM, led, pin, "copper")
        apart = math.dist(cathode, anode)
        seen = math.degrees(math.atan2(cathode[1] - anode[1], cathode[0] - anode[0]))
        off = math.remainder(seen - turn - 180.0, 360.0)
        assert abs(off) < math.degrees(2 * ROUNDED_MM / apart) + 0.01, (led, seen, turn)
        near((x, y), ((cathode[0] + anode[0]) / 2, (cathode[1] + anode[1]) / 2), apart, led)
        mark, _ = solid_says[led]
        marked = built.design.board.part(led).pattern.marked_land
        poles = {"1": cathode, "2": anode}
        assert min(poles, key=lambda pin: math.dist(mark, poles[pin])) == marked, (led, "solid")
        near(mark, (x, y), apart, led, "solid")
    if built.design.parameters.printed:
        marks = drawn_marks(built)
        for led in leds:
            bars(led, marks[led], net_says[led, "1"], net_says[led, "2"])
    if list(slanted(built, solid_says)):
        shapes = slanting_marks(built)
        for led, at in slanted(built, solid_says):
            assert min(math.dist(at, shape) for shape in shapes) < 0.05, (led, "oblique")


def bars(led: str, lines: list[tuple[str, At, At]], cathode: At, anode: At) -> None:
    """One bar alone, of a tool of its own, lies beside the cathode: across, and beyond it."""
    tools = [tool for tool, *_ in lines]
    (bar,) = [(one, two) for tool, one, two in lines if tools.count(tool) == 1]
    middle = ((bar[0][0] + bar[1][0]) / 2, (bar[0][1] + bar[1][1]) / 2)
    along = (cathode[0] - anode[0], cathode[1] - anode[1])
    across = (bar[1][0] - bar[0][0]) * along[0] + (bar[1][1] - bar[0][1]) * along[1]
    # Poles are told in micrometres: those of the smallest LEDs lie less than a millimetre apart.
    assert abs(across) < ROUNDED_MM * math.dist(*bar) + 1e-4, (led, "askew", across)
    assert math.dist(middle, cathode) < math.dist(middle, anode), (led, "legend")


def slanted(built: Built, marks: dict[str, tuple[At, float]]) -> Iterator[tuple[str, At]]:
    """Carry marks into the slanting view: turned so that the connector's wires come from below.

    Sine and cosine of 38 degrees shorten depth and height.
    """
    (connector,) = [p for p in built.design.board.parts if p.kind is PartKind.CONNECTOR]
    if connector.side.value != "top":
        return
    turn = -math.radians(listed(built)[connector.reference][1])
    for led, ((x, y), high) in marks.items():
        u = x * math.cos(turn) - y * math.sin(turn)
        v = x * math.sin(turn) + y * math.cos(turn)
        yield led, (u, -0.62 * v - 0.78 * high)


def run(share: int, examples: int) -> int:
    built_ones, faults = [0], list[str]()

    @seed(share)
    @settings(max_examples=examples, deadline=None, database=None, phases=[Phase.generate],
              suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(form_files())
    def law(text: str) -> None:
        try:
            built = build_board(parse(text, file="bar.toml", name="bar"))
            if built.proof is None:
                return  # errors of the circuit: no files
            assert built.proof.holds
            holds(built)
        except RefusalError:
            return
        except Exception:  # noqa: BLE001 - one board hides no others
            faults.append(f"{text}\n{format_exc()}")
        built_ones[0] += 1

    with pytest.MonkeyPatch.context() as quick:  # offers are not held here, and take longest
        quick.setattr(build, "design_board", draw_board)
        quick.setattr(build, "judge_board", judge)
        law()
    assert not faults, "\n\n".join(faults)
    return built_ones[0]


@pytest.mark.thorough
def test_all_files_agree_where_poles_lie() -> None:
    assert run(0, 8) > 2


@pytest.mark.slow
def test_of_a_thousand_random_boards_all_files_agree() -> None:
    """As many boards as BOARDGEN_EXAMPLES says, each built and proven, in shares over all cores."""
    made = 0
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as workers:
        for found in workers.map(run, range(1, MANY), [SHARE] * MANY, chunksize=1):
            made += found
            print(made, flush=True)  # noqa: T201 - the marked run takes an hour
            if made >= MANY:
                workers.shutdown(cancel_futures=True)
                break
    assert made >= MANY
