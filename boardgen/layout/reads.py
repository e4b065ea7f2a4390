"""What layouts take from a circuit, so that none is made twice."""

from collections.abc import Iterator

from boardgen.layout.rails import rail_widths
from boardgen.layout.spokes import lead_spoke_mm
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters


def measures_of(parameters: Parameters, circuit: Circuit) -> tuple[object, ...]:
    """Give all that layouts take from a circuit, but for the words on the back."""
    return tuple(_read(parameters, circuit))


def _read(parameters: Parameters, circuit: Circuit) -> Iterator[object]:
    yield circuit.inlet
    yield tuple(rail_widths(parameters, circuit))
    yield from (lead_spoke_mm(parameters, circuit, split=split) for split in (False, True))
    for branch in circuit.branches:
        kind = branch.kind
        yield branch.number, branch.first_site, branch.ballasts, branch.leds, branch.nets
        yield kind.led, kind.leds, kind.ballast.value_ohm, kind.ballast.count
