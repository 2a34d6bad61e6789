"""What a rule looks at: the measured facts of a run, a hoist, the room, the lead.

Evidence is gathered by `core.analysis` and holds no judgement.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from core.catalogue.catalogue import Catalogue
from core.geometry.coverage import Coverage
from core.geometry.runs import SweptRun
from core.geometry.shapes import Vec3
from core.model.fixtures import Fixture
from core.model.hoists import Hoist, PullCable
from core.model.job import Job
from core.model.room import Room, Strip
from core.model.runs import Run
from core.placement.solids import Group

__all__ = [
    "Contact",
    "InsideHit",
    "PipeFacts",
    "RoomEvidence",
    "RunEvidence",
    "StrandContact",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """How near a run comes to one other thing over its whole travel [in].

    `bands` are the heights of the axis at the supports at which the other thing
    is inside the envelope, not clipped to the travel. `clearance` is the least
    surface gap and `at_height` the support height where it is met; `stations`
    are the parts of the run that come inside the envelope during the travel.
    """

    other: str
    part: str
    group: Group
    bands: tuple[tuple[float, float], ...]
    clearance: float
    at_height: float
    on_run: Vec3
    on_other: Vec3
    stations: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StrandContact:
    """How near a rope, cable, clamp or lead comes to one other thing [in]."""

    part: str
    group: Group
    other: str
    other_part: str
    other_group: Group
    clearance: float
    on_strand: Vec3
    on_other: Vec3


@dataclass(frozen=True, slots=True, kw_only=True)
class InsideHit:
    """A place of a run that lies inside a solid or a closed scan [in]."""

    other: str
    part: str
    at: Vec3
    lift: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeFacts:
    """How a run hangs as a pipe on ropes; `trouble` says why that is not known.

    `reactions` [lbf] by support, `slack` the supports whose rope carries nothing.
    `spans` are the sags [in] of the front overhang, of each span between taut ropes
    and of the back overhang, each with the names of its ends ("" for a free end).
    `joints` are the stations of the joints, each with its nearest insulator and how
    far that is [in].
    """

    trouble: str = ""
    unit_weight: float = 0.0
    reactions: Mapping[str, float] = field(default_factory=dict)
    slack: tuple[str, ...] = ()
    spans: tuple[tuple[str, str, float], ...] = ()
    lowest: float = 0.0
    lowest_station: float = 0.0
    joints: tuple[tuple[float, str, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RunEvidence:
    """Everything that rules of one run need; compares by identity.

    By support: `insulator_gaps` between insulator and pulley, stowed;
    `next_pulleys` the way from a drop pulley along the cable to the next
    pulley's rim (only with a pull cable); `truss_offsets` from the nearest
    chord's middle; `fan_distances` to the nearest fan (only where the room is
    tunnel-ventilated); all [in]. `sag_limit` [in] is the job's. `open_scans` are
    the ids of the scans that are no closed surface.
    """

    run: Run
    room: Room
    strip: Strip | None
    hoist: Hoist | None
    cable: PullCable | None
    catalogue: Catalogue
    body: SweptRun
    contacts: tuple[Contact, ...]
    strands: tuple[StrandContact, ...]
    inside: tuple[InsideHit, ...]
    open_scans: tuple[str, ...]
    insulator_gaps: Mapping[str, float]
    next_pulleys: Mapping[str, float]
    truss_offsets: Mapping[str, float]
    truss_names: Mapping[str, str]
    fan_distances: Mapping[str, tuple[str, float]]
    pipe: PipeFacts
    sag_limit: float

    @property
    def low(self) -> float:
        """Return the working height of the axis at the supports [in]."""
        return self.body.low

    @property
    def high(self) -> float:
        """Return the stow height of the axis at the supports [in]."""
        return self.body.low + self.body.travel

    def station(self, support: str) -> float:
        """Return the station of a support [in]."""
        return next(s.station for s in self.run.supports if s.id == support)

    def station_of(self, point: Vec3) -> float:
        """Return the station of a point beside the run [in]."""
        (x0, y0), (x1, y1) = self.run.start, self.run.end
        length = math.dist(self.run.start, self.run.end)
        along = (point[0] - x0) * (x1 - x0) + (point[1] - y0) * (y1 - y0)
        return min(max(along / length, 0.0), length)

    def is_blocked(self, bands: Iterable[tuple[float, float]], height: float) -> bool:
        """Tell whether a support height lies in one of some blocked bands.

        The ends of a band are free, but for a run that swings: its bands are known
        within the travel only and end there.
        """
        if self.body.swing is None:
            return any(lo < height < hi for lo, hi in bands)
        return any(lo <= height <= hi for lo, hi in bands)

    def lowest_live(self, height: float) -> float:
        """Return the height of the lowest live part at a support height [in]."""
        sag = max(self.body.sag.depths) if self.body.sag else 0.0
        return height - max(sag, 0.0) - self.body.down - self.body.radius

    def lift_at(self, height: float) -> float:
        """Return the lift [-] at a support height [in]."""
        travel = self.high - self.low
        return (height - self.low) / travel if travel > 0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomEvidence:
    """The room with its runs as a whole; compares by identity."""

    room: Room
    runs: tuple[Run, ...]
    fixtures: tuple[Fixture, ...]
    job: Job
    covered: Coverage | None
