"""The standard parts, with the source of their numbers.

No brand is listed. What a job really uses is added in its barn file with the
maker's data; a part there takes the place of the one here with the same id.
"""

from collections.abc import Iterator
from functools import cache
from typing import Any, Literal

from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import (
    AnchorScrew,
    Cap,
    Clamp,
    DischargePoint,
    HandWinch,
    HvLead,
    Insulator,
    Joint,
    MotorWinch,
    Origin,
    Part,
    Pulley,
    Rope,
    Sleeve,
    SnatchBlock,
    Tube,
    Turnbuckle,
    Wood,
)

__all__ = ["standard_catalogue"]

# id, description, outside diameter [in], wall [in], nominal weight [lbf/ft], stick [in]
_EMT = (
    ("emt-1-2", "EMT, trade size 1/2", 0.706, 0.042, 0.30, 120.0),
    ("emt-3-4", "EMT, trade size 3/4", 0.922, 0.049, 0.46, 120.0),
    ("emt-1", "EMT, trade size 1", 1.163, 0.057, 0.67, 120.0),
    ("emt-1-1-4", "EMT, trade size 1-1/4", 1.510, 0.065, 1.01, 120.0),
    ("emt-1-1-2", "EMT, trade size 1-1/2", 1.740, 0.065, 1.16, 120.0),
    ("emt-2", "EMT, trade size 2", 2.197, 0.065, 1.48, 120.0),
)
_STEEL_PIPE = (
    ("pipe-1-2", "steel pipe, NPS 1/2 schedule 40", 0.840, 0.109, 0.85, 252.0),
    ("pipe-3-4", "steel pipe, NPS 3/4 schedule 40", 1.050, 0.113, 1.13, 252.0),
    ("pipe-1", "steel pipe, NPS 1 schedule 40", 1.315, 0.133, 1.68, 252.0),
    ("pipe-2", "steel pipe, NPS 2 schedule 40", 2.375, 0.154, 3.65, 252.0),
)
# Weight by 10.69 (D - t) t of ASME B36.10M.
_STEEL_TUBE = (
    ("tube-3-4x16ga", "round steel tube, 3/4 x 0.065", 0.750, 0.065, 0.476, 240.0),
    ("tube-1x16ga", "round steel tube, 1 x 0.065", 1.000, 0.065, 0.650, 240.0),
    ("tube-1-1-4x16ga", "round steel tube, 1-1/4 x 0.065", 1.250, 0.065, 0.823, 240.0),
    ("tube-1-3-8x16ga", "round steel tube, 1-3/8 x 0.065", 1.375, 0.065, 0.910, 252.0),
)
_TUBE_GROUPS = (
    (_EMT, "ANSI C80.3, nominal sizes; steel tube industry table", Origin.PUBLISHED),
    (_STEEL_PIPE, "ASME B36.10M, plain-end table", Origin.PUBLISHED),
    (
        _STEEL_TUBE,
        "ASTM A513 sizes from memory; weight by ASME B36.10M, 10.69 (D - t) t",
        Origin.FROM_MEMORY,
    ),
)

# id, description, length [in], weight [lbf], stiffness [lbf in/rad]
_JOINTS = (
    ("set-screw-coupling", "set-screw coupling", 2.0, 0.35, 2_600.0),
    ("compression-coupling", "compression coupling", 2.5, 0.40, 5_000.0),
    ("bolted-sleeve", "inner sleeve 8 in long, two bolts a side", 8.0, 0.60, 26_000.0),
    ("threaded-coupling", "threaded pipe coupling", 2.5, 0.60, None),
    ("welded-joint", "butt weld", 0.0, 0.0, None),
)
_JOINT_SOURCE = (
    "common practice, no published source; 3/4 EMT over a 12-ft span has EI/L = "
    "2586 lbf in/rad: measure one coupling"
)

# id, description, length [in], diameter [in], weight [lbf], rating [lbf], creepage [in]
_INSULATORS = (
    (
        "rod-insulator-6",
        "insulating rod 6 in with two eyes",
        6.0,
        0.625,
        0.15,
        100.0,
        6.0,
    ),
    (
        "rod-insulator-9",
        "insulating rod 9 in with two eyes",
        9.0,
        0.625,
        0.22,
        100.0,
        9.0,
    ),
    ("ribbed-insulator-6", "ribbed insulator 6 in", 6.0, 1.25, 0.40, 200.0, 10.0),
)

# id, rating [lbf], pitch and pin radius [in], ratio [-], hang [in], rope [in], [lbf]
_DROP_PULLEYS = (
    ("drop-pulley-40", 40.0, 0.875, 0.1875, 1.09, 1.5, 0.25, 0.3),
    ("drop-pulley-100", 100.0, 1.0, 0.1875, 1.09, 1.75, 0.25, 0.5),
)
_TURNING_PULLEYS = (
    ("turning-pulley-175", 175.0, 1.25, 0.25, 1.04, 2.25, 0.25, 1.0),
    ("turning-pulley-350", 350.0, 1.5, 0.3125, 1.04, 2.75, 0.3125, 1.8),
    ("turning-pulley-750", 750.0, 2.0, 0.375, 1.04, 3.5, 0.375, 3.5),
)
_PULLEY_SOURCE = (
    "rating: common practice, no published source; friction ratio: Wire Rope Users "
    "Manual, 4th ed., p. 87-88 (1.09 plain, 1.04 rolling bearing)"
)

# diameter, root diameter, length, thread with tip, tip, pilot hole [in], yield [psi]
_LAG_SIZES = (
    ("1-4x3", 0.25, 0.173, 3.0, 2.0, 0.15625, 0.15625, 70_000.0),
    ("1-4x4", 0.25, 0.173, 4.0, 2.5, 0.15625, 0.15625, 70_000.0),
    ("5-16x4", 0.3125, 0.227, 4.0, 2.5, 0.1875, 0.1875, 60_000.0),
    ("3-8x4", 0.375, 0.265, 4.0, 2.5, 0.21875, 0.234375, 45_000.0),
    ("1-2x5", 0.5, 0.371, 5.0, 3.0, 0.3125, 0.3125, 45_000.0),
)
_HEADS: tuple[tuple[Literal["eye", "hex"], str, str], ...] = (
    ("eye", "screw-eye-lag", "lag screw eye"),
    ("hex", "lag-screw", "lag screw, hexagon head"),
)
_LAG_SOURCE = (
    "ASME B18.2.1 thread length (half the length plus 1/2 in); NDS 2018 Appendix "
    "Table L2, 12.1.4 and Table 12K: root, tip, pilot hole and yield from memory"
)

# id, diameter [in], breaking strength [lbf], weight [lbf/ft]
_CABLES = (
    ("cable-7x19-1-8", "1/8", 0.125, 2000.0, 0.029),
    ("cable-7x19-5-32", "5/32", 0.15625, 2800.0, 0.045),
    ("cable-7x19-3-16", "3/16", 0.1875, 4200.0, 0.065),
    ("cable-7x19-7-32", "7/32", 0.21875, 5600.0, 0.086),
    ("cable-7x19-1-4", "1/4", 0.25, 7000.0, 0.110),
)
_CABLE_SOURCE = (
    "MIL-DTL-83420 Type I composition A, 7x19, by FAA AC 43.13-1B Table 7-3 "
    "(strength); weight from secondary tables; stretch by the rope makers' rule "
    "E% = W G / D2 with G = 1.62e-5"
)
_STRETCH_FACTOR = 1.62e-5  # G of that rule, per cent in2/lbf

# id, description, diameter [in], strength [lbf], weight [lbf/ft], EA [lbf]
_CORDS = (
    ("cord-3-16", "nylon cord 3/16 in", 0.1875, 900.0, 0.010, 4_500.0),
    ("cord-1-4", "nylon cord 1/4 in", 0.25, 1490.0, 0.015, 7_500.0),
    ("polyester-cord-3-16", "polyester cord 3/16 in", 0.1875, 1000.0, 0.012, 8_000.0),
    ("polyester-cord-1-4", "polyester cord 1/4 in", 0.25, 1650.0, 0.020, 13_000.0),
)
_CORD_SOURCE = (
    "rope makers' tables of new rope (strength and weight of nylon, strength of "
    "polyester); half is kept at a knot; stretch and the rest from memory"
)

# thread [in], closed length [in], take-up [in], working load [lbf], weight [lbf]
_TURNBUCKLES = (
    ("turnbuckle-1-4", "1/4 x 4", 0.25, 8.0, 4.0, 500.0, 0.35),
    ("turnbuckle-5-16", "5/16 x 4-1/2", 0.3125, 9.5, 4.5, 700.0, 0.6),
    ("turnbuckle-3-8", "3/8 x 6", 0.375, 12.0, 6.0, 1040.0, 0.9),
    ("turnbuckle-1-2", "1/2 x 6", 0.5, 13.5, 6.0, 1800.0, 1.8),
)

_WOODS = (
    ("southern-pine", "southern pine", 0.55),
    ("douglas-fir-larch", "Douglas fir-larch", 0.50),
    ("hem-fir", "hem-fir", 0.43),
    ("spruce-pine-fir", "spruce-pine-fir", 0.42),
    ("spruce-pine-fir-south", "spruce-pine-fir (south)", 0.36),
)
_PRACTICE = "common practice, no published source"


@cache
def standard_catalogue() -> Catalogue:
    """Return the standard parts.

    Returns
    -------
    Catalogue
        The same object at each call.
    """
    return Catalogue.of(_parts())


def _parts() -> Iterator[Part]:
    """List every standard part."""
    yield from _tubes()
    yield from _run_parts()
    yield from _pulleys()
    yield from _screws()
    yield from _ropes()
    yield from _rigging()
    yield from _winches()
    yield from _lead_parts()
    for part_id, words, gravity in _WOODS:
        yield Wood(
            id=part_id,
            description=words,
            specific_gravity=gravity,
            source="NDS 2018 Table 12.3.3A",
            origin=Origin.FROM_MEMORY,
        )


def _tubes() -> Iterator[Part]:
    """List tubes and their end caps."""
    for rows, source, origin in _TUBE_GROUPS:
        for part_id, words, outside, wall, weight, stick in rows:
            yield Tube(
                id=part_id,
                description=words,
                outside_diameter=outside,
                wall=wall,
                weight_per_foot=weight,
                stick_length=stick,
                source=source,
                origin=origin,
            )
            yield Cap(
                id=f"cap-{part_id}",
                description=f"rounded end cap for {words}",
                tube_diameter=outside,
                length=1.0,
                weight=0.05,
                source=_PRACTICE,
                origin=Origin.COMMON_PRACTICE,
            )


def _run_parts() -> Iterator[Part]:
    """List points, joints and insulators."""
    yield DischargePoint(
        id="steel-point",
        description="ground steel point with clip",
        length=2.0,
        tip_radius=0.002,
        weight=0.02,
        source=_PRACTICE,
        origin=Origin.COMMON_PRACTICE,
    )
    for part_id, words, length, weight, stiffness in _JOINTS:
        yield Joint(
            id=part_id,
            description=words,
            length=length,
            weight=weight,
            rotational_stiffness=stiffness,
            source=_JOINT_SOURCE,
            origin=Origin.COMMON_PRACTICE,
        )
    for part_id, words, length, diameter, weight, rating, creepage in _INSULATORS:
        yield Insulator(
            id=part_id,
            description=words,
            length=length,
            diameter=diameter,
            weight=weight,
            rating=rating,
            creepage=creepage,
            source=_PRACTICE,
            origin=Origin.COMMON_PRACTICE,
        )


def _pulleys() -> Iterator[Part]:
    """List drop pulleys, turning pulleys and the snatch block."""
    for row in _DROP_PULLEYS:
        words = f"drop pulley, plain bearing, {row[1]:g} lb on the pulley"
        yield Pulley(kind="drop-pulley", description=words, **_sheave(*row))
    for row in _TURNING_PULLEYS:
        words = f"turning pulley, rolling bearing, {row[1]:g} lb on the pulley"
        yield Pulley(kind="turning-pulley", description=words, **_sheave(*row))
    block = _sheave("snatch-block-3", 1000.0, 1.5, 0.3125, 1.04, 5.0, 0.375, 3.0)
    yield SnatchBlock(description="snatch block, 3 in sheave", length=8.0, **block)


def _sheave(
    part_id: str,
    rating: float,
    pitch_radius: float,
    pin_radius: float,
    ratio: float,
    hang: float,
    largest_rope: float,
    weight: float,
) -> dict[str, Any]:
    """Name the numbers of one row of pulleys."""
    return {
        "id": part_id,
        "rating": rating,
        "pitch_radius": pitch_radius,
        "pin_radius": pin_radius,
        "friction_ratio": ratio,
        "hang": hang,
        "largest_rope": largest_rope,
        "weight": weight,
        "source": _PULLEY_SOURCE,
        "origin": Origin.COMMON_PRACTICE,
    }


def _screws() -> Iterator[Part]:
    """List screw eyes and hex lag screws."""
    for size, diameter, root, length, thread, tip, pilot, bending in _LAG_SIZES:
        for head, name, words in _HEADS:
            yield AnchorScrew(
                id=f"{name}-{size}",
                description=f"{words} {_as_fraction(size)} in",
                head=head,
                diameter=diameter,
                root_diameter=root,
                length=length,
                thread_length=thread,
                tip_length=tip,
                pilot_hole=pilot,
                bending_yield=bending,
                source=_LAG_SOURCE,
                origin=Origin.FROM_MEMORY,
            )


def _as_fraction(size: str) -> str:
    """Write 3-8x4 as 3/8 x 4."""
    return size.replace("-", "/").replace("x", " x ")


def _ropes() -> Iterator[Part]:
    """List wire ropes and cords."""
    for part_id, size, diameter, strength, weight in _CABLES:
        yield Rope(
            kind="wire-rope",
            id=part_id,
            description=f"galvanized wire rope 7x19, {size} in",
            diameter=diameter,
            breaking_strength=strength,
            weight_per_foot=weight,
            axial_stiffness=100 * diameter**2 / _STRETCH_FACTOR,
            termination_efficiency=0.8,
            source=_CABLE_SOURCE,
            origin=Origin.PUBLISHED,
        )
    for part_id, words, diameter, strength, weight, stiffness in _CORDS:
        yield Rope(
            kind="cord",
            id=part_id,
            description=words,
            diameter=diameter,
            breaking_strength=strength,
            weight_per_foot=weight,
            axial_stiffness=stiffness,
            termination_efficiency=0.5,
            source=_CORD_SOURCE,
            origin=Origin.FROM_MEMORY,
        )


def _rigging() -> Iterator[Part]:
    """List clamps and turnbuckles."""
    for size, diameter in (("1-8", 0.125), ("3-16", 0.1875), ("1-4", 0.25)):
        yield Clamp(
            id=f"cable-clamp-{size}",
            description=f"two-bolt clamp for {_as_fraction(size)} in cable",
            length=1.5,
            radius=0.5,
            largest_rope=diameter,
            weight=0.15,
            source=_PRACTICE,
            origin=Origin.COMMON_PRACTICE,
        )
    for part_id, size, thread, closed, take_up, rating, weight in _TURNBUCKLES:
        yield Turnbuckle(
            id=part_id,
            description=f"forged turnbuckle {size} in, eye ends",
            diameter=thread,
            closed_length=closed,
            take_up=take_up,
            rating=rating,
            weight=weight,
            source="Federal Specification FF-T-791b, type I form 1, design factor 5 "
            "(read in a secondary copy); lengths and weights from memory",
            origin=Origin.PUBLISHED,
        )


def _winches() -> Iterator[Part]:
    """List hand and motor winches."""
    for pull, core, width, flange, layers, gears, weight in (
        (600.0, 2.0, 2.25, 3.5, 3, 3.2, 7.0),
        (1000.0, 2.5, 2.8125, 4.0, 4, 4.0, 12.0),
        (1500.0, 2.5, 2.8125, 4.0, 4, 5.1, 15.0),
    ):
        yield HandWinch(
            id=f"hand-winch-{pull:g}",
            description=f"hand winch with brake, {pull:g} lb on the first layer",
            first_layer_pull=pull,
            core_diameter=core,
            drum_width=width,
            flange_diameter=flange,
            layers=layers,
            largest_rope=0.25,
            weight=weight,
            gear_ratio=gears,
            handle_radius=9.0,
            efficiency=0.75,
            source=_PRACTICE,
            origin=Origin.COMMON_PRACTICE,
        )
    for pull, core, speed, weight in (
        (1000.0, 2.5, 2.4, 45.0),
        (2000.0, 3.0, 1.6, 70.0),
    ):
        yield MotorWinch(
            id=f"motor-winch-{pull:g}",
            description=f"electric winch with brake, {pull:g} lb on the first layer",
            first_layer_pull=pull,
            core_diameter=core,
            drum_width=6.0,
            flange_diameter=6.0,
            layers=4,
            largest_rope=0.25,
            weight=weight,
            line_speed=speed,
            source=_PRACTICE,
            origin=Origin.COMMON_PRACTICE,
        )


def _lead_parts() -> Iterator[Part]:
    """List high-voltage leads and their sleeve."""
    for kilovolts, outside, weight in ((40, 0.28, 0.05), (60, 0.36, 0.08)):
        yield HvLead(
            id=f"lead-{kilovolts}kv",
            description=f"silicone high-voltage lead, {kilovolts} kV DC, unshielded",
            rated_voltage=1000.0 * kilovolts,
            outside_diameter=outside,
            bend_radius=3.0,
            weight_per_foot=weight,
            capacitance_per_foot=20.0,
            source=_PRACTICE,
            origin=Origin.COMMON_PRACTICE,
        )
    yield Sleeve(
        id="lead-sleeve-1-2",
        description="polyethylene tubing, 1/2 in outside, over the lead",
        inside_diameter=0.375,
        outside_diameter=0.5,
        source=_PRACTICE,
        origin=Origin.COMMON_PRACTICE,
    )
