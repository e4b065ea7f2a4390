"""Boards in a chain against one long ladder: by a closed form, and by a dense nodal sum."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen.electrical.chain import solve_chain
from boardgen.electrical.network import Array, Taps, Tree

NO_RAIL = Tree(parents=(-1,), ohms=(0.0,))


def ladder(taps: int, section_ohm: float) -> Tree:
    """Draw a rail of equal sections, a tap at the end of each; the last one leads on."""
    return Tree(parents=(-1, *range(taps)), ohms=(0.0, *(section_ohm,) * taps))


def constant(amps: float) -> Taps:
    return lambda across: (np.full_like(across, amps), np.zeros_like(across))


def resistive(ohms: float) -> Taps:
    def drawn(across: Array) -> tuple[Array, Array]:
        return across / ohms, np.full_like(across, 1 / ohms)

    return drawn


@given(st.integers(1, 8), st.integers(1, 9), st.floats(1e-4, 0.1))
def test_constant_currents_lose_the_sum_over_all_sections(
    boards: int, taps: int, section: float
) -> None:
    """Loss at the end of N equal sections fed from one end: i r N (N + 1) / 2.

    Derived in docs/sources.md, rails; N counts the taps of all boards.
    """
    amps, places = 0.01, [(tap, 0) for tap in range(1, taps + 1)]
    flows = solve_chain((ladder(taps, section), NO_RAIL), places, (taps, 0), constant(amps), 5.0,
                        boards, 0.0)  # fmt: skip
    number = boards * taps
    assert 5.0 - flows[-1].across_v[-1] == pytest.approx(amps * section * number * (number + 1) / 2)
    behind = [float(flow.current_a[-1]) for flow in flows]
    assert behind == pytest.approx([amps * taps * (boards - 1 - board) for board in range(boards)])


@given(st.integers(2, 5), st.integers(1, 5), st.floats(0.01, 1.0), st.floats(0.0, 0.5))
def test_resistive_taps_find_the_voltages_of_one_nodal_sum(
    boards: int, taps: int, section: float, joint: float
) -> None:
    """All nodes of all boards in one matrix, solved by numpy."""
    ohms, number = 50.0, boards * taps
    conducts, drawn = np.zeros((number, number)), np.zeros(number)
    for node in range(number):
        before = section + (joint if node and node % taps == 0 else 0.0)
        conducts[node, node] += 1 / ohms + 1 / before
        if node:
            conducts[node - 1, node - 1] += 1 / before
            conducts[node, node - 1] -= 1 / before
            conducts[node - 1, node] -= 1 / before
        else:
            drawn[0] = 5.0 / before
    wanted = np.linalg.solve(conducts, drawn)
    places = [(tap, 0) for tap in range(1, taps + 1)]
    flows = solve_chain((ladder(taps, section), NO_RAIL), places, (taps, 0), resistive(ohms), 5.0,
                        boards, joint)  # fmt: skip
    found = np.concatenate([flow.across_v[:-1] for flow in flows])
    assert found == pytest.approx(wanted, rel=1e-9)


def test_a_board_that_stands_alone_has_no_joint() -> None:
    (flow,) = solve_chain((ladder(3, 0.1), NO_RAIL), [(1, 0), (2, 0), (3, 0)], None,
                          constant(0.01), 5.0, 1, 0.0)  # fmt: skip
    assert len(flow.current_a) == 3
