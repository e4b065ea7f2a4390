"""How much of each face between the cells of a grid an area fills, measured along its outline.

A cell knows of an area only through its four faces, so that a narrow way counts with its true
width wherever it crosses a face, however wide the cells are.
"""

import numpy as np
import numpy.typing as npt

from boardgen.geometry.regions import Region

Floats = npt.NDArray[np.float64]


def openings(region: Region, x_nm: Floats, y_nm: Floats) -> tuple[Floats, Floats]:
    """Measure the filled share of every face inside a grid.

    Parameters
    ----------
    region : Region
        The area.
    x_nm, y_nm : arrays
        The lines of the grid, evenly spaced and rising; none should run along an edge of the area.

    Returns
    -------
    upright, level : arrays
        Shares from 0 to 1: of the faces that cells share with their right neighbours, and with
        those above them. Of nx by ny cells these are (nx - 1, ny) and (nx, ny - 1).
    """
    rings = [np.array(ring) for ring in region.rings_nm()]
    if not rings:
        columns, rows = len(x_nm) - 1, len(y_nm) - 1
        return np.zeros((columns - 1, rows)), np.zeros((columns, rows - 1))
    starts = np.vstack([ring[:-1] for ring in rings])
    ends = np.vstack([ring[1:] for ring in rings])
    upright = _filled(x_nm[1:-1], y_nm, starts, ends)
    level = _filled(y_nm[1:-1], x_nm, starts[:, ::-1], ends[:, ::-1])
    return upright, level.T


def _filled(lines: Floats, cuts: Floats, starts: Floats, ends: Floats) -> Floats:
    """Walk along lines of one first coordinate: the share of each piece between cuts inside.

    Each place where a line crosses an outline starts or ends what is inside, by turns.
    """
    line, at = _crossings(lines, starts, ends)
    order = np.lexsort((at, line))
    line, at = line[order], at[order]
    rank = np.arange(len(line)) - np.searchsorted(line, line)
    way = np.where(rank % 2, -1.0, 1.0)
    steps = (at - cuts[0]) / (cuts[1] - cuts[0])
    piece = np.clip(np.floor(steps).astype(int), 0, len(cuts) - 2)
    here = np.clip(piece + 1 - steps, 0.0, 1.0)
    change = np.zeros((len(lines), len(cuts)))
    np.add.at(change, (line, piece), way * here)
    np.add.at(change, (line, piece + 1), way * (1.0 - here))
    filled: Floats = np.clip(np.cumsum(change, axis=1)[:, :-1], 0.0, 1.0)
    return filled


def _crossings(lines: Floats, starts: Floats, ends: Floats) -> tuple[npt.NDArray[np.int_], Floats]:
    """List on which line, and where along it, the pieces of outlines cross lines."""
    low, high = np.minimum(starts[:, 0], ends[:, 0]), np.maximum(starts[:, 0], ends[:, 0])
    first = np.searchsorted(lines, low, "left")
    count = np.searchsorted(lines, high, "left") - first
    piece = np.repeat(np.arange(len(count)), count)
    line = np.arange(len(piece)) - np.repeat(np.cumsum(count) - count - first, count)
    begin, end = starts[piece], ends[piece]
    part = (lines[line] - begin[:, 0]) / (end[:, 0] - begin[:, 0])
    return line, begin[:, 1] + part * (end[:, 1] - begin[:, 1])
