"""The parts of the supply's way in by their names, and the nets between them."""

from boardgen.model.board import PartKind
from boardgen.model.circuit import INPUT_NET, SUPPLY_NET, Inlet, Net, NetRole
from boardgen.model.parameters import Parameters
from boardgen.model.parts import Guard


def way_in(parameters: Parameters) -> Inlet:
    """Name connector, guards and switch in the order in which the current passes them."""
    guards = tuple(_name(guard, parameters.light.count) for guard in parameters.own_guards)
    switch = f"{PartKind.SWITCH.row.letter}1" if parameters.parts.switch else None
    return Inlet(
        connector=f"{PartKind.CONNECTOR.row.letter}1",
        guards=guards,
        switch=switch,
        nets=supply_line(len(guards) + (switch is not None)),
    )


def _name(guard: Guard, leds: int) -> str:
    kind = PartKind(guard.kind)
    return apart(leds) if kind is PartKind.DIODE else f"{kind.row.letter}1"


def supply_line(parts: int) -> tuple[Net, ...]:
    """Name what lies before, between and behind the parts of the supply line.

    Examples
    --------
    >>> [[net.name for net in supply_line(parts)] for parts in (0, 2)]
    [['V+'], ['IN+', 'IN+.1', 'V+']]
    """
    before = [INPUT_NET if place == 0 else f"{INPUT_NET}.{place}" for place in range(parts)]
    return (
        *(Net(name=name, role=NetRole.INPUT) for name in before),
        Net(name=SUPPLY_NET, role=NetRole.SUPPLY),
    )


def apart(leds: int) -> str:
    """Name a diode that is no LED, so that nobody takes it for one: D101 beside up to 99 of them.

    Examples
    --------
    >>> apart(18), apart(100)
    ('D101', 'D1001')
    """
    return f"D{10 ** max(2, len(str(leds)))}"[:-1] + "1"
