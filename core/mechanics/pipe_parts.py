"""What a hung pipe is made of, as plain records."""

import math
from dataclasses import dataclass

__all__ = ["Joint", "Lump", "Pipe", "Rope"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pipe:
    """A straight pipe: its ends [in], weight [lbf/in] and stiffness EI [lbf in2]."""

    start: float
    end: float
    weight: float
    stiffness: float

    @property
    def length(self) -> float:
        """Return the length [in]."""
        return self.end - self.start


@dataclass(frozen=True, slots=True, kw_only=True)
class Rope:
    """A rope that can only pull: `station` [in], `drop` [in], `spring` [lbf/in].

    `drop` is how far its end hangs below the level line when it carries nothing;
    an infinite `spring` does not stretch.
    """

    station: float
    drop: float = 0.0
    spring: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Lump:
    """A weight [lbf] fixed to the pipe at a station [in]."""

    station: float
    weight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A coupling that bends: `station` [in] and `stiffness` [in lbf/rad].

    A `stiffness` of 0 is a hinge, an infinite one is as good as no joint.
    """

    station: float
    stiffness: float
    name: str = ""

    @property
    def label(self) -> str:
        """Return the name, or the station when the joint has none."""
        return self.name or f"joint at {self.station:g} in"
