"""Sites along the LEDs' line that are left free for screws: every so many-th."""

from collections.abc import Callable
from dataclasses import replace
from itertools import count as numbers
from itertools import groupby, islice

from boardgen.model.parameters import Parameters
from boardgen.model.plan import Plan, Sketch
from boardgen.model.sections import SITES


def taken(count: int, every: int) -> list[int]:
    """List the sites on which LEDs stand, numbered from 0.

    Examples
    --------
    >>> taken(7, 4)
    [0, 1, 2, 4, 5, 6, 8]
    """
    return list(islice((site for site in numbers() if (site + 1) % every), count))


def sites_in_all(count: int, every: int, *, closed: bool) -> int:
    """Tell how many sites there are with the free ones; round a closed line one may be the last."""
    whole = taken(count, every)[-1] + 1
    return whole + 1 if closed and not (whole + 1) % every else whole


def with_free_sites(
    form: Callable[[Parameters], Plan], parameters: Parameters, *, closed: bool
) -> Plan:
    """Plan a form with sites for LEDs and screws, and take out those of the screws."""
    mounting, light = parameters.mounting, parameters.light
    if mounting.at != SITES:
        return form(parameters)
    every = mounting.every
    total = sites_in_all(light.count, every, closed=closed)
    planned = form(replace(parameters, light=replace(light, count=total)))
    kept = taken(light.count, every)
    free = [site for site in range(total) if site not in kept]
    runs = tuple(len(list(run)) for _, run in groupby(kept, key=lambda site: site // every))

    def thinned(drawn: Sketch) -> Sketch:
        return replace(
            drawn,
            sites=tuple(drawn.sites[site] for site in kept),
            free_sites=tuple(drawn.sites[site] for site in free),
        )

    sketch, deeper = planned.sketch, planned.deeper
    assert sketch is not None  # noqa: S101 - forms along lines have one
    return replace(
        planned,
        chains=runs,
        spared=True,
        stretch=total / len(kept),
        goes_round=closed,
        sketch=lambda size_mm: thinned(sketch(size_mm)),
        deeper=_thinned(thinned, deeper) if deeper else None,
    )


def _thinned(
    thinned: Callable[[Sketch], Sketch], deeper: Callable[[float, float], Sketch]
) -> Callable[[float, float], Sketch]:
    return lambda size_mm, deeper_mm: thinned(deeper(size_mm, deeper_mm))
