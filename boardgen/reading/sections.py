"""The parameter file as a whole: which sections there are."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from boardgen.model.fields import PartOf, Whole, Words
from boardgen.model.form_section import FormSection
from boardgen.model.led_data import LedSection
from boardgen.model.limits import Limits
from boardgen.model.sections import (
    BoardSection,
    BuiltSection,
    ConnectorSection,
    CopperSection,
    JointSection,
    LandsSection,
    LegendSection,
    LightSection,
    MountingSection,
    OrderSection,
    ProtectionSection,
    ResistorSection,
    SupplySection,
    WaiveSection,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ParameterFile:
    """The sections of the file, as validated; ``family`` is taken out before."""

    board: BoardSection
    supply: SupplySection
    light: LightSection
    form: FormSection
    format: Annotated[int, Whole(help="version of this file's format", minimum=1, maximum=1)] = 1
    led: dict[str, LedSection] = field(default_factory=dict)
    resistor: ResistorSection = field(default_factory=ResistorSection)
    protection: ProtectionSection = field(default_factory=ProtectionSection)
    connector: ConnectorSection = field(default_factory=ConnectorSection)
    joint: JointSection = field(default_factory=JointSection)
    mounting: MountingSection = field(default_factory=MountingSection)
    copper: CopperSection = field(default_factory=CopperSection)
    lands: LandsSection = field(default_factory=LandsSection)
    legend: LegendSection = field(default_factory=LegendSection)
    limits: Annotated[
        Mapping[str, object], PartOf(help="single limits instead of the house's", cls=Limits)
    ] = field(default_factory=dict)
    order: OrderSection = field(default_factory=OrderSection)
    stock: dict[
        str, Annotated[str, Words(help="your own text for a part of the list", longest=200)]
    ] = field(default_factory=dict)
    built: BuiltSection | None = None
    waive: tuple[WaiveSection, ...] = ()
