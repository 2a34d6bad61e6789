"""Light: what lamps give, and what a closed room throws on."""

import numpy as np
import pytest

from core.geometry.shapes import upright_box
from core.picture.finishes import LOOKS, TINTS, Finish
from core.picture.lamps import Lamps
from core.picture.light import direct_light, glow_of
from core.picture.rays import Caster
from core.picture.smoothing import smoothed
from core.picture.stage import Stage, block_of, kin_of
from core.picture.things import Thing, solid

SIZE = 120.0  # [in] side of the closed room


def lamp(x: float, y: float, z: float) -> Lamps:
    """A lamp of 4 x 2 in."""
    one = np.float32
    return Lamps(
        middle=np.array([(x, y, z)], one),
        along=np.array([(2.0, 0.0, 0.0)], one),
        across=np.array([(0.0, 1.0, 0.0)], one),
        area=np.array([8.0], one),
    )


def closed_room(finish: Finish, *more: Thing) -> Stage:
    """Six walls of one finish round a lamp."""
    s, t = SIZE, 6.0
    slabs = [
        upright_box((-t, -t, -t), (s + t, s + t, 0)),
        upright_box((-t, -t, s), (s + t, s + t, s + t)),
        upright_box((-t, 0, 0), (0, s, s)),
        upright_box((s, 0, 0), (s + t, s, s)),
        upright_box((-t, -t, 0), (s + t, 0, s)),
        upright_box((-t, s, 0), (s + t, s + t, s)),
    ]
    block = block_of((solid("room", "face", finish, slabs), *more))
    return Stage(
        corners=block.corners,
        normals=block.normals,
        finish=block.finish,
        thing=block.thing,
        kin=kin_of(block.finish, block.thing),
        cell=block.cell,
        names=block.names,
        still_cells=block.cells,
        low=np.zeros(3, np.float32),
        high=np.full(3, SIZE, np.float32),
        slats=np.zeros((121, 121), np.bool_),
        lamps=lamp(60.0, 60.0, 110.0),
    )


def test_a_lamp_straight_above_gives_by_the_inverse_square() -> None:
    # hand-worked: 8 in2, square to it 50 in below: 8 / (pi 50^2)
    place, up = np.array([[0.0, 0.0, 0.0]]), np.array([[0.0, 0.0, 1.0]])
    given = lamp(0.0, 0.0, 50.0).shares(place, up)
    assert given[0, 0] == pytest.approx(8 / (np.pi * 2500), rel=1e-4)


def test_a_slanting_lamp_gives_by_both_cosines() -> None:
    # hand-worked: 40 in beside and 30 below is 50 away, both cosines 0.6
    place, up = np.array([[40.0, 0.0, 0.0]]), np.array([[0.0, 0.0, 1.0]])
    given = lamp(0.0, 0.0, 30.0).shares(place, up)
    shine = 0.72 * 0.6 + 0.28
    assert given[0, 0] == pytest.approx(8 * 0.6 * shine / (np.pi * 2500), rel=1e-4)


def test_what_faces_away_gets_nothing() -> None:
    place, down = np.array([[0.0, 0.0, 0.0]]), np.array([[0.0, 0.0, -1.0]])
    assert lamp(0.0, 0.0, 30.0).shares(place, down)[0, 0] == 0.0


def test_a_board_casts_a_shadow() -> None:
    board = solid(
        "board", "body", Finish.WOOD, (upright_box((40, 40, 50), (80, 80, 51)),)
    )
    stage = closed_room(Finish.CONCRETE, board)
    places = np.array([(60.0, 60.0, 0.1), (8.0, 60.0, 0.1)], np.float32)
    normals = np.tile(np.array([(0.0, 0.0, 1.0)], np.float32), (2, 1))
    light = direct_light(
        Caster(stage.corners), stage, places, normals, np.arange(2), count=16
    )
    # hand-worked: the board hides all of a lamp of 4 in from the middle, and none
    # from a place 52 in beside it: the ray passes 28 in outside of it
    assert light[0] == 0.0
    assert light[1] == pytest.approx(float(stage.lamps.shares(places, normals)[1, 0]))


@pytest.mark.parametrize("finish", [Finish.CONCRETE, Finish.WALL])
def test_a_closed_room_adds_up_its_echoes(finish) -> None:
    stage = closed_room(finish)
    glow = glow_of(stage, Caster(stage.corners))
    dark = float(TINTS[finish][1])
    middle = stage.corners.mean(axis=1)
    inside = ((middle > -0.1) & (middle < SIZE + 0.1)).all(axis=1)
    edges = stage.corners[:, 1:] - stage.corners[:, :1]
    area = np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1) * inside
    received = (glow.received[stage.cell, 1] * area).sum() / area.sum()
    none = closed_room(Finish.RUBBER)
    black = glow_of(none, Caster(none.corners))
    direct = (black.received[none.cell, 1] * area).sum() / area.sum()
    # second method: what a closed room of one grey receives on the whole is the
    # direct light times 1 + a + a^2 + ...; here 4 echoes are followed, and the
    # room that gives the direct light echoes 3.5 % itself
    echoes = sum(dark**k for k in range(5)) / sum(0.035**k for k in range(5))
    assert received / direct == pytest.approx(echoes, rel=0.05)


def test_a_glossy_look_is_not_brighter_than_white() -> None:
    assert all(max(look.tint) + look.mirror <= 1.0 for look in LOOKS.values())


def grids(height: int, width: int) -> tuple[np.ndarray, np.ndarray]:
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    place = np.stack([x, y, np.zeros_like(x)], axis=-1)
    normal = np.zeros_like(place)
    normal[..., 2] = 1.0
    return place, normal


def test_light_does_not_mix_across_an_edge() -> None:
    place, normal = grids(32, 40)
    thing = np.where(place[..., 0] < 17, 3, 8).astype(np.int32)
    light = np.where(thing[..., None] == 3, 1.0, 5.0).astype(np.float32)
    pixel = np.full(thing.shape, 0.5, np.float32)
    found = smoothed(light, thing=thing, place=place, normal=normal, pixel=pixel)
    assert found == pytest.approx(light, abs=1e-5)


def test_light_on_one_surface_is_evened_out() -> None:
    place, normal = grids(48, 48)
    thing = np.zeros((48, 48), np.int32)
    rng = np.random.default_rng(2)
    light = rng.normal(1.0, 0.2, (48, 48, 1)).astype(np.float32)
    pixel = np.full(thing.shape, 4.0, np.float32)
    found = smoothed(light, thing=thing, place=place, normal=normal, pixel=pixel)
    assert found.std() < 0.2 * light.std()
    assert found.mean() == pytest.approx(light.mean(), abs=0.02)
