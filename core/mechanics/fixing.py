"""What the hardest pulled screw of a base carries when a rope pulls at the base."""

import math
from dataclasses import dataclass

from core.ranges import require_above, require_at_least

__all__ = ["ScrewPull", "screw_pull"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewPull:
    """The pull on one screw, out of the wood and sideways [lbf]."""

    withdrawal: float
    side: float

    @property
    def size(self) -> float:
        """Return the size of the pull [lbf]."""
        return math.hypot(self.withdrawal, self.side)

    @property
    def angle(self) -> float:
        """Return its angle from the face of the wood [rad]."""
        return math.atan2(self.withdrawal, self.side)


def screw_pull(
    out: float, along: float, *, height: float, spread: float, screws: int
) -> ScrewPull:
    """Return the pull on the hardest pulled screw of a base.

    Parameters
    ----------
    out : float
        Pull on the base out of the wood [lbf]; less than 0 presses it on.
    along : float
        Pull along the face of the wood [lbf], at least 0.
    height : float
        Of the line of the pull above the face [in], at least 0.
    spread : float
        Between the two rows of screws, along the pull [in], greater than 0.
    screws : int
        In both rows together [-], at least 1; a single one holds with half the
        spread.

    Returns
    -------
    ScrewPull
        Of a screw in the row that the pull lifts [lbf].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``side = along / n``; ``withdrawal = max(out, 0) / n + along h / (s m)`` with the
    m screws of one row, `n // 2`, or one half for a single screw. The base is stiff
    and turns about its other row, which is less lever than its edge would give.

    References
    ----------
    Statics.

    Examples
    --------
    >>> pull = screw_pull(0.0, 200.0, height=4.0, spread=5.0, screws=4)
    >>> pull.withdrawal, pull.side
    (80.0, 50.0)
    """
    require_at_least("pull along the wood", along, 0.0, "lbf")
    require_at_least("height of the pull", height, 0.0, "in")
    require_above("spread of the screws", spread, 0.0, "in")
    require_at_least("screws", screws, 1, "-")
    row = max(screws // 2, 0.5)
    prying = along * height / (spread * row)
    return ScrewPull(withdrawal=max(out, 0.0) / screws + prying, side=along / screws)
