"""The smallest measure that does, against a search step by step."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.layout.spines.growth import nearest, smallest


@given(st.integers(0, 200), st.sampled_from([0.1, 0.25, 1.0]), st.floats(0, 50))
def test_it_is_the_first_step_that_does(steps: int, step_mm: float, least_mm: float) -> None:
    first = next(n for n in range(10**6) if n * step_mm >= least_mm - 1e-9 * step_mm) * step_mm
    wanted = first + steps * step_mm
    tried: list[float] = []

    def does(value: float) -> bool:
        tried.append(value)
        return value >= wanted - step_mm / 2

    assert smallest(does, least_mm, step_mm, 1000) == pytest.approx(wanted, abs=1e-6)
    assert len(tried) <= 2 * (steps + 1).bit_length() + 2


def test_none_is_found_where_nothing_does() -> None:
    assert smallest(lambda _: False, 1.0, 1.0, 64) is None


@given(st.integers(1, 60), st.integers(0, 70), st.booleans())
def test_the_nearest_that_does_is_made_in_few_trials(count: int, first: int, known: bool) -> None:
    tried: list[int] = []

    def made(place: int) -> str | None:
        tried.append(place)
        return f"made {place}" if place >= first else None

    last = f"made {count - 1}" if known and count > first else None
    found = nearest(range(count), made, last)
    assert found == (f"made {first}" if first < count else None)
    assert len(tried) <= count.bit_length() + 2
