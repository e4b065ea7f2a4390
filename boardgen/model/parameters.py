"""One board, wholly described: what was asked for, and what was found for it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from pathlib import Path
from typing import Any

from boardgen.errors import Change, Problem
from boardgen.model.form_section import FormSection
from boardgen.model.outline import Drawing
from boardgen.model.parts import Guard, Parts
from boardgen.model.plan import Plan
from boardgen.model.sections import (
    JOINT_LANDS,
    BoardSection,
    BuiltSection,
    ConnectorSection,
    CopperSection,
    JointSection,
    LegendSection,
    LightSection,
    MountingSection,
    OrderSection,
    ProtectionSection,
    ResistorSection,
    WaiveSection,
)
from boardgen.model.side import Side

LIGHT_MASKS = ("white", "yellow")


class OriginKind(StrEnum):
    """Where a value came from."""

    FILE = "parameter file"
    DEFAULT = "default"
    CATALOGUE = "catalogue"
    CHOSEN = "chosen by boardgen"
    TRIED = "tried on the command line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Provenance of one value: its kind, and file and line where there are such."""

    kind: OriginKind
    place: str = ""
    line: int = 0

    def __str__(self) -> str:
        where = f"{self.place}:{self.line}" if self.line else self.place
        return f"{self.kind.value} {where}".strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What a board was read from, so that a change of a key can be read like the file itself.

    ``tables`` are the plain tables of this board, ``lines`` where their keys stand, ``folder``
    where files are that they name.
    """

    tables: Mapping[str, Any] = field(default_factory=dict)
    lines: Mapping[tuple[str | int, ...], int] = field(default_factory=dict)
    folder: Path | None = None
    text: str = ""
    source_date: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Parameters:
    """One board, wholly described: sections as written or defaulted, and the parts that they name.

    ``drawing`` is the edge where a file names one; ``own_form`` plans the board where a form was
    given in Python, by a function; the keys of a ring are then its measures. ``text_sha256`` is the
    digest of the file, ``bare_sha256`` of the file without what was measured, ``meaning_sha256`` of
    keys and values without it: the same however they are written down.
    """

    name: str
    file: str
    board: BoardSection
    light: LightSection
    resistor: ResistorSection
    protection: ProtectionSection
    form: FormSection
    connector: ConnectorSection
    joint: JointSection
    mounting: MountingSection
    copper: CopperSection
    legend: LegendSection
    legend_text: str
    order: OrderSection
    parts: Parts
    stock: Mapping[str, str]
    built: BuiltSection | None
    waivers: tuple[WaiveSection, ...]
    date: str
    date_given: bool
    text_sha256: str
    bare_sha256: str
    meaning_sha256: str
    drawing: Drawing | None = None
    own_form: "Callable[[Parameters], Plan] | None" = None
    origins: Mapping[str, Origin] = field(default_factory=dict)
    written: Written = field(default_factory=Written, repr=False, compare=False)

    def __repr__(self) -> str:
        """One line: all that is known of its parts fills pages."""
        leds = f"{self.light.count} x {self.parts.emitters[0].led.name}"
        return f"<Parameters {self.name}: {leds}, {self.form.kind}, {self.parts.supply.name}>"

    def with_parts(self, **changes: object) -> "Parameters":
        """Give the same request with other parts, by their names in `Parts`."""
        return replace(self, parts=replace(self.parts, **changes))  # type: ignore[arg-type] # by name

    def unmeasured(self) -> "Parameters":
        """Give the board as it was described before anything was measured on it."""
        return replace(self, built=None, text_sha256=self.bare_sha256)

    @property
    def printed(self) -> bool:
        """Whether a legend is printed; without one, marks and letters are copper."""
        return self.order.legend != "none" and self.order.mask != "none"

    @property
    def fed_by_another(self) -> bool:
        """Whether the board is joined behind one of another kind, which has the connector."""
        return self.joint.joined and self.joint.first == "another"

    @property
    def own_guards(self) -> tuple[Guard, ...]:
        """What stands in the supply line of this board; what stands before it is counted alone."""
        return () if self.fed_by_another else self.parts.guards

    @property
    def alike_boards(self) -> int:
        """How many boards of one chain are this one."""
        if self.connector.kind != JOINT_LANDS:
            return 1
        return self.joint.boards - (1 if self.fed_by_another else 0)

    @property
    def legend_colour(self) -> str:
        """The colour of the print: as ordered, or the one that can be read on the mask."""
        if not self.printed:
            return "none"
        return self.order.legend or ("black" if self.order.mask in LIGHT_MASKS else "white")

    @property
    def sides(self) -> tuple[Side, ...]:
        """The sides that carry copper."""
        return (Side.TOP, Side.BOTTOM)[: self.copper.sides]

    def problem(
        self,
        path: str,
        what: str,
        *,
        remedy: str = "",
        offers: tuple[Change, ...] = (),
        at: str = "",
    ) -> Problem:
        """Say what is wrong with a key of the file, where it stands; ``at`` is another's place."""
        line = self.origin(at or path).line
        return Problem(
            what=what, remedy=remedy, offers=offers, file=self.file, line=line, path=path
        )

    def given(self, path: str) -> bool:
        """Tell whether the file says what the value at a dotted path is."""
        return self.origin(path).kind is OriginKind.FILE

    def origin(self, path: str) -> Origin:
        """Tell where the value at a dotted path came from."""
        return self.origins.get(path, Origin(kind=OriginKind.DEFAULT))
