import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from core.geometry.silhouettes import (
    Barrels,
    Chains,
    barrel_tops,
    chain_tops,
    hull_edges,
    rounded_bands,
    sum_edges,
)


def one(*values: float) -> np.ndarray:
    return np.array(values)


def test_band_over_a_rectangle_is_flat_and_rounds_off_beside_it() -> None:
    # Hand-worked: reach 5 over z 10 to 12; 3 in beside it 4 in of the reach are left.
    lo, hi = rounded_bands(
        one(0.0, 2.0, 5.0, 7.0),
        center=np.zeros(4),
        half=np.full(4, 2.0),
        low=np.full(4, 10.0),
        high=np.full(4, 12.0),
        reach=np.full(4, 5.0),
    )
    assert lo.tolist() == [5.0, 5.0, 6.0, 10.0]
    assert hi.tolist() == [17.0, 17.0, 16.0, 12.0]


def test_top_over_a_sloping_edge_is_the_hand_worked_one() -> None:
    # An edge from (0, 0) to (8, 6), reach 5: the parallel line lies 5 * 10 / 8 above
    # it, touched 3 in to the right of the pipe; beyond the ends a circle is left.
    chains = Chains.of_ends(
        np.array([[[0.0]], [[0.0]]]), np.array([[[8.0]], [[6.0]]]), reach=one(5.0)
    )
    places = one(-4.0, -3.0, 1.0, 5.0, 12.0, 14.0)
    tops = chain_tops(places, np.zeros(6, dtype=np.int64), chains)
    assert tops.tolist() == pytest.approx([3.0, 4.0, 7.0, 10.0, 9.0, -np.inf])
    assert chains.crest.tolist() == [8.0]


def test_upper_outline_of_a_tilted_square_has_its_corners() -> None:
    # Hand-worked: arms (2, 1) and (-1, 2) = (1, -2) turned round (10, 20). Left
    # corner (10 - 3, 20 + 1), then on by (4, 2), the steeper one, then by (2, -4).
    arms = np.array([[[2.0], [1.0]], [[-1.0], [2.0]]])
    start, end = sum_edges(np.array([[10.0], [20.0]]), arms)
    corners = [tuple(c) for c in start[:, :, 0].T] + [tuple(end[:, -1, 0])]
    assert corners == [(7.0, 21.0), (11.0, 23.0), (13.0, 19.0)]


def test_edges_of_a_hull_that_lie_on_its_outline_are_found() -> None:
    # A square with a corner in it: its sides, one diagonal and an inner edge.
    a = np.array([[0.0, 2.0, 2.0, 0.0, 0.0, 0.5], [0.0, 0.0, 2.0, 2.0, 0.0, 0.5]])
    b = np.array([[2.0, 2.0, 0.0, 0.0, 2.0, 1.5], [0.0, 2.0, 2.0, 0.0, 2.0, 0.9]])
    upper, lower = hull_edges(a, b)
    assert upper.tolist() == [2]
    assert lower.tolist() == [0]


@pytest.mark.parametrize("lean", [1.0, 1e-3, 1e-6, 1e-9])
@pytest.mark.parametrize(
    "axis", [(0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 1, 1), (0, 0, 1)]
)
def test_tops_over_cylinders_are_the_least_over_all_slopes(
    axis: tuple[int, int, int], lean: float
) -> None:
    # Second method: the top is the least, over the normals of all tangents, of where
    # the tangent, moved out by the reach, passes the pipe; it is convex in the slope.
    rng = np.random.default_rng(3)
    unit = np.array(axis) * rng.uniform(0.3, 1.0, 3) + lean * rng.uniform(0.1, 1.0, 3)
    unit /= np.linalg.norm(unit)
    half, radius, reach = 7.0, 2.5, 6.5
    made = Barrels.of_axes(
        unit[:, None], half=one(half), radius=one(radius), reach=one(reach)
    )
    wide = half * abs(unit[1]) + radius * np.sqrt(1.0 - unit[1] ** 2) + reach
    places = wide * np.linspace(-0.97, 0.97, 41)
    tops = barrel_tops(places, np.zeros(41, dtype=np.int64), made)

    def passing(slope: float, v: float) -> float:
        normal = np.array([0.0, -slope, 1.0]) / np.hypot(slope, 1.0)
        along = abs(normal @ unit)
        flat = np.linalg.norm(np.cross(normal, unit))
        support = half * along + radius * flat + reach
        return float(support * np.hypot(slope, 1.0) + slope * v)

    for v, top in zip(places, tops, strict=True):
        least = minimize_scalar(
            passing, bracket=(-1.0, 1.0), args=(v,), method="golden", tol=1e-12
        )
        assert top == pytest.approx(least.fun, abs=1e-9)
