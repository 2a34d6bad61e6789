"""Whether a pipe on ropes can move without any force, and where it folds."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.ranges import require_above

__all__ = ["folding_hinges", "zero_modes"]

FloatArray = NDArray[np.float64]


def zero_modes(
    *,
    start: float,
    end: float,
    supports: ArrayLike,
    hinges: Sequence[float] = (),
) -> int:
    """Count the ways in which a hinged pipe can move without any force.

    Parameters
    ----------
    start, end : float
        Ends of the pipe [in].
    supports : array_like
        Stations of the taut ropes, `(n,)` [in].
    hinges : sequence of float
        Stations of joints without stiffness [in].

    Returns
    -------
    int
        Independent motions [-]; 0 for a pipe that stands.

    Raises
    ------
    ValueRangeError
        If the end is not beyond the start.

    Notes
    -----
    Pieces between hinges are rigid: rise, first slope and one kink a hinge are
    the unknowns, one equation a support; the count is the rank that is missing.
    Range: motion in the upright plane, small slopes.

    References
    ----------
    Kinematics of rigid bodies; for the plain case unknowns minus supports.

    Examples
    --------
    Ten-foot sticks on twelve-foot ropes, hinged:

    >>> zero_modes(
    ...     start=0, end=432, supports=(0, 144, 288, 432), hinges=(120, 240, 360)
    ... )
    1
    >>> zero_modes(start=0, end=432, supports=(216,))
    1
    """
    require_above("end of the pipe", end, start, "in")
    shapes = _rigid_shapes(start, end, supports, hinges)
    rank = int(np.linalg.matrix_rank(shapes)) if shapes.size else 0
    return int(shapes.shape[1]) - rank


def folding_hinges(
    *, start: float, end: float, supports: ArrayLike, hinges: Sequence[float]
) -> tuple[float, ...]:
    """Return the hinges that kink when the pipe moves without any force.

    Parameters
    ----------
    start, end : float
        Ends of the pipe [in].
    supports : array_like
        Stations of the taut ropes, `(n,)` [in].
    hinges : sequence of float
        Stations of joints without stiffness [in].

    Returns
    -------
    tuple of float
        Their stations [in]; none for a pipe that stands or only tips.

    Raises
    ------
    ValueRangeError
        If the end is not beyond the start.

    Notes
    -----
    Null space of the motions that `zero_modes` counts. Range: as there.

    References
    ----------
    Kinematics of rigid bodies.

    Examples
    --------
    >>> folding_hinges(start=0, end=240, supports=(0, 100, 240), hinges=(50, 120))
    (50, 120)
    >>> folding_hinges(start=0, end=240, supports=(0, 240), hinges=())
    ()
    """
    require_above("end of the pipe", end, start, "in")
    if not hinges:
        return ()
    _, sizes, modes = np.linalg.svd(_rigid_shapes(start, end, supports, hinges))
    rank = int((sizes > 1e-9 * sizes.max(initial=1.0)).sum())
    kinks = np.abs(modes[rank:, 2:]).max(axis=0, initial=0.0)
    return tuple(h for h, kink in zip(hinges, kinks, strict=True) if kink > 1e-6)


def _rigid_shapes(
    start: float, end: float, supports: ArrayLike, hinges: Sequence[float]
) -> FloatArray:
    """Return rise, slope and kink motions at each support, `(n, 2 + hinges)`."""
    place = (np.asarray(supports, float) - start) / (end - start)
    kinks = (np.asarray(hinges, float) - start) / (end - start)
    bent = np.maximum(place[:, None] - kinks[None, :], 0.0)
    return np.column_stack([np.ones_like(place), place, bent])
