"""The table of rules: one row gives code, severity, source and the function."""

import inspect
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from boardgen.checks import (
    copper,
    electrical,
    files,
    holes,
    joints,
    legend,
    light,
    looks_copper,
    looks_letters,
    looks_parts,
    mask,
    nets,
    notes,
    outline,
    parts,
    polarity,
    relief,
    supply,
    waivers,
)
from boardgen.checks.minima import measured_minima
from boardgen.forms.table import plan
from boardgen.model.artwork import LayerKind
from boardgen.model.board import PartKind
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Judgement, RuleText, Severity, Skipped

Gate = Callable[[Design], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule: its code (words, never reused), how much it weighs, where its limit comes from.

    ``implied`` lists the codes that the same fault may bring along, and nothing else may.
    ``absent`` tells why there is nothing to look at on a board; empty when there is.
    """

    code: str
    severity: Severity
    source: str
    check: Callable[..., Iterable[Finding]]
    implied: tuple[str, ...] = ()
    absent: Gate = lambda _: ""

    @property
    def title(self) -> str:
        """The first sentence of the rule's docstring."""
        return (self.check.__doc__ or "").partition("\n")[0]

    @property
    def family(self) -> str:
        """What the rule is about: the first word of its code."""
        return self.code.partition(".")[0]


def _without(words: str, needed: Callable[[Design], object]) -> Gate:
    return lambda design: "" if needed(design) else words


def _kinds(*kinds: LayerKind) -> Callable[[Design], object]:
    return lambda design: [layer for layer in design.artwork.layers if layer.kind in kinds]


def _parts(kind: PartKind) -> Callable[[Design], object]:
    return lambda design: [part for part in design.board.parts if part.kind is kind]


_MASK = _without("there is no mask", _kinds(LayerKind.MASK))
_LEGEND = _without("nothing is printed", _kinds(LayerKind.LEGEND))
_SCREWS = _without("there are no screws", lambda design: design.board.holes)
_PLATED = _without(
    "no hole is plated", lambda design: [hole for hole in design.artwork.holes if hole.plated]
)
_UNPLATED = _without("holes of leads are plated", lambda design: design.artwork.coppers()[1:] == ())
_ONE_SIDE = _without("both sides carry copper", lambda design: len(design.artwork.coppers()) == 1)
_RELIEF = _without("no land has a relief", lambda design: design.parameters.copper.relief != "none")
_SWITCH = _without("there is no switch", _parts(PartKind.SWITCH))
_GUARD = _without("there is no guard", lambda design: design.parameters.parts.guards)
_FUSE = _without("there is no fuse", lambda design: design.parameters.parts.fuse)
_GATE = _without(
    "no transistor guards the supply",
    lambda design: design.parameters.parts.reverse and design.parameters.parts.reverse.gate_v,
)
_DIFFUSER = _without(
    "no diffuser is given", lambda design: design.parameters.light.diffuser_mm is not None
)
_USE = _without(
    "no use is given, or the LED does not say how bright it is",
    lambda design: design.parameters.parts.use_least and design.operation.illumination,
)
_ROWS = _without(
    "its form says where the light lies", lambda design: not plan(design.parameters).sketch
)
_ALONG_A_LINE = _without(
    "tracks follow the line of its LEDs", lambda design: not design.board.spine
)
_BUILT = _without("nothing was measured yet", lambda design: design.parameters.built)
_JOINED = _without("no boards are joined", lambda design: design.parameters.joint.joined)
_ALIKE = _without(
    "no boards are joined, or the first one is of another kind",
    lambda design: (
        design.parameters.joint.joined and design.parameters.parts.connector.pattern.bodiless
    ),
)
_STOCK = _without("nothing is in stock", lambda design: design.parameters.stock)

_HOUSE = "house limits"
_OWN = "own choice"
_LAYOUT = "the layout's own rule"
_ERROR, _WARNING, _NOTE = Severity.ERROR, Severity.WARNING, Severity.INFORMATION


def _rule(
    code: str,
    severity: Severity,
    source: str,
    check: Callable[..., Iterable[Finding]],
    *implied: str,
    absent: Gate = lambda _: "",
) -> Rule:
    return Rule(
        code=code, severity=severity, source=source, check=check, implied=implied, absent=absent
    )


RULES = (
    _rule("gap.copper", _ERROR, _HOUSE, copper.gap_copper),
    _rule("gap.voltage", _ERROR, "IPC-2221B table 6-1, A6, from memory", copper.gap_voltage),
    _rule("track.width", _ERROR, _HOUSE, copper.track_width),
    _rule("track.heat", _ERROR, "IPC-2221 curve fit", copper.track_heat),
    _rule("track.acute", _NOTE, "common practice", copper.track_acute, "looks.tracks"),
    _rule("track.loose-end", _WARNING, "common practice", nets.track_loose_end),
    _rule("net.whole", _ERROR, "the circuit", nets.net_whole, "gap.copper", "pour.island"),
    _rule("pour.thin", _ERROR, _HOUSE, nets.pour_thin),
    _rule("pour.island", _WARNING, "common practice", nets.pour_island, "net.whole"),
    _rule("edge.copper", _ERROR, _HOUSE, copper.edge_copper),
    _rule("screw.room", _ERROR, "ISO 7045, ISO 7089 and play", copper.screw_room, absent=_SCREWS),
    _rule("screw.edge", _ERROR, "ISO 7045, ISO 7089", parts.screw_edge, absent=_SCREWS),
    _rule("relief.spokes", _ERROR, _HOUSE, relief.relief_spokes, absent=_RELIEF),
    _rule("relief.current", _ERROR, "IPC-2221 curve fit", relief.relief_current, absent=_RELIEF),
    _rule("heat.chip", _WARNING, "common practice", relief.heat_chip),
    _rule("hole.size", _ERROR, _HOUSE, holes.hole_size),
    _rule("hole.large", _WARNING, "common practice", holes.hole_large),
    _rule("hole.aspect", _ERROR, _HOUSE, holes.hole_aspect, absent=_PLATED),
    _rule("hole.copper", _ERROR, _HOUSE, copper.hole_copper),
    _rule("hole.foreign", _ERROR, _HOUSE, holes.hole_foreign, absent=_PLATED),
    _rule("hole.spacing", _ERROR, _HOUSE, holes.hole_spacing),
    _rule("hole.overlap", _ERROR, "common practice", holes.hole_overlap, "hole.spacing"),
    _rule("ring.plated", _ERROR, _HOUSE, holes.ring_plated, absent=_PLATED),
    _rule("ring.unplated", _ERROR, _HOUSE, holes.ring_unplated, absent=_UNPLATED),
    _rule("edge.hole", _ERROR, _HOUSE, holes.edge_hole),
    _rule(
        "profile.whole",
        _ERROR,
        "Gerber 2023.08, 4.10 and 4.14",
        outline.profile_whole,
        "looks.corners",
        "edge.copper",
    ),
    _rule("profile.size", _ERROR, "common practice", outline.profile_size),
    _rule("profile.corner", _ERROR, _HOUSE, outline.profile_corner, "looks.corners"),
    _rule(
        "profile.outside",
        _ERROR,
        "Gerber 2023.08, 6.7",
        outline.profile_outside,
        "edge.copper",
        "edge.hole",
        "legend.edge",
    ),
    _rule("mask.land", _ERROR, _HOUSE, mask.mask_land, absent=_MASK),
    _rule("mask.stray", _ERROR, "common practice", mask.mask_stray, "mask.web", absent=_MASK),
    _rule("mask.neighbour", _ERROR, "common practice", mask.mask_neighbour, absent=_MASK),
    _rule("mask.web", _ERROR, _HOUSE, mask.mask_web, absent=_MASK),
    _rule("paste.land", _ERROR, "common practice", mask.paste_land),
    _rule("paste.fine", _WARNING, "IPC-7525", mask.paste_fine),
    _rule("courtyard.overlap", _ERROR, "own values", parts.courtyard_overlap),
    _rule("courtyard.edge", _ERROR, _OWN, parts.courtyard_edge),
    _rule("lands.reach", _ERROR, "the part's body", parts.lands_reach),
    _rule("connector.entry", _ERROR, _OWN, parts.connector_entry, "looks.entry"),
    _rule("connector.shade", _NOTE, _OWN, parts.connector_shade),
    _rule("legend.land", _ERROR, _HOUSE, legend.legend_land, absent=_LEGEND),
    _rule("legend.edge", _ERROR, _HOUSE, legend.legend_edge, absent=_LEGEND),
    _rule("legend.fine", _ERROR, _HOUSE, legend.legend_fine),
    _rule("legend.identity", _WARNING, _OWN, legend.legend_identity),
    _rule("legend.names", _NOTE, _OWN, legend.legend_names),
    _rule("legend.trimmed", _WARNING, _OWN, legend.legend_trimmed, absent=_LEGEND),
    _rule("side.unread", _NOTE, "common practice", legend.side_unread, absent=_ONE_SIDE),
    _rule("polarity.mark", _ERROR, _OWN, polarity.polarity_mark, "legend.land"),
    _rule("polarity.signs", _ERROR, _OWN, polarity.polarity_signs, "looks.signs"),
    _rule("polarity.switch", _NOTE, _OWN, polarity.polarity_switch, absent=_SWITCH),
    _rule("power.ballast", _ERROR, "IEC 60115-8 practice", electrical.power_ballast),
    _rule("ballast.low", _ERROR, "the circuit", electrical.ballast_low),
    _rule("current.led", _ERROR, "the LED's data", electrical.current_led),
    _rule("current.connector", _ERROR, "the connector's data", electrical.current_connector),
    _rule("joint.current", _ERROR, _OWN, joints.joint_current, absent=_JOINED),
    _rule("joint.overlap", _WARNING, _OWN, joints.joint_overlap, absent=_ALIKE),
    _rule("joint.first", _NOTE, _OWN, joints.joint_first, absent=_JOINED),
    _rule("joint.quantity", _NOTE, _OWN, joints.joint_quantity, absent=_JOINED),
    _rule("joint.pitch", _NOTE, _OWN, joints.joint_pitch, absent=_ALIKE),
    _rule("current.switch", _ERROR, "the switch's data", electrical.current_switch, absent=_SWITCH),
    _rule("current.guard", _ERROR, "the guard's data", electrical.current_guard, absent=_GUARD),
    _rule("current.supply", _WARNING, "the supply's data", supply.current_supply),
    _rule("heat.board", _WARNING, "fins in still air, an estimate", electrical.heat_board),
    _rule("headroom.branch", _WARNING, "common practice", electrical.headroom_branch),
    _rule("rail.drop", _WARNING, _OWN, electrical.rail_drop),
    _rule("light.unlike", _NOTE, _OWN, light.light_unlike),
    _rule("light.faint", _WARNING, _OWN, light.light_faint),
    _rule("light.dim", _WARNING, _OWN, light.light_dim, absent=_USE),
    _rule(
        "light.uneven",
        _WARNING,
        "cosine-power law, an estimate",
        light.light_uneven,
        absent=_DIFFUSER,
    ),
    _rule("supply.touch", _WARNING, "common practice", supply.supply_touch, "reverse.led"),
    _rule("supply.fuse", _ERROR, "common practice", supply.supply_fuse),
    _rule("fuse.trips", _WARNING, "the fuse's data", supply.fuse_trips, absent=_FUSE),
    _rule("fuse.drop", _WARNING, _OWN, supply.fuse_drop, absent=_FUSE),
    _rule("fuse.never", _ERROR, "the fuse's data", supply.fuse_never, absent=_FUSE),
    _rule("fuse.fault", _WARNING, "the fuse's data", supply.fuse_fault, absent=_FUSE),
    _rule("gate.low", _WARNING, "the transistor's data", supply.gate_low, absent=_GATE),
    _rule("supply.idle", _NOTE, "one measured power bank", supply.supply_idle),
    _rule("reverse.led", _NOTE, "the LED's data", supply.reverse_led),
    _rule("lands.typical", _NOTE, "the pattern's standing", notes.lands_typical),
    _rule("built.supply", _WARNING, "the supply's range", notes.built_supply, absent=_BUILT),
    _rule("built.differs", _WARNING, "the circuit", notes.built_differs, absent=_BUILT),
    _rule("built.total", _NOTE, "the circuit", notes.built_total, absent=_BUILT),
    _rule("stock.unused", _NOTE, _OWN, notes.stock_unused, absent=_STOCK),
    _rule("date.unset", _NOTE, _OWN, notes.date_unset),
    _rule("supply.pour", _NOTE, _OWN, notes.supply_pour),
    _rule("looks.grid", _WARNING, _OWN, looks_parts.looks_grid),
    _rule(
        "looks.line",
        _WARNING,
        _OWN,
        looks_parts.looks_line,
        "courtyard.overlap",
        "looks.grid",
        "looks.polarity",
        "looks.references",
        "looks.tracks",
    ),
    _rule("looks.middle", _WARNING, _OWN, looks_parts.looks_middle, absent=_ROWS),
    _rule(
        "looks.holes",
        _WARNING,
        _OWN,
        looks_parts.looks_holes,
        "looks.grid",
        "looks.middle",
        absent=_SCREWS,
    ),
    _rule("looks.corners", _WARNING, _OWN, looks_parts.looks_corners),
    _rule("looks.facing", _WARNING, _OWN, looks_parts.looks_facing, "polarity.mark"),
    _rule("looks.entry", _WARNING, _OWN, looks_parts.looks_entry),
    _rule("looks.hand", _WARNING, _OWN, looks_parts.looks_hand),
    _rule("looks.lit", _NOTE, _OWN, looks_parts.looks_lit),
    _rule("looks.polarity", _WARNING, _OWN, looks_letters.looks_polarity),
    _rule("looks.letters", _WARNING, _OWN, looks_letters.looks_letters),
    _rule("looks.references", _WARNING, _OWN, looks_letters.looks_references, absent=_LEGEND),
    _rule("looks.signs", _WARNING, _OWN, looks_letters.looks_signs),
    _rule("looks.back", _WARNING, _OWN, looks_letters.looks_back, absent=_LEGEND),
    _rule("looks.tracks", _WARNING, _OWN, looks_copper.looks_tracks),
    _rule("looks.detour", _NOTE, _OWN, looks_copper.looks_detour, absent=_ALONG_A_LINE),
    _rule("looks.drops", _WARNING, _OWN, looks_copper.looks_drops),
    _rule("looks.pour", _WARNING, _OWN, looks_copper.looks_pour),
    _rule("looks.finger", _WARNING, _OWN, looks_copper.looks_finger),
    _rule("looks.tone", _NOTE, _OWN, looks_letters.looks_tone, absent=_LEGEND),
)

LATE = (
    _rule(waivers.CODE, _WARNING, _OWN, waivers.waive_unused),
    _rule(files.CODE, _ERROR, "common practice", files.check_files),
)
"""Rules that look at what the others found, and at the files."""


def judge(design: Design) -> Judgement:
    """Run every rule on a design, apply the file's waivers, and measure the smallest of each kind.

    Returns
    -------
    Judgement
        Findings worst first, then in the order of the table; the same fault at several places
        comes once for each place. Waived ones keep their weight and carry the reason.
    """
    return Judgement(findings=check(design), minima=measured_minima(design), skipped=_idle(design))


def check(design: Design) -> tuple[Finding, ...]:
    """Run every rule on a design, and apply the file's waivers; see `judge`."""
    found = [
        _weighed(finding, rule)
        for rule in RULES
        if not rule.absent(design)
        for finding in rule.check(design)
    ]
    asked, codes = design.parameters.waivers, [rule.code for rule in (*RULES, *LATE)]
    idle = [_weighed(finding, LATE[0]) for finding in LATE[0].check(asked, found, codes)]
    order = list(Severity)
    return tuple(
        sorted(
            (*waivers.with_waivers(found, asked), *idle),
            key=lambda finding: order.index(finding.severity),
        )
    )


def _weighed(finding: Finding, rule: Rule) -> Finding:
    """Give a finding its rule's code, and its severity unless it brought a graver one."""
    own = finding.severity is not Severity.INFORMATION
    return replace(finding, code=rule.code, severity=finding.severity if own else rule.severity)


def _idle(design: Design) -> tuple[Skipped, ...]:
    """List the rules that have nothing to look at on a board, and why."""
    reasons = [(rule.code, rule.absent(design)) for rule in RULES]
    return tuple(Skipped(code=code, why=why) for code, why in reasons if why)


def rule_texts() -> tuple[RuleText, ...]:
    """Tell every rule in words, in the order of the table."""
    return tuple(_text(rule) for rule in (*RULES, *LATE))


def _text(rule: Rule) -> RuleText:
    parts = dict.fromkeys(_HEADINGS, "")
    heading = ""
    for line in inspect.cleandoc(rule.check.__doc__ or "").splitlines()[1:]:
        if line in parts:
            heading = line
        elif heading and line.strip():
            parts[heading] = f"{parts[heading]} {line.strip()}".strip().replace("``", "`")
    why, how, mend = parts.values()
    return RuleText(
        code=rule.code,
        severity=rule.severity,
        title=rule.title,
        why=why,
        how=how,
        mend=mend,
        source=rule.source,
        implied=rule.implied,
        waivable=rule.code not in waivers.NEVER,
    )


_HEADINGS = ("Why it matters", "How it is measured", "How to mend it")
