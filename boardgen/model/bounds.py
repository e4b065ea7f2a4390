"""What counts as past a limit: exactly at it passes, and so does what rounding leaves."""

from boardgen.tolerances import HAIR_MM


def below(actual: float, least: float, noise: float = HAIR_MM) -> bool:
    """Tell whether a value falls short of the least allowed by more than noise."""
    return actual < least - noise


def above(actual: float, most: float, noise: float = HAIR_MM) -> bool:
    """Tell whether a value exceeds the most allowed by more than noise."""
    return actual > most + noise


def outside(actual: float, bounds: tuple[float, float], noise: float = HAIR_MM) -> bool:
    """Tell whether a value leaves its bounds by more than noise."""
    return below(actual, bounds[0], noise) or above(actual, bounds[1], noise)
