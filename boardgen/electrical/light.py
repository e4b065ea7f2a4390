"""Light: what the board throws on a plane, and how even it looks behind a diffuser."""

from dataclasses import replace

from boardgen.forms.table import plan
from boardgen.geometry.between import Spot, along_lines, in_a_row, over_area
from boardgen.model.board import Board
from boardgen.model.circuit import Circuit
from boardgen.model.operation import Illumination
from boardgen.model.parameters import Parameters
from boardgen.model.parts import LedPart
from boardgen.standards.photometry import (
    LAMBERTIAN_DEG,
    candela_per_ampere,
    evenness,
    flux_lm,
    height_for_evenness,
    illuminance_lx,
    order,
    pitch_over_height,
    spread_evenness,
)

_PLACES = 9


def illumination(parameters: Parameters, circuit: Circuit, board: Board) -> Illumination | None:
    """Estimate the light at the nominal current; None when the LED does not say how bright it is.

    Light is proportional to current; an angle that is not given counts as 120°, which a flat
    emitter without a lens has. Evenness is that of the LEDs with the narrowest beam.
    """
    if not all(candela_per_ampere(channel.led.data) for channel in circuit.channels):
        return None
    # A shorter branch may be brighter or dimmer: each LED shines by its own branch's current.
    lit = [branch.kind for branch in circuit.branches for _ in branch.leds]
    each = [candela_per_ampere(kind.led.data) * kind.nominal.current_a for kind in lit]
    angles = [_angle_deg(kind.led) for kind in lit]
    m = [order(angle) for angle in angles]
    placed = {part.reference: (part.x_mm, part.y_mm) for part in board.parts}
    leds = [placed[name] for branch in circuit.branches for name in branch.leds]
    middle = (
        (min(x for x, _ in leds) + max(x for x, _ in leds)) / 2,
        (min(y for _, y in leds) + max(y for _, y in leds)) / 2,
    )
    least, light = parameters.parts.use_least, parameters.light
    found = Illumination(
        axis_cd=max(each),
        flux_lm=_flux_lm(each, angles),
        order=max(m),
        use_lx=illuminance_lx(middle, leds, least.at_mm, each, m) if least else None,
        sources=tuple((x, y, cd, power) for (x, y), cd, power in zip(leds, each, m, strict=True)),
    )
    on_plane = _on_plane(found, light.plane_mm, leds, each, middle, m)
    return _on_diffuser(parameters, on_plane, leds, m)


def _angle_deg(led: LedPart) -> float:
    output = led.data.output
    return (output.angle_deg if output else None) or LAMBERTIAN_DEG


def _flux_lm(each_cd: list[float], angles_deg: list[float]) -> float:
    """Sum the flux, angle by angle."""
    summed: dict[float, float] = {}
    for axis_cd, angle_deg in zip(each_cd, angles_deg, strict=True):
        summed[angle_deg] = summed.get(angle_deg, 0.0) + axis_cd
    return sum(flux_lm(axis_cd, angle_deg) for angle_deg, axis_cd in summed.items())


def _on_plane(
    found: Illumination,
    height_mm: float | None,
    leds: list[tuple[float, float]],
    each_cd: list[float],
    middle: tuple[float, float],
    m: list[float],
) -> Illumination:
    if height_mm is None:
        return found
    reach = max(max(x for x, _ in leds) - middle[0], height_mm)

    def at(dx: float, dy: float) -> float:
        place = (middle[0] + dx, middle[1] + dy)
        return illuminance_lx(place, leds, height_mm, each_cd, m)

    steps = [reach * number / (_PLACES - 1) for number in range(_PLACES)]
    return replace(
        found,
        plane_mm=height_mm,
        middle_lx=at(0.0, 0.0),
        along_lx=tuple((step, at(step, 0.0)) for step in steps),
        across_lx=tuple((step, at(0.0, step)) for step in steps),
    )


def _on_diffuser(
    parameters: Parameters, found: Illumination, leds: list[tuple[float, float]], m: list[float]
) -> Illumination:
    height, asked = parameters.light.diffuser_mm, parameters.light.evenness
    planned = plan(parameters)
    if height is None:
        return found
    if len(leds) == 1 and not parameters.joint.joined:
        return replace(found, diffuser_mm=height)
    if planned.area or planned.scattered or planned.spared:
        return _over_places(parameters, replace(found, diffuser_mm=height), leds, max(m))
    row = leds[: plan(parameters).chains[0]]
    end, middle = row[0], row[len(row) // 2]
    share = illuminance_lx(end, leds, height, 1.0, m) / illuminance_lx(middle, leds, height, 1.0, m)
    return replace(
        found,
        diffuser_mm=height,
        evenness=evenness(planned.pitch_mm / height, max(m)),
        end_share=share,
        pitch_for_evenness_mm=height * pitch_over_height(asked, max(m)) if asked else None,
        diffuser_for_evenness_mm=planned.pitch_mm / pitch_over_height(asked, max(m))
        if asked
        else None,
    )


def _between(parameters: Parameters, leds: list[tuple[float, float]]) -> list[Spot]:
    """List where it may be dark: sites that are left free lie between neighbours too."""
    planned = plan(parameters)
    if planned.spared:
        return in_a_row(leds, closed=planned.goes_round)
    return (over_area if planned.area else along_lines)(leds)


def _over_places(
    parameters: Parameters, found: Illumination, leds: list[tuple[float, float]], m: float
) -> Illumination:
    """Hold spots between LEDs against the LEDs around them: on no line, or over an area."""
    planned, asked, height = plan(parameters), parameters.light.evenness, found.diffuser_mm
    assert height is not None  # noqa: S101 - who asks has one
    between = _between(parameters, leds)
    spots = [(spot.at, spot.around) for spot in between]
    over = [illuminance_lx(led, leds, height, 1.0, m) for led in leds]
    needed = height_for_evenness(leds, spots, asked, m) if asked else None
    return replace(
        found,
        evenness=spread_evenness(leds, spots, height, m),
        end_share=min(over) / max(over),
        pitch_for_evenness_mm=planned.pitch_mm * height / needed if needed else None,
        diffuser_for_evenness_mm=needed,
        spread=True,
    )
