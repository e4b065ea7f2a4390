"""Which cautions apply: each trigger of the catalogue is answered on every build."""

from collections.abc import Callable, Iterable

from boardgen.model.cautions import Caution
from boardgen.model.circuit import Circuit
from boardgen.model.parameters import Parameters
from boardgen.model.parts import SupplyKind

_BRIGHT_A = 0.010
_PRIMARY = (SupplyKind.PRIMARY, SupplyKind.BLOCK, SupplyKind.COIN)
_BOUGHT = (SupplyKind.ADAPTER, SupplyKind.USB, SupplyKind.UNSAID)


def cautions(
    known: Iterable[Caution], parameters: Parameters, circuit: Circuit
) -> tuple[Caution, ...]:
    """Select from all that are known the cautions that this board calls for.

    Raises
    ------
    KeyError
        When the catalogue names a trigger that nothing answers.
    """
    bright = any(kind.high.current_a >= _BRIGHT_A for kind in circuit.kinds)
    supply, house = parameters.parts.supply, parameters.parts.limits.house
    answers: dict[str, Callable[[], bool]] = {
        "always": lambda: True,
        "bright": lambda: bright,
        "ultraviolet": lambda: any(
            one.led.data.colour == "uv" for one in parameters.parts.emitters
        ),
        "primary cell": lambda: supply.kind in _PRIMARY,
        "cells of any kind": lambda: supply.kind is SupplyKind.CELLS,
        "rechargeable": lambda: supply.kind is SupplyKind.RECHARGEABLE,
        "lithium cell": lambda: supply.kind is SupplyKind.LITHIUM,
        "battery": lambda: supply.kind is SupplyKind.BATTERY,
        "strong supply": lambda: supply.strong,
        "damp place": lambda: parameters.board.place != "dry",
        "coin cell": lambda: supply.kind is SupplyKind.COIN,
        "etched at home": lambda: house.endswith("home-etched"),
        "made at home": lambda: house.endswith(("home-etched", "milled")),
        "adapter": lambda: supply.kind in _BOUGHT,
        "bench supply": lambda: supply.kind is SupplyKind.BENCH,
        "warm": lambda: circuit.warmth.board_degc > parameters.parts.limits.hold_degc,
    }
    return tuple(caution for caution in known if answers[caution.trigger]())
