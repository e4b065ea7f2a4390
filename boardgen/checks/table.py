"""The table of rules: one row gives code, severity, source and the function."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from boardgen.checks import copper, electrical, holes, notes, parts, supply
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.limits import Limits

Check = Callable[[Design, Limits], Iterable[Finding]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule: its code (words, never reused), how much it weighs, where its limit comes from."""

    code: str
    severity: Severity
    source: str
    check: Check

    @property
    def title(self) -> str:
        """The first sentence of the rule's docstring."""
        return (self.check.__doc__ or "").partition("\n")[0]


_HOUSE = "house limits"
_OWN = "own choice"
_ERROR, _WARNING, _NOTE = Severity.ERROR, Severity.WARNING, Severity.INFORMATION


def _rule(code: str, severity: Severity, source: str, check: Check) -> Rule:
    return Rule(code=code, severity=severity, source=source, check=check)


RULES = (
    _rule("gap.copper", _ERROR, _HOUSE, copper.gap_copper),
    _rule("track.width", _ERROR, _HOUSE, copper.track_width),
    _rule("track.heat", _ERROR, "IPC-2221 curve fit", copper.track_heat),
    _rule("edge.copper", _ERROR, _HOUSE, copper.edge_copper),
    _rule("screw.room", _ERROR, "ISO 7045, ISO 7089 and play", copper.screw_room),
    _rule("hole.copper", _ERROR, _HOUSE, copper.hole_copper),
    _rule("heat.chip", _WARNING, "common practice", copper.heat_chip),
    _rule("relief.spokes", _ERROR, _HOUSE, copper.relief_spokes),
    _rule("net.whole", _ERROR, "the circuit", copper.net_whole),
    _rule("hole.size", _ERROR, _HOUSE, holes.hole_size),
    _rule("ring.plated", _ERROR, _HOUSE, holes.ring_plated),
    _rule("ring.unplated", _ERROR, _HOUSE, holes.ring_unplated),
    _rule("hole.spacing", _ERROR, _HOUSE, holes.hole_spacing),
    _rule("edge.hole", _ERROR, _HOUSE, holes.edge_hole),
    _rule("courtyard.overlap", _ERROR, "IPC-7351B courtyards", parts.courtyard_overlap),
    _rule("courtyard.edge", _ERROR, _OWN, parts.courtyard_edge),
    _rule("lands.reach", _ERROR, "the part's body", parts.lands_reach),
    _rule("legend.land", _ERROR, _HOUSE, parts.legend_land),
    _rule("legend.fine", _ERROR, _HOUSE, parts.legend_fine),
    _rule("legend.names", _NOTE, _OWN, parts.legend_names),
    _rule("legend.trimmed", _WARNING, _OWN, parts.legend_trimmed),
    _rule("polarity.mark", _ERROR, _OWN, parts.polarity_mark),
    _rule("polarity.signs", _ERROR, _OWN, parts.polarity_signs),
    _rule("power.ballast", _ERROR, "IEC 60115-8 practice", electrical.power_ballast),
    _rule("current.led", _ERROR, "the LED's data", electrical.current_led),
    _rule("current.connector", _ERROR, "the connector's data", electrical.current_connector),
    _rule("current.switch", _ERROR, "the switch's data", electrical.current_switch),
    _rule("current.guard", _ERROR, "the guard's data", electrical.current_guard),
    _rule("current.supply", _WARNING, "the supply's data", supply.current_supply),
    _rule("headroom.branch", _WARNING, "common practice", electrical.headroom_branch),
    _rule("rail.drop", _WARNING, _OWN, electrical.rail_drop),
    _rule("light.unlike", _NOTE, _OWN, electrical.light_unlike),
    _rule("light.uneven", _WARNING, "cosine-power law, an estimate", electrical.light_uneven),
    _rule("supply.touch", _WARNING, "common practice", supply.supply_touch),
    _rule("supply.fuse", _ERROR, "common practice", supply.supply_fuse),
    _rule("fuse.trips", _WARNING, "the fuse's data", supply.fuse_trips),
    _rule("fuse.drop", _WARNING, _OWN, supply.fuse_drop),
    _rule("fuse.fault", _NOTE, "the fuse's data", supply.fuse_fault),
    _rule("gate.low", _WARNING, "the transistor's data", supply.gate_low),
    _rule("supply.idle", _NOTE, "one measured power bank", supply.supply_idle),
    _rule("reverse.led", _NOTE, "the LED's data", supply.reverse_led),
    _rule("lands.typical", _NOTE, "the pattern's standing", notes.lands_typical),
    _rule("built.differs", _WARNING, "the circuit", notes.built_differs),
    _rule("stock.unused", _NOTE, _OWN, notes.stock_unused),
    _rule("date.unset", _NOTE, _OWN, notes.date_unset),
)


def check(design: Design) -> tuple[Finding, ...]:
    """Run every rule on a design.

    Returns
    -------
    tuple of Finding
        Worst first, then in the order of the table; the same fault at several places comes once
        for each place.
    """
    found = [
        replace(
            finding,
            code=rule.code,
            severity=finding.severity
            if finding.severity is not Severity.INFORMATION
            else rule.severity,
        )
        for rule in RULES
        for finding in rule.check(design, design.limits)
    ]
    order = list(Severity)
    return tuple(sorted(found, key=lambda finding: order.index(finding.severity)))
