"""Exactly at a limit passes, and so does what rounding leaves. Values are our own."""

import pytest

from boardgen.model.bounds import above, below, outside


@pytest.mark.parametrize(
    ("actual", "short", "over"), [(8, True, False), (9, False, False), (11, False, False),
                                  (12, False, True)],
)  # fmt: skip
def test_noise_is_forgiven_on_either_side_and_no_more(actual: int, short: bool, over: bool) -> None:
    assert below(actual, 10, noise=1) is short
    assert above(actual, 10, noise=1) is over
    assert outside(actual, (10, 10), noise=1) is (short or over)


def test_without_a_noise_of_its_own_a_bound_forgives_a_nanometre_of_millimetres() -> None:
    assert not below(1.0 - 0.9e-6, 1.0)
    assert below(1.0 - 1.1e-6, 1.0)
    assert not above(1.0 + 0.9e-6, 1.0)
    assert above(1.0 + 1.1e-6, 1.0)
    assert outside(0.5, (1.0, 2.0))
    assert outside(2.5, (1.0, 2.0))
    assert not outside(1.5, (1.0, 2.0))
