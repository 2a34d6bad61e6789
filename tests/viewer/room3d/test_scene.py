"""What is in the scene is what core.placement says; what has not changed is kept."""

from dataclasses import replace

import numpy as np
import pytest

from core.analysis.analyse import analyse
from core.geometry.facets import Facets, facets
from core.geometry.shapes import Mesh
from core.model.room import Pen, Wall
from core.placement.runs import height_at
from core.placement.solids import fixture_solids
from tests.specimens import CEILINGS, FIXTURES, full_barn, plain_barn, plain_room
from viewer.room3d.animals import animal_pieces
from viewer.room3d.polygons import depth_inside, triangles
from viewer.room3d.scene import RoomScene, SceneMemo, hanging
from viewer.room3d.shell import Surface, building_pieces, ceiling_pieces, wall_pieces
from viewer.room3d.things import resting_pieces, sleeve, thinned


@pytest.fixture(scope="module")
def scene() -> RoomScene:
    """Return the scene of the sound barn."""
    barn = plain_barn()
    found = analyse(barn)
    return SceneMemo().scene(barn, found.report, {}, found.catalogue)


def _bounds(*parts: Facets) -> tuple[np.ndarray, np.ndarray]:
    corners = np.concatenate([part.corners.reshape(-1, 3) for part in parts])
    return corners.min(axis=0), corners.max(axis=0)


@pytest.mark.parametrize("kind", sorted(set(FIXTURES) - {"scan"}))
def test_a_fixture_at_rest_lies_in_the_space_that_it_is_checked_with(kind) -> None:
    room, fixture = plain_room(), FIXTURES[kind]
    pieces = [p.facets for p in resting_pieces(fixture, room, {})]
    if not pieces:
        return
    low, high = _bounds(*pieces)
    solids = [facets(s.shape) for s in fixture_solids(fixture, room)]
    outer_low, outer_high = _bounds(*solids)
    # a gate and the rim of a fan stand out by half an inch, to be seen
    assert (low >= outer_low - 0.6).all()
    assert (high <= outer_high + 0.6).all()


def test_a_run_is_drawn_at_its_height_with_its_points(scene: RoomScene) -> None:
    barn, form = scene.barn, scene.runs[0]
    run = form.run
    low, high = _bounds(form.piece.facets)
    for lift in (0.0, 1.0):
        axis = height_at(run, barn.room, scene.catalogue, lift=lift)
        up = form.way(lift)[2]
        # points look down; sag takes away a little more
        assert low[2] + up == pytest.approx(axis - run.points.reach, abs=0.8)
        assert high[2] + up > axis
    assert low[0] == pytest.approx(run.start[0], abs=0.2)
    assert high[0] == pytest.approx(run.end[0], abs=0.2)


def test_the_envelope_is_six_inches_wider_than_the_live_metal(scene) -> None:
    form = scene.runs[0]
    low, high = _bounds(sleeve(form))
    body = form.body
    # hand-worked: r + 6 in to the sides and beyond the ends, the points' reach below
    assert high[1] - low[1] == pytest.approx(2 * (body.radius + 6.0 + body.side))
    assert low[0] == pytest.approx(form.run.start[0] - body.radius - 6.0, abs=0.01)
    wanted = body.low - body.down - body.radius - 6.0
    assert low[2] == pytest.approx(wanted, abs=0.8)


def test_ropes_end_at_the_runs(scene: RoomScene) -> None:
    for lift in (0.0, 0.5, 1.0):
        hung = hanging(scene, lift)
        height = height_at(
            scene.runs[0].run, scene.barn.room, scene.catalogue, lift=lift
        )
        rods = hung.rods.corners.reshape(len(hung.rod_owners), -1, 3)
        insulators = [
            rod
            for rod, (owner, surface) in zip(rods, hung.rod_owners, strict=True)
            if owner.startswith("support-1") and surface is Surface.INSULATOR
        ]
        assert len(insulators) == 3
        for rod in insulators:
            assert height < rod[:, 2].min() < height + 1.0


def test_everything_that_can_be_chosen_is_there() -> None:
    barn = full_barn()
    barn = replace(barn, fixtures=tuple(f for f in barn.fixtures if f.kind != "scan"))
    found = analyse(barn)
    made = SceneMemo().scene(barn, found.report, {}, found.catalogue)
    owners = {piece.owner for piece in made.aimed_at}
    owners |= {form.run.id for form in made.runs}
    assert {fixture.id for fixture in barn.fixtures} <= owners
    assert {run.id for run in barn.runs} <= owners
    assert {support.id for run in barn.runs for support in run.supports} <= owners
    assert {hoist.id for hoist in barn.hoists} <= owners
    assert {pen.id for pen in barn.room.pens} <= owners


def test_what_an_edit_leaves_alone_is_kept() -> None:
    barn, memo = plain_barn(), SceneMemo()
    found = analyse(barn)
    before = memo.scene(barn, found.report, {}, found.catalogue)
    light = replace(FIXTURES["light"], x=140.0)
    fixtures = tuple(light if f.id == light.id else f for f in barn.fixtures)
    after = memo.scene(
        replace(barn, fixtures=fixtures), found.report, {}, found.catalogue
    )
    changed = {
        new.owner
        for old, new in zip(before.still, after.still, strict=True)
        if old is not new
    }
    assert changed == {light.id}
    assert all(a is b for a, b in zip(before.runs, after.runs, strict=True))


@pytest.mark.parametrize("ceiling", list(CEILINGS.values()), ids=list(CEILINGS))
def test_walls_reach_from_the_floor_to_the_ceiling(ceiling) -> None:
    room = replace(plain_room(), ceiling=ceiling)
    walls = wall_pieces(room)
    low, high = _bounds(*(pieces[0].facets for pieces in walls.values()))
    top = _bounds(*(piece.facets for piece in ceiling_pieces(room)))[1][2]
    assert low[2] <= 0.0
    assert high[2] == pytest.approx(top)
    assert _bounds(walls[Wall.LEFT][0].facets)[1][1] == 0.0
    assert _bounds(walls[Wall.BACK][0].facets)[0][0] == room.length


def test_the_main_door_is_on_its_wall() -> None:
    room = plain_room()
    _, door = wall_pieces(room)[Wall.FRONT]
    low, high = _bounds(door.facets)
    assert door.owner == "door-1"
    assert (low[1], high[1], high[2]) == (120.0, 156.0, 80.0)


def test_pens_of_any_shape_are_floored_once() -> None:
    bent = ((0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (40.0, 40.0), (40.0, 90.0), (0, 90))
    for outline in (bent, bent[::-1]):
        a, b, c = triangles(outline).transpose(1, 0, 2)
        side, other = b - a, c - a
        doubled = np.abs(side[:, 0] * other[:, 1] - side[:, 1] * other[:, 0])
        # hand-worked: 90 x 40 and 40 x 50
        assert doubled.sum() / 2 == pytest.approx(5600.0)
    room = replace(plain_room(), pens=(Pen(id="pen-1", outline=bent),))
    ground = [p for p in building_pieces(room) if p.surface is Surface.PEN_FLOOR]
    assert len(ground) == 1


def test_an_outline_that_crosses_itself_ends_the_cutting() -> None:
    assert len(triangles(((0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 9.0)))) <= 2


@pytest.mark.parametrize(
    ("at", "depth"), [((10.0, 10.0), 10.0), ((65.0, 30.0), 10.0), ((60.0, 60.0), -20.0)]
)
def test_depth_inside_a_bent_outline(at, depth) -> None:
    bent = ((0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (40.0, 40.0), (40.0, 90.0), (0, 90))
    assert depth_inside(bent, at) == pytest.approx(depth)  # hand-worked


def test_animals_stand_on_the_floor_inside_their_pens() -> None:
    barn = plain_barn()
    herds = list(animal_pieces(barn))
    assert {herd.owner for herd in herds} == {pen.id for pen in barn.room.pens}
    outlines = {pen.id: np.array(pen.outline) for pen in barn.room.pens}
    for herd in herds:
        low, high = _bounds(herd.facets)
        assert (low[:2] >= outlines[herd.owner].min(axis=0)).all()
        assert (high[:2] <= outlines[herd.owner].max(axis=0)).all()
        assert low[2] == pytest.approx(0.0, abs=0.1)
        assert 24.0 < high[2] < 32.0
    again = list(animal_pieces(barn))
    np.testing.assert_array_equal(again[0].facets.corners, herds[0].facets.corners)


def test_a_large_scan_is_thinned_for_the_eye_and_keeps_its_form() -> None:
    steps = np.linspace(0.0, 100.0, 121)
    x, y = np.meshgrid(steps, steps, indexing="ij")
    sheet = np.stack((x, y, 0.01 * x * y), axis=-1).reshape(-1, 3)
    k = np.arange(121 * 120).reshape(120, 121)[:, :-1].ravel()
    faces = np.concatenate(
        (np.stack((k, k + 1, k + 122), 1), np.stack((k, k + 122, k + 121), 1))
    )
    mesh = Mesh(vertices=sheet, faces=faces)
    assert thinned(mesh) is mesh
    few = thinned(mesh, most=5000)
    assert len(few.faces) <= 5000
    # second method: the sheet's own equation; a cell is about 2 in wide
    off = few.vertices[:, 2] - 0.01 * few.vertices[:, 0] * few.vertices[:, 1]
    assert np.abs(off).max() < 0.05
    whole = np.ptp(sheet, axis=0)
    assert np.ptp(few.vertices, axis=0) == pytest.approx(whole, abs=3.0)
