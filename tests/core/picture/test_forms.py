"""Triangles of shapes: closed, turned outward, as large as the shape."""

import numpy as np
import pytest

from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    Hull,
    Mesh,
    Shape,
    Sphere,
    upright_box,
)
from core.picture.forms import Form, lathe, line_form, shape_form, tube

TURNED = Box(
    center=(5.0, 0.0, 0.0),
    half=(30.0, 2.0, 1.0),
    axes=((0.6, 0.8, 0.0), (-0.8, 0.6, 0.0), (0.0, 0.0, 1.0)),
)
MIRRORED = Box(
    center=(5.0, 0.0, 0.0),
    half=(30.0, 2.0, 1.0),
    axes=((0.6, 0.8, 0.0), (0.8, -0.6, 0.0), (0.0, 0.0, 1.0)),
)
# hand-worked: volumes of the true solids [in3]
SOLIDS: dict[str, tuple[Shape, float, float]] = {
    "box": (upright_box((0, 0, 0), (50, 20, 10)), 10_000.0, 1e-5),
    "turned box": (TURNED, 60 * 4 * 2, 1e-5),
    "box with mirrored axes": (MIRRORED, 60 * 4 * 2, 1e-5),
    "hull": (
        Hull(points=((0, 0, 0), (6, 0, 0), (0, 6, 0), (0, 0, 6))),
        36.0,
        1e-5,
    ),
    # chords lie inside: 20 sides lose 1.7 %, 12 x 6 of a ball more
    "cylinder": (Cylinder(a=(0, 0, 0), b=(0, 40, 0), radius=3), np.pi * 9 * 40, 0.02),
    "sphere": (Sphere(center=(1, 2, 3), radius=5), np.pi * 500 / 3, 0.03),
}


def volume(form: Form) -> float:
    """Sum of the signed tetrahedra over the triangles (divergence theorem)."""
    a, b, c = (form.corners[:, k].astype(float) for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


@pytest.mark.parametrize("name", SOLIDS)
def test_a_solid_encloses_its_volume(name: str) -> None:
    shape, expected, loss = SOLIDS[name]
    assert volume(shape_form(shape)) == pytest.approx(expected, rel=loss)


@pytest.mark.parametrize("name", SOLIDS)
def test_normals_look_the_way_triangles_turn(name: str) -> None:
    form = shape_form(SOLIDS[name][0])
    a, b, c = (form.corners[:, k].astype(float) for k in range(3))
    turned = np.einsum("ij,ij->i", np.cross(b - a, c - a), form.normals.mean(axis=1))
    assert (turned > 0).all()
    assert np.linalg.norm(form.normals, axis=2) == pytest.approx(1.0, abs=1e-5)


def test_a_capsule_reaches_its_ends() -> None:
    form = shape_form(Capsule(a=(0, 0, 0), b=(0, 0, 20), radius=2))
    # hand-worked: half a ball of radius 2 beyond each end
    assert form.corners[..., 2].min() == pytest.approx(-2.0, abs=1e-5)
    assert form.corners[..., 2].max() == pytest.approx(22.0, abs=1e-5)


def test_a_cone_narrows_to_its_far_end() -> None:
    form = tube((0, 0, 0), (0, 0, -4), 0.5, far=0.1)
    low = form.corners[form.corners[..., 2] < -3.9]
    high = form.corners[form.corners[..., 2] > -0.1]
    assert np.hypot(low[:, 0], low[:, 1]).max() == pytest.approx(0.1, abs=1e-5)
    assert np.hypot(high[:, 0], high[:, 1]).max() == pytest.approx(0.5, abs=1e-5)


def test_a_sharp_bend_of_a_thick_line_is_filled() -> None:
    straight = line_form([(0, 0, 0), (9, 0, 0), (18, 0, 0)], 1.0)
    bent = line_form([(0, 0, 0), (9, 0, 0), (9, 9, 0)], 1.0)
    assert len(bent) > len(straight)


def test_a_scan_looks_smooth_where_it_bends_gently_only() -> None:
    vertices = np.array(
        [(0, 0, 0), (10, 0, 0), (0, 10, 0), (10, 10, 0.5), (0, 0, -10), (10, 0, -10)],
        float,
    )
    faces = np.array([(0, 1, 2), (1, 3, 2), (0, 4, 1), (1, 4, 5)])
    form = shape_form(Mesh(vertices=vertices, faces=faces))
    gentle, sharp = form.normals[1], form.normals[3]
    assert not np.allclose(gentle[1], gentle[2])
    flat = np.cross(*(form.corners[3, k] - form.corners[3, 0] for k in (1, 2)))
    assert sharp[2] == pytest.approx(flat / np.linalg.norm(flat), abs=1e-5)


def test_a_turned_body_encloses_its_volume() -> None:
    # hand-worked: two cones of radius 2, 5 high; 20 chords lose 1.7 %
    body = lathe((1, 2, 3), (1, 12, 3), [(0.0, 0.0), (0.5, 2.0), (1.0, 0.0)])
    assert volume(body) == pytest.approx(40 * np.pi / 3, rel=0.02)
