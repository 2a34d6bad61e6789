"""Rays against triangles and lines near a pixel, by hand-worked places."""

import math

import numpy as np
import pytest

from core.geometry.facets import facets
from core.geometry.inside import is_inside_shape
from core.geometry.shapes import Capsule, Cylinder, upright_box
from viewer.room3d.camera import Camera, Ray, pixel_of, ray_through
from viewer.room3d.picking import Hit, Targets, line_under, ray_hit
from viewer.room3d.shell import Piece, Surface

SIZE = (900.0, 600.0)
NEAR = upright_box((100.0, -10.0, 40.0), (120.0, 10.0, 60.0))
FAR = upright_box((300.0, -50.0, 0.0), (320.0, 50.0, 100.0))
AHEAD = Ray(origin=(0.0, 0.0, 50.0), way=(1.0, 0.0, 0.0))


def _targets(**shapes) -> Targets:
    return Targets(
        Piece(owner=name, surface=Surface.STEEL, facets=facets(shape))
        for name, shape in shapes.items()
    )


def test_the_nearest_is_met() -> None:
    hit = ray_hit(AHEAD, _targets(far=FAR, near=NEAR))
    assert hit == Hit(owner="near", distance=100.0, at=(100.0, 0.0, 50.0))


def test_what_has_moved_is_met_where_it_is() -> None:
    hit = ray_hit(AHEAD, _targets(near=NEAR), moved=(7.0, 0.0, 3.0))
    assert hit is not None
    assert hit.at == (107.0, 0.0, 50.0)
    assert ray_hit(AHEAD, _targets(near=NEAR), moved=(0.0, 0.0, 20.0)) is None


def test_what_is_behind_is_not_met() -> None:
    back = Ray(origin=(0.0, 0.0, 50.0), way=(-1.0, 0.0, 0.0))
    assert ray_hit(back, _targets(far=FAR, near=NEAR)) is None


def test_nothing_there_is_no_hit() -> None:
    assert ray_hit(AHEAD, Targets(())) is None


def test_a_ray_meets_a_round_thing_on_its_surface() -> None:
    rng = np.random.default_rng(1)
    shape = Capsule(a=(50.0, 0.0, 0.0), b=(80.0, 20.0, 30.0), radius=9.0)
    targets = _targets(bar=shape)
    inner = Capsule(a=shape.a, b=shape.b, radius=8.8)
    outer = Capsule(a=shape.a, b=shape.b, radius=9.2)
    met = 0
    for way in rng.normal(size=(60, 3)) * 0.3 + (0.9, 0.15, 0.2):
        way = way / np.linalg.norm(way)
        ray = Ray(origin=(0.0, 0.0, 0.0), way=tuple(way.tolist()))
        hit = ray_hit(ray, targets)
        if hit is not None:
            met += 1
            # second method: the point test of core.geometry.inside
            assert is_inside_shape(outer, np.array([hit.at]))[0]
            assert not is_inside_shape(inner, np.array([hit.at]))[0]
    assert met > 10


def test_a_thin_line_is_met_within_a_few_pixels() -> None:
    camera = Camera(eye=(0.0, 0.0, 50.0), look=(100.0, 0.0, 50.0))
    rope = np.array([(100.0, -30.0, 0.0), (100.0, -30.0, 90.0)])
    right, down = pixel_of(camera, (100.0, -30.0, 45.0), SIZE)
    lines = [("rope", rope)]
    for off, met in ((0.0, True), (4.0, True), (7.0, False)):
        hit = line_under(camera, (right + off, down), SIZE, lines, None)
        assert (hit is not None) is met
    found = line_under(camera, (right, down), SIZE, lines, None)
    assert found.distance == pytest.approx(math.hypot(100.0, 30.0, 5.0), rel=0.02)


def test_a_line_behind_a_wall_is_not_met() -> None:
    camera = Camera(eye=(0.0, 0.0, 50.0), look=(100.0, 0.0, 50.0))
    rope = np.array([(400.0, 0.0, 0.0), (400.0, 0.0, 90.0)])
    pixel = (SIZE[0] / 2, SIZE[1] / 2)
    wall = ray_hit(ray_through(camera, pixel, SIZE), _targets(wall=FAR))
    hit = line_under(camera, pixel, SIZE, [("rope", rope)], wall)
    assert hit is not None
    assert hit.owner == "wall"


def test_a_line_behind_the_eye_is_not_met() -> None:
    camera = Camera(eye=(0.0, 0.0, 50.0), look=(100.0, 0.0, 50.0))
    rope = np.array([(-50.0, 0.0, 0.0), (-50.0, 0.0, 90.0)])
    assert line_under(camera, (450.0, 300.0), SIZE, [("rope", rope)], None) is None


def test_a_bar_seen_end_on_is_met() -> None:
    bar = Cylinder(a=(50.0, 0.0, 50.0), b=(90.0, 0.0, 50.0), radius=2.0)
    hit = ray_hit(AHEAD, _targets(bar=bar))
    assert hit is not None
    assert hit.distance == pytest.approx(50.0)
