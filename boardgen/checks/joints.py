"""Rules on boards that are joined end to end: what flows from one to the next, and how they lie."""

from collections.abc import Iterable
from itertools import combinations

from boardgen import units
from boardgen.checks import verdicts
from boardgen.checks.finding import report
from boardgen.forms.table import plan
from boardgen.geometry.placing import contour
from boardgen.geometry.regions import Region, union
from boardgen.model.bounds import above
from boardgen.model.chain import carried, joined_poses
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.tolerances import ROUNDING_NM


def joint_current(design: Design) -> Iterable[Finding]:
    """A joint carries more current than its lands and its wire may.

    Why it matters
        All boards behind a joint are fed through it; solder that gets warm comes loose.
    How it is measured
        Sum of all boards behind the first joint at the highest corner against the lands' rating.
    How to mend it
        Fewer boards in one line, less current, or a second feed at the chain's other end.
    """
    parameters, through = design.parameters, design.circuit.through_a
    joint = parameters.parts.joint
    if joint and verdicts.joint_full(parameters, design.circuit):
        wanted = design.limits.connector_share * joint.rating_a
        yield report(
            message=f"the first joint carries {units.engineering(through, 'A')} at worst",
            actual=units.engineering(through, "A"),
            limit=f"{joint.rating_a:g} A at most, {wanted:g} A wanted",
            subjects=tuple(design.board.far_lands),
            path="joint.boards",
            severity=Severity.ERROR if through > joint.rating_a else Severity.WARNING,
        )


def joint_overlap(design: Design) -> Iterable[Finding]:
    """Boards that are joined would lie on one another.

    Why it matters
        The chain bends back into itself: the last boards find no place.
    How it is measured
        The edge of this board, carried to where the one before it ends, two by two.
    How to mend it
        Fewer boards, or an arc of less angle: all of a ring's are 360 degrees. Where bars or other
        boards lie between, all is well.
    """
    boards = design.parameters.alike_boards
    poses = joined_poses(design.board.spines[0], boards)
    areas = [union([contour(carried(design.board.outline.outer, pose))]) for pose in poses]
    lying = [
        (one, other)
        for one, other in combinations(range(boards), 2)
        if _deep(areas[one] & areas[other])
    ]
    if lying:
        first, second = min(lying, key=lambda pair: pair[1])
        yield report(
            message=f"if all boards are like this one, board {second + 1} of the chain would lie on"
            f" board {first + 1}",
            subjects=(f"board {first + 1}", f"board {second + 1}"),
            path="joint.boards",
        )


def _deep(shared: Region) -> bool:
    """Tell whether areas overlap by more than what rounding leaves of edges that touch."""
    return not shared.inset(ROUNDING_NM).empty


def joint_first(design: Design) -> Iterable[Finding]:
    """The board is the one that is fed: those behind it are another file's.

    Why it matters
        It has a connector where others have a notch: a lot of it cannot be joined.
    How it is measured
        Whether ``connector.kind`` is "joint lands".
    How to mend it
        ``connector.kind = "joint lands"``, if all boards are alike; else nothing.
    """
    others = design.circuit.boards - 1
    if not design.parameters.parts.connector.pattern.bodiless:
        yield report(
            message=f"this board is the first of {others + 1}; the {others} behind it have a file"
            ' of their own, with connector.kind = "joint lands" and joint.first = "another"',
            subjects=(design.circuit.inlet.connector,),
            path="connector.kind",
        )


def joint_quantity(design: Design) -> Iterable[Finding]:
    """Fewer boards are ordered than one light is made of.

    Why it matters
        What is missing is ordered a second time, with shipping.
    How it is measured
        ``order.quantity`` against how many boards of the chain are this one.
    How to mend it
        A larger quantity: as many for each light, and one or two to spare.
    """
    these, quantity = design.parameters.alike_boards, design.parameters.order.quantity
    if quantity < these:
        yield report(
            message=f"{quantity} board{'s' * (quantity > 1)} are ordered, and one light is made of"
            f" {these} of these",
            actual=f"{quantity}",
            limit=f"at least {these}",
            subjects=("boards",),
            path="order.quantity",
        )


def joint_pitch(design: Design) -> Iterable[Finding]:
    """LEDs stand further apart across a joint than on a board.

    Why it matters
        The line of light has a gap at each joint.
    How it is measured
        From a board's last LED to its far end, and from the first end to the first LED.
    How to mend it
        A larger pitch, smaller parts, or a board that is fed at lands of its joint alone.
    """
    spine, sites = design.board.spines[0], [along for _, along in design.board.sites]
    across, pitch = spine.length_mm - max(sites) + min(sites), plan(design.parameters).pitch_mm
    if above(across, pitch * (1 + _UNSEEN)):
        yield report(
            message=f"across a joint LEDs stand {units.length(across)} apart, on the boards"
            f" {units.length(pitch)}",
            actual=units.length(across),
            limit=units.length(pitch),
            subjects=tuple(design.board.far_lands),
            path=plan(design.parameters).keys.pitch,
        )


_UNSEEN = 0.02
"""So much more nobody sees in a line of spots: own choice."""
