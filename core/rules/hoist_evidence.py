"""What rules of a hoist look at: every rope, pulley, screw, cable and the winch.

Tensions of a pull cable are upper bounds while lifting (each pulley's greatest wrap
of the travel counts) and lower bounds while lowering.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from core.geometry.shapes import Vec3
from core.mechanics.anchor import TrussLoad
from core.model.hoists import Hoist
from core.model.room import Wall
from core.model.runs import Run
from core.rules.evidence import StrandContact

__all__ = [
    "LIGHT_SHARE",
    "STIFF_DRAG",
    "STIFF_SHARE",
    "AnchorLoads",
    "CableLoads",
    "ClampLoads",
    "FixingLoads",
    "HoistEvidence",
    "PulleyLoads",
    "RopeStrength",
    "SegmentLoads",
    "WinchLoads",
]

# The light case of lowering; common practice, no published source.
LIGHT_SHARE = 0.8  # [-] share of each drop's load that acts
STIFF_SHARE = 2.0  # [-] friction of each pulley to that listed
STIFF_DRAG = 0.25  # [lbf] friction of each pulley that does not fall with the load


@dataclass(frozen=True, slots=True, kw_only=True)
class PulleyLoads:
    """What one pulley carries.

    `load` is the greatest resultant of the travel while lifting [lbf], met at
    `at_lift` with the vector `force`; `loads` are the resultants at the sampled
    lifts. The tensions [lbf] are those on its winch side: of the drop rope on a
    drop pulley, of the pull cable on a turning pulley. `wrap` is the greatest [rad].
    """

    id: str
    run: str
    kind: str
    part: str
    at: Vec3
    rating: float
    loads: tuple[float, ...]
    load: float
    at_lift: float
    force: Vec3
    wrap: float
    ratio: float
    lifting: float
    resting: float
    lowering: float
    light: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ClampLoads:
    """What pulls at the clamp of one support along the cable, `id` being the support's.

    `pull` is the tension of its drop rope while lifting, `slip_load` the pull at which
    the part slips [lbf], None where that is not known.
    """

    id: str
    run: str
    part: str
    pull: float
    slip_load: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorLoads:
    """What one screw carries and holds.

    `withdrawal` and `side` [lbf] are the parts of its pull along and square to it
    at the lift where it is used most; `allowed` [lbf] is the combined value at the
    pull's `angle` from the wood's face [rad]; `use` is load over allowed [-].
    `edge_room` [in] is negative where the chord's edge is too near. A screw for
    which nothing can be said has its reason in `trouble`.
    """

    id: str
    run: str
    part: str
    truss: str
    blocking: bool
    at: Vec3
    withdrawal: float
    side: float
    angle: float
    thread: float
    allowed: float
    use: float
    edge_room: float
    off_chord: float
    force: Vec3
    trouble: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FixingLoads:
    """What the screws of a winch or of a dead end carry and hold.

    `at` is where they are on the `wall`, or where the thing itself is when that
    stands elsewhere [in]; `force` [lbf] pulls at it, `height` above the wood's face,
    and rows of screws are `spread` apart [in]. `withdrawal` and `side` [lbf] are of
    the hardest pulled screw, `allowed` [lbf] what it holds that way, `use` the one
    over the other. `trouble` says why what it holds is not known.
    """

    id: str
    what: str
    part: str
    screws: int
    wall: Wall | None
    at: Vec3
    force: Vec3
    height: float
    spread: float
    withdrawal: float
    side: float
    thread: float
    allowed: float
    use: float
    trouble: str = ""

    @property
    def load(self) -> float:
        """Return the pull on the hardest pulled screw [lbf]."""
        return math.hypot(self.withdrawal, self.side)


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentLoads:
    """One straight part of a pull cable between two named places.

    Tensions [lbf]; `length` at working height [in]; sags below the straight line
    [in] at rest and while lowering, infinite where the cable has no tension.
    """

    start: str
    end: str
    length: float
    lifting: float
    resting: float
    lowering: float
    light: float
    sag_resting: float
    sag_lowering: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeStrength:
    """How many times its greatest tension one rope or cable holds.

    `strength` is the least breaking strength [lbf]; `bend` and `termination` are
    shares of it [-] that the tightest wheel and the end fitting leave.
    """

    id: str
    what: str
    part: str
    tension: float
    strength: float
    bend: float
    termination: float
    factor: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CableLoads:
    """One pull cable with its run; `trouble` says why nothing is known of it.

    `pull` [lbf] at the pull point by kind of motion; `slack` names the drops that go
    slack while lowering in the light case and `light_left` is the least pull that the
    friction of any pulley leaves over in it [lbf], negative where some is missing;
    `lag` is how far stretch holds the far clamp back while lifting [in]; `clamp_travel`
    is the way of each clamp [in]; `length` runs from the far clamp to the pull point
    at working height [in].
    """

    id: str
    run: str
    part: str
    travel: float
    trouble: str = ""
    drops: Mapping[str, float]
    pulleys: tuple[PulleyLoads, ...] = ()
    clamps: tuple[ClampLoads, ...] = ()
    anchors: tuple[AnchorLoads, ...] = ()
    segments: tuple[SegmentLoads, ...] = ()
    strengths: tuple[RopeStrength, ...] = ()
    lifting: float = 0.0
    resting: float = 0.0
    lowering: float = 0.0
    light: float = 0.0
    light_left: float = 0.0
    slack: tuple[str, ...] = ()
    length: float = 0.0
    lag: float = 0.0
    clamp_travel: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class WinchLoads:
    """The winch at work; `trouble` says why something in it is not known.

    `core` is the diameter of the bare drum [in]; `pull` is the greatest pull on its
    rope while lifting [lbf], `dead_end` the load of the other part, `block` the load
    on the block; `pull_at_top` what the winch pulls on the `layer` reached when
    stowed; `taken_up` and `capacity` the rope to wind, spare rope included, and the
    drum's room above the dead wraps [in].
    Room for block and turnbuckle and distances to the main door are in inches;
    None is not known, or not to be had for this kind of winch.
    """

    part: str
    motor: bool
    rope: str
    core: float
    rope_too_thick: bool
    pull: float
    pull_at: float
    dead_end: float | None
    block: float | None
    block_rating: float | None
    turnbuckle_load: float
    turnbuckle_rating: float
    first_layer_pull: float
    taken_up: float
    capacity: float
    dead_wraps: int
    layers: int
    layer: int
    turns: float
    pull_at_top: float
    lift_time: float | None
    handle_force: float | None
    stop_at: float | None
    block_room: float
    to_door: float | None
    pull_line_to_door: float | None
    pull_point_to_door: float | None
    trouble: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoistEvidence:
    """Everything that rules of one hoist need; compares by identity.

    `travels` is the way of each run and `chord_width` that of a truss chord [in];
    `trusses` sums the screws of each truss; `strands` is what the winch line comes
    near to; `winch` is None where a cable's loads are not known, with the reason in
    `trouble`; `fixings` hold the winch and the dead end.
    """

    hoist: Hoist
    runs: Mapping[str, Run]
    chord_width: float
    travels: Mapping[str, float]
    cables: tuple[CableLoads, ...]
    strands: tuple[StrandContact, ...]
    pull: float
    winch: WinchLoads | None
    strengths: tuple[RopeStrength, ...]
    trusses: tuple[TrussLoad, ...]
    fixings: tuple[FixingLoads, ...] = ()
    trouble: str = ""
