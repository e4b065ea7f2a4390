"""Which cautions apply: each trigger of the catalogue is answered on every build."""

from collections.abc import Callable

from boardgen.model.cautions import Caution
from boardgen.model.circuit import Circuit
from boardgen.model.operation import Operation
from boardgen.model.parameters import Parameters

_BRIGHT_A = 0.010
_WARM_W_PER_CM2 = 0.05


def cautions(parameters: Parameters, circuit: Circuit, operation: Operation) -> tuple[Caution, ...]:
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
        "rechargeable": lambda: parameters.supply.kind == "rechargeable cell",
        "lithium cell": lambda: parameters.supply.kind == "lithium-ion cell",
        "strong supply": lambda: parameters.supply.strong,
        "damp place": lambda: parameters.board.place != "dry",
        "coin cell": lambda: parameters.supply.kind == "coin cell",
        "etched at home": lambda: parameters.limits.house.endswith("home-etched"),
        "made at home": lambda: parameters.limits.house.endswith(("home-etched", "milled")),
        "adapter": lambda: parameters.supply.kind in ("adapter", "usb", "own"),
        "warm": lambda: operation.worst_w_per_cm2 > _WARM_W_PER_CM2,
    }
    return tuple(caution for caution in parameters.cautions if answers[caution.trigger]())
