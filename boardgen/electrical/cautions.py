"""Which cautions apply: each trigger of the catalogue is answered on every build."""

from collections.abc import Callable

from boardgen.model.board import Board
from boardgen.model.cautions import Caution
from boardgen.model.circuit import Circuit
from boardgen.model.operation import Operation
from boardgen.model.parameters import Parameters

_BRIGHT_A = 0.010
_WARM_W_PER_CM2 = 0.05
_MM2_PER_CM2 = 100.0


def _warm(operation: Operation, board: Board) -> bool:
    area_cm2 = board.outline.length_mm * board.outline.width_mm / _MM2_PER_CM2
    return operation.worst_power_w / area_cm2 > _WARM_W_PER_CM2


def cautions(
    parameters: Parameters, circuit: Circuit, board: Board, operation: Operation
) -> tuple[Caution, ...]:
    """Select the cautions that this board calls for.

    Raises
    ------
    KeyError
        When the catalogue names a trigger that nothing answers.
    """
    bright = any(kind.high.current_a >= _BRIGHT_A for kind in circuit.kinds)
    answers: dict[str, Callable[[], bool]] = {
        "always": lambda: True,
        "bright": lambda: bright,
        "ultraviolet": lambda: parameters.led.data.colour == "uv",
        "primary cell": lambda: parameters.supply.kind in ("primary cell", "coin cell"),
        "coin cell": lambda: parameters.supply.kind == "coin cell",
        "etched at home": lambda: parameters.limits.house.endswith("home-etched"),
        "made at home": lambda: parameters.limits.house.endswith(("home-etched", "milled")),
        "adapter": lambda: parameters.supply.kind in ("adapter", "usb", "own"),
        "warm": lambda: _warm(operation, board),
    }
    return tuple(caution for caution in parameters.cautions if answers[caution.trigger]())
