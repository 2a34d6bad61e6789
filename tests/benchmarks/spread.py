"""How long frames take: the middle one and the slow ones."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

__all__ = ["Spread"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Half the frames take less than `p50`, one in a hundred more than `p99` [ms]."""

    p50: float
    p99: float

    @classmethod
    def of(cls, times: Sequence[float]) -> "Spread":
        """Return the spread of the times of some frames [ms]."""
        p50, p99 = np.percentile(times, (50, 99))
        return cls(p50=float(p50), p99=float(p99))

    def __str__(self) -> str:
        return f"{self.p50:6.1f} / {self.p99:6.1f}"
