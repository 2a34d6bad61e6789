import math
from dataclasses import replace

import numpy as np
import pytest

from core.geometry.shapes import Box, Hull, Shape
from core.model.room import Bulkhead, Ceiling, Door, DoorSwing, Pen, Trusses, Wall
from core.placement.building import (
    building_solids,
    ceiling_height,
    nearest_truss,
    truss_stations,
)
from core.placement.ceiling import ceiling_top
from core.placement.solids import Group, Moving, Solid
from core.placement.walls import wall_frame
from tests.core.placement.containment import hull_volume, is_in_any
from tests.core.placement.rooms import ACROSS, ALONG, FLAT, GABLE, SLOPED, room_with

BULKHEAD = Bulkhead(id="duct", x=180.0, y=90.0, length=60.0, width=50.0, depth=12.0)


def of(solids: tuple[Solid, ...], *owners: str) -> list[Shape]:
    return [solid.shape for solid in solids if solid.owner in owners]


def corners(shape: Shape) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Least and greatest coordinates."""
    if isinstance(shape, Box):
        reach = np.abs(np.array(shape.axes)).T @ np.array(shape.half)
        center = np.array(shape.center)
        return tuple(center - reach), tuple(center + reach)
    assert isinstance(shape, Hull)
    points = np.array(shape.points)
    return tuple(points.min(axis=0)), tuple(points.max(axis=0))


def test_walls_stand_outside_the_room_and_close_its_corners() -> None:
    solids = building_solids(room_with())
    walls = {name: of(solids, f"{name} wall")[0] for name in Wall}
    # hand-worked: 6 in thick, up to 96 + 24
    assert corners(walls[Wall.FRONT]) == ((-6.0, 0.0, 0.0), (0.0, 240.0, 120.0))
    assert corners(walls[Wall.BACK]) == ((480.0, 0.0, 0.0), (486.0, 240.0, 120.0))
    assert corners(walls[Wall.LEFT]) == ((-6.0, -6.0, 0.0), (486.0, 0.0, 120.0))
    assert corners(walls[Wall.RIGHT]) == ((-6.0, 240.0, 0.0), (486.0, 246.0, 120.0))


@pytest.mark.parametrize("ceiling", [FLAT, SLOPED, GABLE, ALONG, ACROSS])
def test_ceiling_solids_begin_at_the_ceiling(ceiling: Ceiling) -> None:
    room = room_with(ceiling, bulkheads=(BULKHEAD,))
    shapes = of(building_solids(room), "ceiling", "duct")
    random = np.random.default_rng(4)
    places = random.uniform((1.0, 1.0), (479.0, 239.0), (300, 2))
    heights = np.array([ceiling_height(room, x, y) for x, y in places])
    above = np.column_stack((places, heights + 1e-6))
    below = np.column_stack((places, heights - 1e-6))
    assert is_in_any(shapes, above).all()
    assert not is_in_any(shapes, below).any()
    assert is_in_any(
        shapes, np.column_stack((places, heights * 0 + ceiling_top(room)))
    ).all()


def test_a_riser_is_a_face_of_the_lower_field() -> None:
    solids = building_solids(room_with(ALONG))
    fields = of(solids, "ceiling")
    # hand-worked: the field of 84 in goes from x = 200 to 300 up to 108 + 24
    assert corners(fields[1]) == ((200.0, 0.0, 84.0), (300.0, 240.0, 132.0))
    beside_riser = np.array([[199.9, 50.0, 90.0], [200.1, 50.0, 90.0]])
    assert is_in_any(fields, beside_riser).tolist() == [False, True]


def test_sloped_ceiling_wedge_has_its_volume() -> None:
    (wedge,) = of(building_solids(room_with(SLOPED)), "ceiling")
    assert isinstance(wedge, Hull)
    # hand-worked: 480 x 240 x mean height (144 - 108)
    assert hull_volume(wedge) == pytest.approx(480 * 240 * 36)


def test_exposed_chords_hang_below_the_ceiling_and_hidden_ones_do_not() -> None:
    exposed = Trusses(spacing=120.0, first=60.0, exposed=True)
    solids = building_solids(room_with(trusses=exposed))
    chords = [solid for solid in solids if solid.part == "chord"]
    assert [chord.owner for chord in chords] == [f"truss {n}" for n in (1, 2, 3, 4)]
    # hand-worked: 1.5 in wide about x = 180, 3.5 in below 96
    assert corners(chords[1].shape) == ((179.25, 0.0, 92.5), (180.75, 240.0, 96.0))
    hidden = building_solids(room_with(trusses=replace(exposed, exposed=False)))
    assert not [solid for solid in hidden if solid.part == "chord"]


def test_chords_under_a_gable_follow_both_slopes() -> None:
    room = room_with(GABLE, trusses=Trusses(stations=(100.0,), exposed=True))
    chords = [s.shape for s in building_solids(room) if s.part == "chord"]
    points = np.array([[100.0, 50.0, 111 - 3.4], [100.0, 170.0, 111 - 3.6]])
    assert is_in_any(chords, points).tolist() == [True, False]


def test_partitions_stand_on_the_outline_and_close_the_corners() -> None:
    pen = Pen(id="pen 1", outline=((10.0, 10.0), (130.0, 10.0), (130.0, 110.0)))
    solids = building_solids(room_with(pens=(pen,)))
    assert [s.part for s in solids if s.owner == "pen 1"] == [
        "partition 1",
        "partition 2",
        "partition 3",
    ]
    first, second, _ = of(solids, "pen 1")
    # hand-worked: 1.5 in thick, 0.75 in beyond the corners, 36 in high
    assert corners(first) == ((9.25, 9.25, 0.0), (130.75, 10.75, 36.0))
    assert np.allclose(
        corners(second), ((129.25, 9.25, 0.0), (130.75, 110.75, 36.0)), rtol=0
    )


def test_a_pen_without_partitions_takes_no_space() -> None:
    outline = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0))
    pen = Pen(id="open", outline=outline, partition_height=0.0)
    assert not of(building_solids(room_with(pens=(pen,))), "open")


@pytest.mark.parametrize(
    ("wall", "swing", "hinge", "opened"),
    [  # hand-worked: door of 36 in from 100 in; hinge jamb, free end when open;
        # left is as seen from inside
        (Wall.FRONT, DoorSwing.IN_LEFT, (0.0, 136.0), (36.0, 136.0)),
        (Wall.FRONT, DoorSwing.IN_RIGHT, (0.0, 100.0), (36.0, 100.0)),
        (Wall.BACK, DoorSwing.IN_LEFT, (480.0, 100.0), (444.0, 100.0)),
        (Wall.BACK, DoorSwing.IN_RIGHT, (480.0, 136.0), (444.0, 136.0)),
        (Wall.LEFT, DoorSwing.IN_LEFT, (100.0, 0.0), (100.0, 36.0)),
        (Wall.RIGHT, DoorSwing.IN_LEFT, (136.0, 240.0), (136.0, 204.0)),
    ],
)
def test_a_door_that_opens_inward_takes_its_quarter_circle(
    wall: Wall,
    swing: DoorSwing,
    hinge: tuple[float, float],
    opened: tuple[float, float],
) -> None:
    door = Door(id="door", wall=wall, offset=100.0, width=36.0, swing=swing)
    room = room_with(doors=(door,))
    solids = [s for s in building_solids(room) if s.owner == "door"]
    assert {s.moving for s in solids} == {Moving.SWEPT}
    frame = wall_frame(room, wall)
    other = frame.point(100.0 if frame.point(136.0) == hinge else 136.0)
    way = [np.subtract(end, hinge) / 36.0 for end in (opened, other)]
    turns = np.linspace(0.0, math.pi / 2, 91)[:, None]
    for radius, inside in ((36.0, True), (36.15, False)):
        arc = np.array(hinge) + radius * (
            np.cos(turns) * way[0] + np.sin(turns) * way[1]
        )
        points = np.column_stack((arc, np.full(len(arc), 40.0)))
        assert is_in_any([s.shape for s in solids], points).all() == inside
        assert inside or not is_in_any([s.shape for s in solids], points).any()


@pytest.mark.parametrize(
    "swing", [DoorSwing.OUT_LEFT, DoorSwing.OUT_RIGHT, DoorSwing.SLIDING]
)
def test_other_doors_take_nothing_of_the_room(swing: DoorSwing) -> None:
    door = Door(id="door", wall=Wall.FRONT, offset=100.0, width=36.0, swing=swing)
    assert not of(building_solids(room_with(doors=(door,))), "door")


def test_every_building_solid_is_tagged_as_one() -> None:
    assert {s.group for s in building_solids(room_with())} == {Group.BUILDING}


def test_trusses_by_spacing_are_numbered_from_the_front() -> None:
    # hand-worked: 24 + 96 k in a room of 480 in
    room = room_with(trusses=Trusses(spacing=96.0, first=24.0))
    assert [(t.number, t.x) for t in truss_stations(room)] == [
        (1, 24.0),
        (2, 120.0),
        (3, 216.0),
        (4, 312.0),
        (5, 408.0),
    ]


def test_listed_trusses_win_over_the_spacing_and_are_sorted() -> None:
    room = room_with(trusses=Trusses(spacing=96.0, stations=(300.0, 100.0, 500.0)))
    assert [truss.x for truss in truss_stations(room)] == [100.0, 300.0]


def test_nearest_truss() -> None:
    room = room_with(trusses=Trusses(spacing=96.0))
    found = [nearest_truss(room, x) for x in (-5.0, 47.0, 48.0, 49.0, 900.0)]
    assert [truss.number for truss in found if truss] == [1, 1, 1, 2, 6]
    assert nearest_truss(room_with(trusses=Trusses(first=500.0)), 10.0) is None
