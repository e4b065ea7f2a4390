"""The parameter file as a whole: which sections there are."""

from dataclasses import dataclass, field
from typing import Annotated

from boardgen.model.fields import Whole
from boardgen.model.parameters import (
    BoardSection,
    ConnectorSection,
    CopperSection,
    FormSection,
    LedSection,
    LegendSection,
    LightSection,
    MountingSection,
    OrderSection,
    ResistorSection,
    SupplySection,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ParameterFile:
    """The sections of the file, as validated."""

    board: BoardSection
    supply: SupplySection
    light: LightSection
    form: FormSection
    format: Annotated[int, Whole(help="version of this file's format", minimum=1, maximum=1)] = 1
    led: dict[str, LedSection] = field(default_factory=dict)
    resistor: ResistorSection = field(default_factory=ResistorSection)
    connector: ConnectorSection = field(default_factory=ConnectorSection)
    mounting: MountingSection = field(default_factory=MountingSection)
    copper: CopperSection = field(default_factory=CopperSection)
    legend: LegendSection = field(default_factory=LegendSection)
    order: OrderSection = field(default_factory=OrderSection)
