"""How far conductors of different voltage stay apart: IPC-2221B table 6-1, up to 60 V DC."""

from enum import StrEnum

SOURCE = "IPC-2221B table 6-1; B2 as read in secondary pages, B4 and A6 from memory"


class Cover(StrEnum):
    """What lies over the conductors; the letters are the table's columns."""

    BARE = "B2, external, uncoated, up to 3050 m"
    MASK = "B4, external, permanent polymer coating"
    LANDS = "A6, leads and terminations, uncoated"


_ROWS: tuple[tuple[float, dict[Cover, float]], ...] = (
    (15.0, {Cover.BARE: 0.1, Cover.MASK: 0.05, Cover.LANDS: 0.13}),
    (30.0, {Cover.BARE: 0.1, Cover.MASK: 0.05, Cover.LANDS: 0.25}),
    (50.0, {Cover.BARE: 0.6, Cover.MASK: 0.13, Cover.LANDS: 0.4}),
    (100.0, {Cover.BARE: 0.6, Cover.MASK: 0.13, Cover.LANDS: 0.5}),
)


def spacing_mm(voltage_v: float, cover: Cover) -> float:
    """Tell the least spacing of conductors for the voltage between them.

    Parameters
    ----------
    voltage_v : float
        DC volts or AC peak, up to 100.
    cover : Cover
        The table's column.

    Returns
    -------
    float
        Millimetres.

    Raises
    ------
    ValueError
        Above 100 V.

    Examples
    --------
    >>> spacing_mm(24.0, Cover.LANDS), spacing_mm(31.0, Cover.BARE)
    (0.25, 0.6)
    """
    for most_v, row in _ROWS:
        if voltage_v <= most_v:
            return row[cover]
    raise ValueError(f"{voltage_v:g} V is beyond the rows kept here")
