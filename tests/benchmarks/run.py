"""Ratios against a baseline in the same run; nothing here passes or fails.

Aims: the smallest build 4 x bare `import numpy, shapely` without and 10 x with proof; `--help` 2 x
bare `import click`; `explain` of 24 branches 2 x `--help` plus the imports that it needs; the
rules on 200 LEDs 5 x drawing their artwork; the proof of 1,000 LEDs 1.5 x pygerber parsing the same
files (asked for with the word `proof`: minutes); each stage of 100, 300 and 1,000 LEDs no faster
than n^1.2 (with the word `growth`); four times the LEDs on a ring, a path and in a word 6 x (with
the word `forms`). Byte code is cached, as it is after an installation.
"""

import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RUNS = 7

BUILD = """
from pathlib import Path
from boardgen.doors import read
from boardgen.designing import design_board
from boardgen.checks.table import check
from boardgen.outputs import export
from boardgen.export.package import package
from boardgen.pages.preview import previews
(parameters,) = read(Path({path!r}))
design = design_board(parameters)
check(design), previews(design)
files = export(design, fabrication=True)
package(parameters.name, files), export(design, fabrication=False)
"""
PROOF = """
from boardgen.readback.prove import prove
assert prove({file.path.rpartition("/")[2]: file.content for file in files}, design).holds
"""


EXPLAIN = "import numpy, boardgen.doors, boardgen.sums, boardgen.pages.sums_text"
"""With these comes everything that `explain` imports."""


def seconds(*command: str) -> float:
    """Time a command: the median of some runs, after one that fills the caches."""
    times = []
    env = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    for _ in range(RUNS + 1):
        start = time.perf_counter()
        subprocess.run([sys.executable, *command], check=True, capture_output=True, env=env)
        times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


def judged_200() -> tuple[float, float]:
    """Time drawing and judging a board of 200 LEDs in four rows: the least of three."""
    from boardgen.artwork.draw import draw  # noqa: PLC0415 - needs the path of main
    from boardgen.checks import areas  # noqa: PLC0415
    from boardgen.checks.table import judge  # noqa: PLC0415
    from boardgen.designing import design_board  # noqa: PLC0415
    from boardgen.geometry import polygons, pours  # noqa: PLC0415
    from tests.conftest import SHELF, merged, parameters_of  # noqa: PLC0415

    form = {"rows": 4, "pitch": "10 mm"}
    parameters = parameters_of(merged(SHELF, {"light": {"count": 200}, "form": form}))
    design = design_board(parameters)
    drawn, checked = [], []
    for _ in range(3):
        # What one run keeps would flatter the next.
        polygons.polygon.cache_clear()
        polygons.skeleton.cache_clear()
        start = time.perf_counter()
        draw(parameters, design.board)
        drawn.append(time.perf_counter() - start)
        for kept in (
            pours.filled_of,
            areas.shown_of,
            areas.pour_edge_of,
            areas.thin_of,
            areas.fingers_of,
        ):
            kept.cache_clear()
        start = time.perf_counter()
        judge(design)
        checked.append(time.perf_counter() - start)
    return min(drawn), min(checked)


def proven_1000() -> tuple[float, float]:
    """Time the proof of a board of 1,000 LEDs, and pygerber's parsing of its Gerber files."""
    import warnings  # noqa: PLC0415

    from boardgen.designing import design_board  # noqa: PLC0415 - needs the path of main
    from boardgen.outputs import export  # noqa: PLC0415
    from boardgen.readback.prove import prove  # noqa: PLC0415
    from tests.conftest import SHELF, merged, parameters_of  # noqa: PLC0415

    form = {"rows": 10, "pitch": "10 mm"}
    design = design_board(parameters_of(merged(SHELF, {"light": {"count": 1000}, "form": form})))
    files = {f.path.rpartition("/")[2]: f.content for f in export(design, fabrication=True)}
    start = time.perf_counter()
    assert prove(files, design).holds
    proven = time.perf_counter() - start
    warnings.simplefilter("ignore", DeprecationWarning)
    from pygerber.gerber.parser.pyparsing.parser import Parser  # noqa: PLC0415

    parser = Parser()
    start = time.perf_counter()
    for name, content in files.items():
        if name.endswith(".gbr"):
            parser.parse(content.decode())
    return proven, time.perf_counter() - start


SIZES = (100, 300, 1000)


def growth() -> None:
    """Print how the time of each stage grows with the LEDs in ten rows: n to the power of what."""
    from boardgen.artwork.draw import draw  # noqa: PLC0415 - needs the path of main
    from boardgen.checks.table import judge  # noqa: PLC0415
    from boardgen.designing import design_board  # noqa: PLC0415
    from boardgen.electrical.operate import operate  # noqa: PLC0415
    from boardgen.electrical.size import size  # noqa: PLC0415
    from boardgen.layout.any_form import lay_out  # noqa: PLC0415
    from tests.conftest import SHELF, merged, parameters_of  # noqa: PLC0415

    spent: dict[str, list[float]] = {}
    stages: dict[str, Callable[[], object]]
    for count in SIZES:
        text = merged(SHELF, {"light": {"count": count}, "form": {"rows": 10, "pitch": "10 mm"}})
        parameters = parameters_of(text)
        circuit = size(parameters)
        board = lay_out(parameters, circuit)
        design = design_board(parameters)
        stages = {
            "size": partial(size, parameters),
            "lay out": partial(lay_out, parameters, circuit),
            "operate": partial(operate, parameters, circuit, board),
            "draw": partial(draw, parameters, board),
            "judge": partial(judge, design),
        }
        for name, stage in stages.items():
            start = time.process_time()
            stage()
            spent.setdefault(name, []).append(time.process_time() - start)
    for name, times in spent.items():
        power = math.log(times[-1] / times[0]) / math.log(SIZES[-1] / SIZES[0])
        seconds_each = " / ".join(f"{value:.2f}" for value in times)
        print(f"{name:<10} {seconds_each} s for {SIZES}: n^{power:.2f} (aim 1.2)")  # noqa: T201


def main() -> None:
    """Measure and print."""
    sys.path.insert(0, str(ROOT))
    from tests.conftest import SHELF, SMALLEST, merged  # noqa: PLC0415 - needs the path above

    if sys.argv[1:] == ["growth"]:
        growth()
        return
    if sys.argv[1:] == ["forms"]:
        forms()
        return
    if sys.argv[1:] == ["proof"]:
        tell("the proof of 1,000 LEDs / pygerber's parsing", *proven_1000(), 1.5)
        return

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "smallest.toml"
        path.write_text(SMALLEST, encoding="utf-8")
        build = BUILD.format(path=str(path))
        bare = seconds("-c", "import numpy, shapely")
        click = seconds("-c", "import click")
        long = Path(folder) / "long.toml"
        long.write_text(merged(SHELF, {"light": {"count": 24}}), encoding="utf-8")
        needed = seconds("-m", "boardgen", "--help") + seconds("-c", EXPLAIN)
        explained = seconds("-m", "boardgen", "explain", str(long))
        drawn, checked = judged_200()
        rows = (
            ("the rules on 200 LEDs / drawing their artwork", checked, drawn, 5),
            ("smallest build without proof / numpy, shapely", seconds("-c", build), bare, 4),
            ("smallest build with proof / numpy, shapely", seconds("-c", build + PROOF), bare, 10),
            ("boardgen --help / click", seconds("-m", "boardgen", "--help"), click, 2),
            ("explain of 24 branches / --help and its imports", explained, needed, 2.5),
        )
    for row in rows:
        tell(*row)


FORM = """[board]\ntitle = "x"\n[supply]\nfrom = "usb 5 V"\n[light]\nled = "red 0805"
count = 12\ncurrent = "5 mA"\n[form]\nkind = "ring"\npitch = "16 mm"\n"""
FORM_SIZES: dict[str, tuple[tuple[int, dict[str, object]], ...]] = {
    "a ring of 60 LEDs / of 15": ((15, {}), (60, {})),
    "a path with 200 LEDs / with 50": tuple(
        (count, {"kind": "path", "points": [
            ["0 mm", "0 mm"], [f"{7 * count} mm", "0 mm"], [f"{7 * count} mm", f"{5 * count} mm"],
            ["0 mm", f"{5 * count} mm"],
        ]})
        for count in (50, 200)
    ),
    "a word of 12 letters / of 3, its margin given": tuple(
        (count, {"kind": "word", "text": text, "margin": "18 mm"})
        for count, text in ((23, "LAB"), (92, "LABSUNTEAOWL"))
    ),
    "a word of 12 letters / of 3, its margin found": tuple(
        (count, {"kind": "word", "text": text})
        for count, text in ((23, "LAB"), (92, "LABSUNTEAOWL"))
    ),
}  # fmt: skip


def forms() -> None:
    """Time drawing four times as many LEDs on a ring, a path and in a word: 4 is linear.

    An edge that has to be found takes two to six tries at ways for all tracks, whatever the size.
    """
    from boardgen.designing import draw_board  # noqa: PLC0415
    from tests.conftest import merged, parameters_of  # noqa: PLC0415

    for name, (small, large) in FORM_SIZES.items():
        spent = []
        for count, form in (small, large):
            text = merged(FORM, {"light": {"count": count}, "form": form})
            parameters = parameters_of(text)
            start = time.process_time()
            draw_board(parameters)
            spent.append(time.process_time() - start)
        tell(name, spent[1], spent[0], 6)


def tell(name: str, value: float, baseline: float, aim: float) -> None:
    """Print a ratio with its plain seconds."""
    ratio = value / baseline
    print(f"{name:<50} {value:6.3f} s / {baseline:.3f} s = {ratio:5.2f} (aim {aim})")  # noqa: T201


if __name__ == "__main__":
    main()
