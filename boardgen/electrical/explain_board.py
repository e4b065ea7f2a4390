"""The sums of the board as a whole: currents, rails, power, samples, run time, light."""

from boardgen import units
from boardgen.electrical.measured import METER_SHARE, expected
from boardgen.forms.table import plan
from boardgen.model.circuit import DARK_SHARE, Branch, Circuit
from boardgen.model.explanation import Step
from boardgen.model.operation import Band, Illumination, Operation, Rails, RunTime, Sample
from boardgen.model.parameters import Parameters
from boardgen.standards.board_heat import FACE_BAND_W_PER_M2K, FACE_W_PER_M2K
from boardgen.standards.copper import track_resistance_ohm
from boardgen.standards.resettable_fuse import holds_a


def _amps(value: float) -> str:
    return units.engineering(value, "A")


def board_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    """Show what is known before a board is laid out."""
    return [
        *_current_steps(parameters, circuit),
        *_rail_steps(parameters, circuit),
        *_built_steps(parameters, circuit),
    ]


_UNSETTLED = " (on this board they did not, quite: the last of four rounds is shown)"


def warmth_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    """Show how warm all heat together makes the board; its currents follow, and so it is a loop."""
    warmth, limits = circuit.warmth, parameters.parts.limits
    cooling = warmth.cooling
    (along, across), (kept_along, kept_across) = cooling.heated_mm, cooling.kept
    least, most = FACE_BAND_W_PER_M2K
    band = [warmth.air_degc + (warmth.board_degc - warmth.air_degc) * FACE_W_PER_M2K / h
            for h in (most, least)]  # fmt: skip
    return [
        Step(
            key="board_cooling_k_per_w",
            title="how much warmer each watt makes the board",
            formula="k = kept along * kept across / (2 * h * length * width), of the stretch that"
            " holds LEDs and ballasts; both faces give heat off, copper carries it to plain ends",
            numbers=f"{kept_along:.5g} * {kept_across:.5g} / (2 * {FACE_W_PER_M2K:g} W/m2K *"
            f" {along / 1000:.5g} m * {across / 1000:.5g} m)",
            value=cooling.k_per_w,
            result=f"{cooling.k_per_w:.3g} K/W",
            source=f"still air, h = {least:g} to {most:g} W/m2K, from memory, ordinary confidence;"
            " fins: any textbook of heat transfer",
        ),
        Step(
            key="board_highest_degc",
            title="how warm the board gets at the highest corner",
            formula="Tboard = Ta + k * P, P = highest supply * highest current of the board; a"
            " loop:"
            " it starts with the board as warm as the air, finds the currents below, and ends when"
            f" both agree{_UNSETTLED * (not warmth.settled)}; not counted: enclosure, sun, moving"
            " air; light counts as heat",
            numbers=f"{warmth.air_degc:g} + {cooling.k_per_w:.6g} * {warmth.heat_w:.6g}",
            value=warmth.board_degc,
            result=f"about {warmth.board_degc:.0f} degC, {band[0]:.0f} to {band[1]:.0f} within the"
            " band of h",
            limit=f"{limits.board_warm_degc:g} degC wanted, {limits.board_most_degc:g} degC at"
            " most",
            margin=f"{limits.board_warm_degc - warmth.board_degc:+.0f} K",
            source="own estimate",
        ),
    ]


def _summed(circuit: Circuit, corner: str) -> str:
    parts = []
    for kind in circuit.kinds:
        number = len(circuit.places(kind))
        amps = (kind.nominal if corner == "nominal" else kind.high).current_a
        parts.append(f"{number} * {units.engineering(amps, 'A', 5)}")
    own = " + ".join(parts)
    return own if circuit.boards == 1 else f"{circuit.boards} * ({own})"


def _current_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    limits, rating = parameters.parts.limits, parameters.parts.connector.rating_a
    found = [
        Step(
            key="board_current_nominal_a",
            title=f"current of {circuit.whole} at nominal",
            formula=f"sum of the branches{' of each board' * (circuit.boards > 1)}",
            numbers=_summed(circuit, "nominal"),
            value=circuit.nominal_a,
            result=_amps(circuit.nominal_a),
        ),
        Step(
            key="board_current_highest_a",
            title=f"highest current of {circuit.whole}",
            formula="sum of the branches at the high corner",
            numbers=_summed(circuit, "high"),
            value=circuit.worst_a,
            result=_amps(circuit.worst_a),
            limit=f"{limits.connector_share:.0%} of {rating:g} A, the connector's rating",
            margin=_amps(limits.connector_share * rating - circuit.worst_a),
            source="connector: own table, typical",
        ),
    ]
    if parameters.parts.fuse:
        holds = holds_a(parameters.parts.fuse.rating_a, circuit.warmth.board_degc)
        found.append(
            Step(
                key="fuse_holds_a",
                title="what the fuse holds on the warm board",
                formula="hold current * (1 - 0.0078 * (Tboard - 23 degC))",
                numbers=f"{parameters.parts.fuse.rating_a:g} A * (1 - 0.0078 *"
                f" ({circuit.warmth.board_degc:.5g} - 23))",
                value=holds,
                result=_amps(holds),
                limit=f"at least {_amps(circuit.worst_a)}, the highest current",
                margin=_amps(holds - circuit.worst_a),
                source="typical of resettable fuses, from memory, shaky",
            )
        )
    return found


def _rail_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    rail = circuit.rail
    return [
        Step(
            key="rail_for_heat_mm",
            title="rail width for heat",
            formula="A = (I / (0.048 * dT^0.44))^(1/0.725) mil^2; width = A / thickness",
            numbers=f"{_amps(rail.current_a)}, {parameters.copper.rise_k:g} K,"
            f" {parameters.copper.weight_um:g} um",
            value=rail.heat_mm,
            result=units.length(rail.heat_mm),
            source="IPC-2221 curve fit, read in secondary pages",
        ),
        Step(
            key="rail_for_drop_mm",
            title="rail width for an even light",
            formula="w / 1 mm = i * r * N * (N + 1) / 2 / (share * headroom at nominal), r of 1 mm",
            numbers=_drop_numbers(parameters, circuit),
            value=rail.drop_mm,
            result=units.length(rail.drop_mm),
            source="equal sections fed from one end; copper: IEC 60028, from memory",
        ),
        Step(
            key="rail_mm",
            title="rail width wanted",
            formula="the greatest of usual width, heat and drop; or as asked for",
            numbers=rail.reason,
            value=rail.width_mm,
            result=units.length(rail.width_mm),
        ),
    ]


def _drop_numbers(parameters: Parameters, circuit: Circuit) -> str:
    """Put numbers into the sum over equal sections, 1 mm wide."""
    kind, sections, weight = circuit.rail.kind, circuit.rail.sections, parameters.copper.weight_um
    section = track_resistance_ohm(plan(parameters).pitch_mm * kind.leds, 1.0, weight)
    headroom = kind.nominal.supply_v - kind.nominal.vf_v
    return (
        f"{units.engineering(kind.nominal.current_a, 'A', 5)} * {section:.5g} ohm * {sections} *"
        f" ({sections} + 1) / 2 / ({parameters.parts.limits.aims.rail_spread:g} * {headroom:.5g} V)"
    )


def operation_steps(parameters: Parameters, circuit: Circuit, operation: Operation) -> list[Step]:
    """Show what the board does on its real rails."""
    return [
        *_drawn_rail_steps(parameters, operation),
        *(_joint_steps(parameters, circuit, operation.rails) if circuit.boards > 1 else ()),
        *_power_steps(parameters, circuit, operation),
        *_sampling_steps(operation),
        *(_run_time_steps(operation.run_time) if operation.run_time else ()),
        *(_light_steps(parameters, operation.illumination) if operation.illumination else ()),
    ]


_SOLVED = {
    "rail": "over all pieces of track",
    "pour": "of the pour as a conducting sheet, vias included",
}


def _drawn_rail_steps(parameters: Parameters, operation: Operation) -> list[Step]:
    rails = operation.rails
    last, first = rails.between_a
    way = "pour" if rails.poured else "rail"
    return [
        Step(
            key="rail_drop_v",
            title=f"lost along the supply {way} as drawn, at nominal",
            formula=f"nodal solution {_SOLVED[way]}",
            numbers=f"{'tracks at its vias ' * rails.poured}{units.length(rails.width_mm)} wide,"
            f" {units.length(rails.length_mm)} long, copper at {rails.copper_degc:g} degC",
            value=rails.drop_v,
            result=units.engineering(rails.drop_v, "V"),
            source="copper: IEC 60028, from memory",
        ),
        Step(
            key="return_drop_v",
            title="lost along the return in the pours",
            formula="nodal solution of the pours as conducting sheets, spokes and vias included",
            numbers="from the last LED of a branch to the connector; barrels taken without loss",
            value=rails.return_drop_v,
            result=units.engineering(rails.return_drop_v, "V", 2),
            source="own sums, within 5 % of finite differences on the copper of the examples",
        ),
        Step(
            key="rail_spread",
            title="what the weakest branch gets less than the strongest of its kind",
            formula="1 - least / most",
            numbers=f"currents from {units.engineering(last, 'A', 5)} to"
            f" {units.engineering(first, 'A', 5)}",
            value=rails.spread,
            result=f"{rails.spread:.2%}, {rails.lightness_steps:.2f} steps of lightness L*",
            points=tuple((float(n), amps) for n, amps in enumerate(rails.currents_a, start=1)),
            limit=f"{100 * parameters.parts.limits.rail_share:g}%",
            margin=f"{parameters.parts.limits.rail_share - rails.spread:+.2%}",
            source="L*: CIE 15, from memory; a step of 1 is just seen",
        ),
        *(
            Step(
                key="rail_spread_otherwise",
                subject=f"with {way.title}",
                title="what the weakest branch would get less",
                formula="the same solution of the changed rails",
                numbers="",
                value=way.spread,
                result=f"{way.spread:.2%}, {way.lightness_steps:.2f} steps of lightness L*",
            )
            for way in rails.options[1:]
        ),
    ]


def _joint_steps(parameters: Parameters, circuit: Circuit, rails: Rails) -> list[Step]:
    """Show what flows from board to board, and what is left at the last one."""
    joint, limits = parameters.parts.joint, parameters.parts.limits
    rating = joint.rating_a if joint else 0.0
    behind = rails.boards_a[1:]
    each = ", ".join(units.engineering(amps, "A", 4) for amps in rails.boards_a)
    return [
        Step(
            key="joint_current_a",
            title="current through the first joint at nominal",
            formula="sum of the boards behind it, each at what those before leave it",
            numbers=" + ".join(units.engineering(amps, "A", 5) for amps in behind),
            value=sum(behind),
            result=_amps(sum(behind)),
        ),
        Step(
            key="joint_current_highest_a",
            title="highest current through the first joint",
            formula="highest current of all boards * (boards - 1) / boards",
            numbers=f"{_amps(circuit.worst_a)} * {circuit.boards - 1} / {circuit.boards}",
            value=circuit.through_a,
            result=_amps(circuit.through_a),
            limit=f"{limits.connector_share:.0%} of {rating:g} A, what lands and wire bear",
            margin=_amps(limits.connector_share * rating - circuit.through_a),
            source="own choice",
        ),
        Step(
            key="joint_far_v",
            title="left at the last board's far end, at nominal",
            formula="nodal solution of the boards, one fed by the other",
            numbers=f"boards draw {each}",
            value=rails.far_v,
            result=units.engineering(rails.far_v, "V", 4),
        ),
    ]


def _power_steps(parameters: Parameters, circuit: Circuit, operation: Operation) -> list[Step]:
    power = operation.power
    contact = parameters.parts.connector.contact_ohm
    parts = (power.leds_w, power.ballasts_w, power.guards_w, power.rails_w)
    return [
        Step(
            key="power_nominal_w",
            title=f"power of {circuit.whole} at nominal",
            formula="LEDs + ballasts + guards + rails",
            numbers=" + ".join(f"{watts:.6g} W" for watts in parts),
            value=power.supply_w,
            result=units.engineering(power.supply_w, "W"),
        ),
        Step(
            key="efficiency",
            title="share of it in the LEDs",
            formula="LEDs / all",
            numbers=f"{power.leds_w:.6g} W / {power.supply_w:.6g} W",
            value=operation.efficiency,
            result=f"{operation.efficiency:.0%}",
        ),
        Step(
            key="power_highest_w",
            title=f"power of {circuit.whole} at worst",
            formula="highest supply * highest current",
            numbers=f"{circuit.supply.high_v:g} V * {units.engineering(circuit.worst_a, 'A', 5)}",
            value=operation.worst_power_w,
            result=f"{units.engineering(operation.worst_power_w, 'W')},"
            f" {operation.worst_w_per_cm2:.3g} W per square centimetre of board",
        ),
        Step(
            key="connector_heat_w",
            title="heat in the connector at worst",
            formula="two contacts * R * I^2",
            numbers=f"2 * {contact:g} ohm * ({units.engineering(circuit.worst_a, 'A', 5)})^2",
            value=operation.connector_worst_w,
            result=units.engineering(operation.connector_worst_w, "W"),
            source="contact resistance: common practice, no source",
        ),
    ]


def _sampling_steps(operation: Operation) -> list[Step]:
    sampling = operation.sampling

    def step(key: str, title: str, sample: Sample, words: str) -> Step:
        return Step(
            key=key,
            title=title,
            formula=f"{sampling.boards} boards drawn at random (seed {sampling.seed}): supply,"
            " air and"
            " warming of each board, the resistor of each branch, the forward voltage of each LED",
            numbers="middle, and what nine in ten stay between",
            value=sample.middle,
            result=words,
        )

    def amps(sample: Sample) -> str:
        return f"{_amps(sample.middle)}, {_amps(sample.low)} to {_amps(sample.high)}"

    unlike = sampling.unlike
    return [
        step("sampled_branch_a", "current of a branch, sampled", sampling.branch_a,
             amps(sampling.branch_a)),
        step("sampled_board_a", "current of the board, sampled", sampling.board_a,
             amps(sampling.board_a)),
        step("sampled_unlike_share", "how unlike two branches of one board are", unlike,
             f"{unlike.middle:.1%}, {unlike.low:.1%} to {unlike.high:.1%}"),
    ]  # fmt: skip


def _run_time_steps(found: RunTime) -> list[Step]:
    fading = ", ".join(f"{hours:.3g} h {light:.0%}" for hours, light in found.ages)
    return [
        Step(
            key="run_time_h",
            title="run time",
            formula="Q * integral of dq / I, piece by piece: Q * dq * ln(I1 / I0) / (I1 - I0)",
            numbers=f"Q = {found.charge_ah:.4g} Ah at a mean of {_amps(found.mean_a)}; out at"
            f" {DARK_SHARE:.0%} of the nominal current",
            value=found.hours,
            result=f"{found.hours:.3g} h, then {found.ends_by}; {found.left:.0%} of the charge is"
            " left",
            source="the supply's curve and capacities, see its source",
        ),
        Step(
            key="light_at_half_time_share",
            title="light while the battery empties",
            formula="current / first current",
            numbers=fading,
            value=found.ages[len(found.ages) // 2][1] if found.ages else 0.0,
            result="fades as listed",
            points=found.ages,
        ),
    ]


def _light_steps(parameters: Parameters, light: Illumination) -> list[Step]:
    found = [
        Step(
            key="flux_lm",
            title="light of all LEDs at nominal, an estimate",
            formula="sum over LEDs of 2 pi * I0 / (m + 1)",
            numbers=f"{parameters.light.count} LEDs, I0 = {light.axis_cd:.4g} cd of the brightest,"
            f" m = {light.order:.4g}",
            value=light.flux_lm,
            result=f"{light.flux_lm:.3g} lm",
            source="; ".join(
                dict.fromkeys(one.led.data.source for one in parameters.parts.emitters)
            ),
        )
    ]
    if light.middle_lx is not None:
        along, across = (
            ", ".join(f"{place:.0f} mm {lux:.3g} lx" for place, lux in line)
            for line in (light.along_lx, light.across_lx)
        )
        found.append(
            Step(
                key="illuminance_middle_lx",
                title="illuminance under the middle, an estimate",
                formula="sum of I0 * h^(m+1) / (h^2 + r^2)^((m+3)/2)",
                numbers=f"h = {light.plane_mm:g} mm, I0 = {light.axis_cd:.4g} cd,"
                f" m = {light.order:.4g}; along the bar: {along}; across it: {across}",
                value=light.middle_lx,
                result=f"{light.middle_lx:.3g} lx",
                points=light.along_lx,
            )
        )
    if light.evenness is not None:
        asked, pitch = parameters.light.evenness, light.pitch_for_evenness_mm
        found.append(
            Step(
                key="evenness",
                title="darkest spot between LEDs on the diffuser, by the light over LEDs beside it",
                formula="spots between LEDs by the mean of the LEDs around them, cosine-power law"
                if light.spread
                else "endless row of this pitch, cosine-power law",
                numbers=f"pitch {plan(parameters).pitch_mm:g} mm, height {light.diffuser_mm:g} mm,"
                f" m = {light.order:.4g};"
                f" over the {'dimmest' if light.spread else 'end'} LED {light.end_share:.0%}"
                f" of the {'brightest' if light.spread else 'middle'}",
                value=light.evenness,
                result=f"{light.evenness:.1%}",
                limit=f"{asked:.1%} asked for: a pitch of {pitch:.2f} mm at most, or a height of"
                f" {light.diffuser_for_evenness_mm:.2f} mm at least"
                if asked
                else "",
                margin=f"{light.evenness - asked:+.1%}" if asked else "",
            )
        )
    return found


def _built_steps(parameters: Parameters, circuit: Circuit) -> list[Step]:
    """Show what was measured on the first article against what it ought to be."""
    built = parameters.built
    if built is None:
        return []
    found = expected(parameters, circuit, built.supply_v)
    total = found.board_a
    supply = Step(
        key="measured_supply_v",
        title="supply on the bench",
        formula=f"the supply's range, and {METER_SHARE:.0%} for the meter",
        numbers=f"{circuit.supply.low_v:g} to {circuit.supply.high_v:g} V",
        value=built.supply_v,
        result=f"{built.supply_v:g} V",
        limit=f"{found.supply_v.low:.4g} to {found.supply_v.high:.4g} V",
        source="parameter file, [built]",
    )
    if not found.supply_v.holds(built.supply_v):
        return [supply]
    when = f"{built.supply_v:g} V on {built.date}" + (f" by {built.by}" if built.by else "")
    steps = [
        supply,
        Step(
            key="measured_current_a",
            title="measured on the first article",
            formula="sum over branches at the measured supply, corners as above, and"
            f" {METER_SHARE:.0%} for the meter",
            numbers=when,
            value=built.current_a,
            result=_amps(built.current_a),
            limit=f"{_amps(total.low)} to {_amps(total.high)}, usually {_amps(total.nominal)}",
            margin=f"{built.current_a / total.nominal - 1:+.0%} of the usual"
            if total.nominal
            else "",
            source="parameter file, [built]",
        ),
    ]
    for branch, measured, band in zip(
        circuit.branches, built.ballasts_v, found.ballasts_v, strict=False
    ):
        sums = "supply - what the LEDs take; corners as above"
        steps.append(_ballast_step("v", branch, sums, when, measured, band))
    for branch, measured, band in zip(
        circuit.branches, built.resistors_ohm, found.resistors_ohm, strict=False
    ):
        sums = "printed value and its tolerance, the supply unplugged"
        steps.append(_ballast_step("ohm", branch, sums, when, measured, band))
    return steps


def _ballast_step(
    unit: str, branch: Branch, formula: str, when: str, measured: float, band: Band
) -> Step:
    """Show what a meter said of a branch's ballast, in volts or in ohms."""
    low, usual, high, said = (
        units.engineering(value, {"v": "V"}.get(unit, unit))
        for value in (band.low, band.nominal, band.high, measured)
    )
    return Step(
        key=f"measured_ballast_{unit}",
        subject=f"branch {branch.number}, {' + '.join(branch.ballasts)}",
        title="measured across the ballast",
        formula=f"{formula}, and {METER_SHARE:.0%} for the meter",
        numbers=when,
        value=measured,
        result=said,
        limit=f"{low} to {high}, usually {usual}",
        source="parameter file, [built]",
    )
