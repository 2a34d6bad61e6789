import math
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import MeshFileError, ValueRangeError
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    Hull,
    Mesh,
    Shape,
    Sphere,
)
from core.model import fixtures as kinds
from core.model.fixtures import Fixture, FlapSides
from core.model.room import Wall
from core.placement.solids import Group, Moving, Solid, fixture_solids
from core.quantities import LengthUnit
from tests.core.placement.containment import is_in_any
from tests.core.placement.rooms import SLOPED, room_with

ROOM = room_with()
MESH = Mesh(vertices=np.eye(3), faces=np.array([[0, 1, 2]]))
QUARTER = math.pi / 2


def solids(fixture: Fixture, **changes: object) -> dict[str, Shape]:
    found = fixture_solids(fixture, room_with(**changes))
    assert {solid.owner for solid in found} == {fixture.id}
    return {solid.part: solid.shape for solid in found}


def bounds(shape: Box) -> tuple[list[float], list[float]]:
    reach = np.abs(np.array(shape.axes)).T @ np.array(shape.half)
    center = np.array(shape.center)
    return (center - reach).tolist(), (center + reach).tolist()


def assert_box(
    shape: Shape, low: tuple[float, float, float], high: tuple[float, float, float]
) -> None:
    assert isinstance(shape, Box)
    assert np.allclose(bounds(shape), (low, high), rtol=0, atol=1e-9)


# one specimen of each kind, ceiling at 96 in
SPECIMENS: tuple[Fixture, ...] = (
    kinds.CeilingInlet(
        id="inlet",
        x=100.0,
        y=60.0,
        length=30.0,
        width=16.0,
        drop=5.0,
        flap=7.0,
        flap_sides=FlapSides.BOTH,
        opening=math.radians(60),
    ),
    kinds.Light(
        id="light", x=50.0, y=40.0, length=48.0, width=5.0, depth=4.0, drop=1.0
    ),
    kinds.FeedLine(
        id="feed",
        path=((0.0, 50.0, 80.0), (90.0, 50.0, 80.0), (90.0, 90.0, 80.0)),
        diameter=3.0,
    ),
    kinds.WaterLine(
        id="water", path=((0.0, 5.0, 70.0), (90.0, 5.0, 70.0)), diameter=1.0
    ),
    kinds.SoakerLine(
        id="soak",
        path=((0.0, 0.0, 84.0), (0.0, 9.0, 84.0), (9.0, 9.0, 84.0), (9.0, 9.0, 70.0)),
        diameter=1.0,
    ),
    kinds.Conduit(id="pipe", path=((0.0, 9.0, 94.0), (90.0, 9.0, 94.0)), diameter=0.75),
    kinds.FeedDrop(id="drop", x=20.0, y=30.0, top=80.0, bottom=34.0, diameter=2.5),
    kinds.Feeder(id="feeder", x=200.0, y=60.0, length=60.0, width=20.0, height=34.0),
    kinds.TubeHeater(
        id="tube",
        start=(10.0, 100.0, 85.0),
        end=(250.0, 100.0, 85.0),
        width=12.0,
        depth=8.0,
    ),
    kinds.BoxHeater(
        id="heater", x=60.0, y=20.0, z=65.0, length=30.0, width=18.0, height=20.0
    ),
    kinds.WallFan(
        id="fan", wall=Wall.RIGHT, offset=90.0, z=50.0, diameter=24.0, depth=10.0
    ),
    kinds.TunnelFan(
        id="tunnel", wall=Wall.BACK, offset=60.0, z=36.0, diameter=52.0, depth=15.0
    ),
    kinds.ChimneyFan(id="chimney", x=240.0, y=120.0, diameter=20.0, drop=9.0),
    kinds.StirringFan(
        id="stir", x=100.0, y=100.0, z=75.0, diameter=24.0, depth=8.0, tilt=0.3
    ),
    kinds.Probe(id="probe", x=150.0, y=60.0, cable=40.0, swing=8.0),
    kinds.Controller(
        id="control",
        wall=Wall.FRONT,
        offset=30.0,
        z=48.0,
        width=16.0,
        height=20.0,
        depth=6.0,
    ),
    kinds.Post(id="post", x=120.0, y=120.0, width=6.0, depth=4.0),
    kinds.Beam(
        id="beam",
        start=(0.0, 0.0, 90.0),
        end=(0.0, 240.0, 90.0),
        width=5.5,
        depth=9.0,
    ),
    kinds.Gate(id="gate", x=200.0, y=100.0, length=48.0, height=36.0, swing=QUARTER),
    kinds.Camera(id="camera", x=300.0, y=120.0, drop=2.0),
    kinds.PlainBox(id="box", x=10.0, y=20.0, z=30.0, length=4.0, width=6.0, height=8.0),
    kinds.PlainCylinder(
        id="drum", start=(0.0, 0.0, 0.0), end=(9.0, 0.0, 0.0), diameter=4.0
    ),
    kinds.PlainCapsule(
        id="tank", start=(0.0, 0.0, 0.0), end=(9.0, 0.0, 0.0), diameter=4.0
    ),
    kinds.PlainSphere(id="ball", x=1.0, y=2.0, z=3.0, diameter=4.0),
    kinds.PlainHull(
        id="hull",
        points=((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    ),
    kinds.Scan(id="scan", file="scan.stl", unit=LengthUnit.METRE),
)
BY_ID = {fixture.id: fixture for fixture in SPECIMENS}


def test_there_is_a_specimen_of_every_kind() -> None:
    assert {type(fixture) for fixture in SPECIMENS} == set(get_args(Fixture))


@pytest.mark.parametrize("fixture", SPECIMENS, ids=BY_ID)
def test_every_kind_gives_equal_tagged_solids_each_time(fixture: Fixture) -> None:
    meshes = {"scan": MESH}
    found = fixture_solids(fixture, ROOM, meshes)
    assert found
    assert found == fixture_solids(fixture, room_with(), meshes)
    assert {(solid.owner, solid.group) for solid in found} == {
        (fixture.id, Group.FIXTURE)
    }


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [  # hand-worked from the sizes above
        ("light", (26.0, 37.5, 91.0), (74.0, 42.5, 95.0)),
        ("feeder", (170.0, 50.0, 0.0), (230.0, 70.0, 34.0)),
        ("tube", (10.0, 94.0, 81.0), (250.0, 106.0, 89.0)),
        ("heater", (45.0, 11.0, 65.0), (75.0, 29.0, 85.0)),
        ("tunnel", (465.0, 34.0, 10.0), (480.0, 86.0, 62.0)),
        ("control", (0.0, 22.0, 48.0), (6.0, 38.0, 68.0)),
        ("post", (117.0, 118.0, 0.0), (123.0, 122.0, 96.0)),
        ("beam", (-2.75, 0.0, 85.5), (2.75, 240.0, 94.5)),
        ("box", (8.0, 17.0, 30.0), (12.0, 23.0, 38.0)),
    ],
)
def test_boxes_have_their_sizes(
    name: str, low: tuple[float, float, float], high: tuple[float, float, float]
) -> None:
    (shape,) = solids(BY_ID[name]).values()
    assert_box(shape, low, high)


@pytest.mark.parametrize(
    ("name", "shape"),
    [  # hand-worked from the sizes above
        ("drop", Cylinder(a=(20.0, 30.0, 34.0), b=(20.0, 30.0, 80.0), radius=1.25)),
        ("fan", Cylinder(a=(90.0, 240.0, 50.0), b=(90.0, 230.0, 50.0), radius=12.0)),
        (
            "chimney",
            Cylinder(a=(240.0, 120.0, 87.0), b=(240.0, 120.0, 96.0), radius=10.0),
        ),
        (
            "camera",
            Cylinder(a=(300.0, 120.0, 89.0), b=(300.0, 120.0, 94.0), radius=2.5),
        ),
        ("drum", Cylinder(a=(0.0, 0.0, 0.0), b=(9.0, 0.0, 0.0), radius=2.0)),
        ("tank", Capsule(a=(0.0, 0.0, 0.0), b=(9.0, 0.0, 0.0), radius=2.0)),
        ("ball", Sphere(center=(1.0, 2.0, 3.0), radius=2.0)),
        ("water", Cylinder(a=(0.0, 5.0, 70.0), b=(90.0, 5.0, 70.0), radius=0.5)),
    ],
)
def test_round_things_have_their_sizes(name: str, shape: Shape) -> None:
    assert list(solids(BY_ID[name]).values()) == [shape]


def test_a_bent_line_is_round_in_its_bends_and_flat_at_its_ends() -> None:
    two = solids(BY_ID["feed"])
    assert [type(shape) for shape in two.values()] == [Cylinder, Cylinder, Sphere]
    assert two["bend 1"] == Sphere(center=(90.0, 50.0, 80.0), radius=1.5)
    three = solids(BY_ID["soak"])
    assert [type(shape) for shape in three.values()] == [Cylinder, Capsule, Cylinder]


def test_a_line_with_a_point_twice_has_no_piece_of_no_length() -> None:
    path = ((0.0, 5.0, 70.0), (0.0, 5.0, 70.0), (90.0, 5.0, 70.0))
    line = kinds.WaterLine(id="w", path=path, diameter=1.0)
    assert list(solids(line)) == ["tube 1"]


def test_a_turned_light_lies_along_its_heading() -> None:
    light = kinds.Light(
        id="l", x=50.0, y=40.0, length=48.0, width=5.0, depth=4.0, heading=QUARTER
    )
    assert_box(solids(light)["body"], (47.5, 16.0, 92.0), (52.5, 64.0, 96.0))


def test_what_hangs_follows_a_sloped_ceiling() -> None:
    # hand-worked: at y = 60 the ceiling is 96 + 24 x 60/240 = 102
    camera = kinds.Camera(id="c", x=9.0, y=60.0)
    body = solids(camera, ceiling=SLOPED)["body"]
    assert isinstance(body, Cylinder)
    assert (body.a[2], body.b[2]) == (97.0, 102.0)


def test_the_box_of_an_inlet_closes_up_to_a_sloped_ceiling() -> None:
    inlet = kinds.CeilingInlet(
        id="i", x=99.0, y=60.0, length=30.0, width=20.0, drop=4.0
    )
    # hand-worked: underside 102 - 4, top at y = 70: 96 + 24 x 70/240 = 103
    housing = solids(inlet, ceiling=SLOPED)["housing"]
    assert_box(housing, (84.0, 50.0, 98.0), (114.0, 70.0, 103.0))


def test_flaps_hang_on_the_outer_edges_of_the_box() -> None:
    shapes = solids(BY_ID["inlet"])
    assert_box(shapes["housing"], (85.0, 52.0, 91.0), (115.0, 68.0, 96.0))
    left = np.array(shapes["flap left"].points)
    right = np.array(shapes["flap right"].points)
    # hand-worked: hinges at y = 52 and 68, z = 91; 7 in long, level flaps end at
    # y = 59 and 61; opened by 60 degrees the left one ends 7 sin 60 = 6.0622 lower
    assert left[:, 1].min() == pytest.approx(52.0, abs=1e-9)
    assert right[:, 1].max() == pytest.approx(68.0, abs=1e-9)
    assert 59.0 <= left[:, 1].max() <= 59.05
    assert 60.95 <= right[:, 1].min() <= 61.0
    assert 91 - 6.0622 - 0.05 <= left[:, 2].min() <= 91 - 6.0621
    assert left[:, 0].min() == pytest.approx(85.0)
    assert left[:, 0].max() == pytest.approx(115.0)


@given(
    heading=st.floats(-4.0, 4.0),
    opening=st.floats(0.0, 3.2),
    share=st.floats(0.0, 1.0),
    along=st.floats(-15.0, 15.0),
    out=st.floats(0.0, 7.0),
    side=st.sampled_from([-1.0, 1.0]),
)
def test_a_flap_in_any_position_lies_in_its_space(
    heading: float, opening: float, share: float, along: float, out: float, side: float
) -> None:
    inlet = kinds.CeilingInlet(
        id="i",
        x=100.0,
        y=60.0,
        length=30.0,
        width=16.0,
        drop=5.0,
        heading=heading,
        flap=7.0,
        flap_sides=FlapSides.BOTH,
        opening=opening,
    )
    angle = opening * share
    across = side * (8.0 - out * math.cos(angle))
    point = (
        100 + along * math.cos(heading) - across * math.sin(heading),
        60 + along * math.sin(heading) + across * math.cos(heading),
        91 - out * math.sin(angle),
    )
    flaps = [s.shape for s in fixture_solids(inlet, ROOM) if s.part != "housing"]
    assert is_in_any(flaps, np.array([point])).all()


def test_an_inlet_flush_with_the_ceiling_without_flaps_takes_nothing() -> None:
    inlet = kinds.CeilingInlet(id="i", x=9.0, y=9.0, length=9.0, width=9.0, drop=0.0)
    assert fixture_solids(inlet, ROOM) == ()


@pytest.mark.parametrize(
    ("sides", "parts"),
    [
        (FlapSides.NONE, {"housing"}),
        (FlapSides.LEFT, {"housing", "flap left"}),
        (FlapSides.RIGHT, {"housing", "flap right"}),
        (FlapSides.BOTH, {"housing", "flap left", "flap right"}),
    ],
)
def test_flaps_are_on_the_sides_that_were_surveyed(
    sides: FlapSides, parts: set[str]
) -> None:
    inlet = kinds.CeilingInlet(
        id="i",
        x=99.0,
        y=60.0,
        length=30.0,
        width=20.0,
        drop=4.0,
        flap=8.0,
        flap_sides=sides,
        opening=1.0,
    )
    assert set(solids(inlet)) == parts


def test_a_shut_flap_is_a_thin_slab() -> None:
    inlet = kinds.CeilingInlet(
        id="i",
        x=99.0,
        y=60.0,
        length=30.0,
        width=20.0,
        drop=4.0,
        flap=8.0,
        flap_sides=FlapSides.LEFT,
    )
    z = np.array(solids(inlet)["flap left"].points)[:, 2]
    assert z.max() == pytest.approx(92.0)
    assert 91.9 <= z.min() < 92.0


def test_a_gate_that_does_not_swing_is_a_box() -> None:
    gate = kinds.Gate(
        id="g", x=200.0, y=100.0, length=48.0, height=36.0, heading=QUARTER
    )
    assert_box(solids(gate)["leaf"], (199.25, 100.0, 2.0), (200.75, 148.0, 38.0))


@given(heading=st.floats(-4.0, 4.0), swing=st.floats(-6.3, 6.3), share=st.floats(0, 1))
def test_a_gate_in_any_position_lies_in_its_space(
    heading: float, swing: float, share: float
) -> None:
    gate = kinds.Gate(
        id="g", x=200.0, y=100.0, length=48.0, height=36.0, heading=heading, swing=swing
    )
    angle = heading + swing * share
    u = np.array([0.0, 48.0, 48.0, 0.0])
    v = np.array([-0.75, -0.75, 0.75, 0.75])
    points = np.column_stack(
        (
            200 + u * math.cos(angle) - v * math.sin(angle),
            100 + u * math.sin(angle) + v * math.cos(angle),
            (2.0, 38.0, 2.0, 38.0),
        )
    )
    assert is_in_any([s.shape for s in fixture_solids(gate, ROOM)], points).all()


def test_a_stirring_fan_is_tipped_down_along_its_heading() -> None:
    (guard,) = solids(BY_ID["stir"]).values()
    assert isinstance(guard, Cylinder)
    # hand-worked: 4 cos 0.3 = 3.821346 level, 4 sin 0.3 = 1.182081 down
    assert guard.b == pytest.approx((103.821346, 100.0, 73.817919), abs=1e-6)
    assert guard.a == pytest.approx((96.178654, 100.0, 76.182081), abs=1e-6)
    assert guard.radius == 12.0


def test_a_still_probe_is_a_cable_and_a_body() -> None:
    probe = kinds.Probe(id="p", x=150.0, y=60.0, cable=40.0)
    assert solids(probe) == {
        "cable": Cylinder(a=(150.0, 60.0, 96.0), b=(150.0, 60.0, 56.0), radius=0.125),
        "body": Cylinder(a=(150.0, 60.0, 56.0), b=(150.0, 60.0, 52.0), radius=0.5),
    }


@given(
    swing=st.floats(0.1, 60.0),
    share=st.floats(0.0, 1.0),
    heading=st.floats(0.0, 6.3),
    depth=st.floats(0.0, 44.0),
)
def test_a_swinging_probe_lies_in_its_space(
    swing: float, share: float, heading: float, depth: float
) -> None:
    probe = kinds.Probe(id="p", x=150.0, y=60.0, cable=40.0, swing=swing)
    out = depth * min(1.0, swing / 40.0) * share
    down = math.sqrt(max(0.0, depth**2 - out**2))
    point = (150 + out * math.cos(heading), 60 + out * math.sin(heading), 96 - down)
    shapes = [s.shape for s in fixture_solids(probe, ROOM)]
    assert is_in_any(shapes, np.array([point])).all()


def test_swept_spaces_are_marked() -> None:
    marked = {
        solid.owner
        for fixture in SPECIMENS
        for solid in fixture_solids(fixture, ROOM, {"scan": MESH})
        if solid.moving is Moving.SWEPT
    }
    assert marked == {"inlet", "probe", "gate"}


BOX = kinds.PlainBox(id="b", x=0.0, y=0.0, z=30.0, length=4.0, width=6.0, height=8.0)


@pytest.mark.parametrize(
    ("pitch", "roll", "point"),
    [  # hand-worked: middle (0, 0, 34), half (2, 3, 4); a quarter turn
        (QUARTER, 0.0, (0.0, 0.0, 35.9)),  # the front end is up
        (0.0, QUARTER, (0.0, 0.0, 36.9)),  # the far side (larger y) is up
        (-QUARTER, 0.0, (3.9, 0.0, 34.0)),  # the top is in front
        (0.0, QUARTER, (0.0, -3.9, 34.0)),  # the top is at smaller y
    ],
)
def test_a_box_is_pitched_and_rolled_about_its_middle(
    pitch: float, roll: float, point: tuple[float, float, float]
) -> None:
    box = replace(BOX, pitch=pitch, roll=roll)
    assert is_in_any([solids(box)["body"]], np.array([point])).all()
    assert not is_in_any([solids(box)["body"]], np.array([point]) * 1.03).any()


@given(heading=st.floats(-4, 4), pitch=st.floats(-1.5, 1.5), roll=st.floats(-1.5, 1.5))
def test_axes_of_a_turned_box_are_square_and_right_handed(
    heading: float, pitch: float, roll: float
) -> None:
    box = replace(BOX, heading=heading, pitch=pitch, roll=roll)
    shape = solids(box)["body"]
    assert isinstance(shape, Box)
    axes = np.array(shape.axes)
    assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_a_sloping_beam_keeps_its_width_level() -> None:
    beam = kinds.Beam(
        id="b", start=(0.0, 0.0, 80.0), end=(30.0, 40.0, 130.0), width=4.0, depth=8.0
    )
    shape = solids(beam)["body"]
    assert isinstance(shape, Box)
    # hand-worked: length hypot(30, 40, 50) = 70.7107
    assert shape.half == pytest.approx((35.35534, 2.0, 4.0))
    assert shape.axes[1] == pytest.approx((-0.8, 0.6, 0.0))


def test_an_upright_beam_is_a_box_too() -> None:
    beam = kinds.Beam(
        id="b", start=(9.0, 9.0, 0.0), end=(9.0, 9.0, 80.0), width=4.0, depth=8.0
    )
    assert_box(solids(beam)["body"], (5.0, 7.0, 0.0), (13.0, 11.0, 80.0))


def test_a_beam_of_no_length_is_an_error() -> None:
    beam = kinds.Beam(
        id="b", start=(9.0, 9.0, 80.0), end=(9.0, 9.0, 80.0), width=4.0, depth=8.0
    )
    with pytest.raises(ValueRangeError, match='"b": length = 0 in'):
        fixture_solids(beam, ROOM)


def test_a_scan_gives_the_mesh_it_was_handed() -> None:
    (solid,) = fixture_solids(BY_ID["scan"], ROOM, {"scan": MESH})
    assert solid == Solid(owner="scan", part="surface", group=Group.FIXTURE, shape=MESH)


def test_a_scan_without_its_mesh_is_an_error() -> None:
    with pytest.raises(MeshFileError, match=r'scan "scan": its mesh "scan\.stl"'):
        fixture_solids(BY_ID["scan"], ROOM)


def test_every_hull_can_be_built() -> None:
    hulls = [
        solid.shape
        for fixture in SPECIMENS
        for solid in fixture_solids(fixture, ROOM, {"scan": MESH})
        if isinstance(solid.shape, Hull)
    ]
    assert hulls
    for hull in hulls:
        assert is_in_any([hull], np.array(hull.points)).all()
