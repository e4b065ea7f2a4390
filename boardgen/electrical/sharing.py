"""Why each branch has a ballast of its own: what one resistor for all would do."""

from collections.abc import Sequence

from boardgen import units
from boardgen.electrical.leds import bins
from boardgen.errors import Change, RefusalError
from boardgen.model.circuit import Branch, Feed
from boardgen.model.parameters import Parameters
from boardgen.standards.diode import Diode, operating_current_a

_NO_RESISTOR_OHM = 1e-6
_HALVINGS = 100


def shared_currents_a(
    diodes: Sequence[Diode], supply_v: float, leds: int, resistance_ohm: float
) -> tuple[float, ...]:
    """Find how parallel strings of LEDs share the current of one common resistor.

    The common node settles where Vs − V = R·ΣI(V); ΣI rises with V, so halving finds it.
    """
    low, high = 0.0, supply_v
    for _ in range(_HALVINGS):
        node = (low + high) / 2
        total = sum(_branch_a(diode, node, leds) for diode in diodes)
        low, high = (node, high) if supply_v - node > resistance_ohm * total else (low, node)
    return tuple(_branch_a(diode, low, leds) for diode in diodes)


def _branch_a(diode: Diode, node_v: float, leds: int) -> float:
    return float(operating_current_a(diode, node_v, leds, _NO_RESISTOR_OHM))


def refuse_shared(parameters: Parameters, feed: Feed, branches: Sequence[Branch]) -> None:
    """Refuse one resistor for all branches, with what it would do to two of this board's.

    Raises
    ------
    RefusalError
        When ``resistor.shared`` is true and there is more than one branch.
    """
    if not parameters.resistor.shared or len(branches) == 1:
        return
    kind = branches[0].kind
    curves = bins(kind.led)
    ohms = kind.nominal.resistance_ohm
    pair = (curves.least, curves.most)
    common = shared_currents_a(pair, feed.nominal_v, kind.leds, ohms / 2)
    own = [float(operating_current_a(diode, feed.nominal_v, kind.leds, ohms)) for diode in pair]
    first, second = (" and ".join(units.engineering(amps, "A") for amps in currents)
                     for currents in (common, own))  # fmt: skip
    raise RefusalError(
        parameters.problem(
            "resistor.shared",
            what="one resistor for all branches leaves their currents undefined: of two branches"
            f" at the ends of the LED's forward voltage, behind {ohms / 2:g} ohm together, flow"
            f" {first}; behind {ohms:g} ohm each, {second}",
            offers=(
                Change(path="resistor.shared", value="false", note="each branch gets its own"),
            ),
        )
    )
