"""What a part of the job is: its sizes, its ratings, and where they come from.

Every part carries an id, a plain description, a source and the origin of its
numbers. A job's own parts are written in the barn file in these same fields.
Lengths are inches, weights and ratings pounds-force.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, MinLen

from core.mechanics.tube import STEEL_MODULUS
from core.quantities import Gap, Size, Speed, Voltage, Weight

__all__ = [
    "AnchorScrew",
    "Cap",
    "Clamp",
    "DischargePoint",
    "HandWinch",
    "HvLead",
    "Insulator",
    "Joint",
    "MotorWinch",
    "Origin",
    "Part",
    "Pulley",
    "Rope",
    "Sleeve",
    "SnatchBlock",
    "Tube",
    "Turnbuckle",
    "Wood",
]

PartId = Annotated[str, MinLen(1)]
Positive = Annotated[float, Gt(0)]
Rating = Annotated[float, Gt(0)]
Efficiency = Annotated[float, Gt(0), Le(1)]


class Origin(StrEnum):
    """Where the numbers of a part come from."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common-practice"
    FROM_MEMORY = "from-memory"
    MAKER = "maker"
    MEASURED = "measured"

    @property
    def words(self) -> str:
        """The label as it is printed."""
        return _ORIGIN_WORDS[self]


_ORIGIN_WORDS = {
    Origin.PUBLISHED: "published",
    Origin.COMMON_PRACTICE: "common practice, no published source",
    Origin.FROM_MEMORY: "from memory",
    Origin.MAKER: "maker's data",
    Origin.MEASURED: "measured",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Listed:
    """What every part has: id, plain description, source and origin."""

    id: PartId
    description: str = ""
    source: str = ""
    origin: Origin = Origin.MAKER


class _ByLength:
    """What is weighed by its length; the field for it stands with the others."""

    __slots__ = ()
    weight_per_foot: float

    @property
    def unit_weight(self) -> float:
        """Weight for one inch of length [lbf/in]."""
        return self.weight_per_foot / 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube(_Listed, _ByLength):
    """A round steel tube that runs are joined from.

    Outside diameter and wall [in], nominal weight [lbf/ft], modulus of
    elasticity [psi], length of a stick as sold [in].
    """

    kind: Literal["tube"] = "tube"
    outside_diameter: Size
    wall: Size
    weight_per_foot: Weight
    modulus: Positive = STEEL_MODULUS
    stick_length: Size = 120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DischargePoint(_Listed):
    """A sharp point on the tube: length and tip radius [in], weight [lbf]."""

    kind: Literal["point"] = "point"
    length: Size
    tip_radius: Size
    weight: Weight


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint(_Listed):
    """What joins two sticks: length [in], weight [lbf], stiffness in bending.

    `rotational_stiffness` [lbf in/rad] is the moment for one radian of kink;
    None is a joint as stiff as the tube, 0 a hinge.
    """

    kind: Literal["joint"] = "joint"
    length: Gap
    weight: Weight
    rotational_stiffness: Annotated[float, Ge(0)] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Insulator(_Listed):
    """The insulator between drop rope and tube.

    Length and diameter [in], weight [lbf], working load `rating` [lbf] and the
    creepage path along its surface [in], None where it is not known.
    """

    kind: Literal["insulator"] = "insulator"
    length: Size
    diameter: Size
    weight: Weight
    rating: Rating | None = None
    creepage: Size | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheave(_Listed):
    """A wheel for rope on a pin.

    `rating` [lbf] limits the resultant on the pulley. `pitch_radius` is that of
    the rope's axis, `pin_radius` that of the pin [in]; `friction_ratio` [-] is
    the tension behind the pulley to that before it for a wrap of 180 degrees,
    and `friction` [-] the coefficient at the pin. A measured ratio is better
    than a listed one. `hang` [in] goes from the anchor to the wheel's centre,
    `largest_rope` [in] is the thickest rope that fits the groove.
    """

    rating: Rating
    pitch_radius: Size
    pin_radius: Size
    friction_ratio: Annotated[float, Ge(1)]
    friction: Annotated[float, Ge(0), Le(1)] = 0.12
    hang: Gap
    largest_rope: Size
    weight: Weight

    @property
    def outside_radius(self) -> float:
        """Radius of the wheel's rim, the thickest rope beyond the rope's axis [in]."""
        return self.pitch_radius + self.largest_rope


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulley(_Sheave):
    """A pulley on an anchor: over a run, or where the cable turns."""

    kind: Literal["drop-pulley", "turning-pulley"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SnatchBlock(_Sheave):
    """The moving block of a two-part line; overall length [in]."""

    kind: Literal["snatch-block"] = "snatch-block"
    length: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorScrew(_Listed):
    """A screw that is turned into a truss chord from below.

    `length` is the shank's, `thread_length` its threaded part with the tip,
    `tip_length` the tapered tip that does not count as thread, `root_diameter`
    that of the thread's root, `pilot_hole` that of the drill [in].
    `bending_yield` [psi] is the bending yield strength. `rating` [lbf] is that
    of the eye or hook itself, None where its maker states none.
    """

    kind: Literal["screw"] = "screw"
    thread: Literal["lag", "wood"] = "lag"
    head: Literal["eye", "hook", "hex"] = "eye"
    diameter: Size
    root_diameter: Size
    length: Size
    thread_length: Size
    tip_length: Gap
    pilot_hole: Size
    bending_yield: Positive
    rating: Rating | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rope(_Listed, _ByLength):
    """A wire rope or a cord.

    Diameter [in], least breaking strength [lbf], weight [lbf/ft], axial
    stiffness EA [lbf] and the share of strength that its end fitting keeps [-].
    """

    kind: Literal["wire-rope", "cord"]
    diameter: Size
    breaking_strength: Rating
    weight_per_foot: Weight
    axial_stiffness: Positive
    termination_efficiency: Efficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamp(_Listed):
    """The clamp that ties a drop rope to the pull cable.

    Length along the cable, radius about its axis and thickest cable [in],
    weight [lbf], pull at which it slips [lbf], None where it is not known.
    """

    kind: Literal["clamp"] = "clamp"
    length: Size
    radius: Size
    largest_rope: Size
    weight: Weight
    slip_load: Rating | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Turnbuckle(_Listed):
    """A turnbuckle: thread, closed length and take-up [in], working load [lbf]."""

    kind: Literal["turnbuckle"] = "turnbuckle"
    diameter: Size
    closed_length: Size
    take_up: Size
    rating: Rating
    weight: Weight


@dataclass(frozen=True, slots=True, kw_only=True)
class _Winch(_Listed):
    """A winch's drum.

    `first_layer_pull` [lbf] is the rated pull on the bare drum; `core_diameter`,
    `drum_width` and `flange_diameter` are the drum's [in], `layers` [-] counts
    the layers that the winch may be used with. `line_height` of the rope above the
    base's face and `screw_spread` between the base's rows of screws along the rope
    [in] are None where the maker states none.
    """

    first_layer_pull: Rating
    core_diameter: Size
    drum_width: Size
    flange_diameter: Size
    layers: Annotated[int, Ge(1)]
    largest_rope: Size
    weight: Weight
    line_height: Size | None = None
    screw_spread: Size | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HandWinch(_Winch):
    """A winch with a crank: turns of the crank for one of the drum [-].

    `handle_radius` [in] is the crank's, `efficiency` [-] that of its gears.
    """

    kind: Literal["hand-winch"] = "hand-winch"
    gear_ratio: Positive
    handle_radius: Size
    efficiency: Efficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class MotorWinch(_Winch):
    """A winch with a motor: rope speed on the bare drum [in/s]."""

    kind: Literal["motor-winch"] = "motor-winch"
    line_speed: Annotated[Speed, Gt(0)]


@dataclass(frozen=True, slots=True, kw_only=True)
class HvLead(_Listed, _ByLength):
    """A high-voltage lead.

    Rated voltage [V], outside diameter and least bending radius [in], weight
    [lbf/ft], capacitance to ground where it lies on grounded metal [pF/ft].
    """

    kind: Literal["lead"] = "lead"
    rated_voltage: Voltage
    outside_diameter: Size
    bend_radius: Size
    weight_per_foot: Weight
    capacitance_per_foot: Annotated[float, Ge(0)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sleeve(_Listed):
    """Insulating tubing over a lead: inside and outside diameter [in]."""

    kind: Literal["sleeve"] = "sleeve"
    inside_diameter: Size
    outside_diameter: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Cap(_Listed):
    """A rounded cap on a tube's end: tube diameter, length [in], weight [lbf]."""

    kind: Literal["cap"] = "cap"
    tube_diameter: Size
    length: Size
    weight: Weight


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood(_Listed):
    """A species group of the truss: specific gravity G, oven-dry [-]."""

    kind: Literal["wood"] = "wood"
    specific_gravity: Annotated[float, Gt(0.2), Le(1)]


Part = (
    Tube
    | DischargePoint
    | Joint
    | Insulator
    | Pulley
    | SnatchBlock
    | AnchorScrew
    | Rope
    | Clamp
    | Turnbuckle
    | HandWinch
    | MotorWinch
    | HvLead
    | Sleeve
    | Cap
    | Wood
)
