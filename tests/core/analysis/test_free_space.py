"""The free-space map of a run in its room agrees with the check of that run."""

import numpy as np
import pytest
import trimesh

from core.analysis.analyse import analyse
from core.analysis.free_space import run_free_space
from core.geometry.shapes import Mesh, Vec3
from core.model.edits import add_objects
from core.model.fixtures import Light, PlainBox, Scan
from core.quantities import LengthUnit
from tests.specimens import plain_barn


def test_the_column_of_the_run_is_blocked_where_its_contacts_are() -> None:
    lamp = Light(
        id="lamp", x=200.0, y=62.0, length=48.0, width=6.0, depth=20.0, drop=10.0
    )
    barn = add_objects(plain_barn(), [lamp]).barn
    report = analyse(barn).report.runs["run-1"]
    found = run_free_space(barn, barn.runs[0], report.evidence.body, {})
    column = found.nearest_column(0.0)
    (contact,) = (c for c in report.contacts if c.other == "lamp")
    ((lo, hi),) = contact.bands
    # second method: the sweep of the run itself; the map covers sag by its greatest
    middle = (lo + hi) / 2
    blocked = found.blocked(column, z_lo=lo, z_hi=hi)
    assert any(a <= middle <= b for a, b in blocked)
    free = found.free_heights(column, report.working_height, lo - 0.5)
    assert free


def test_far_from_the_lamp_the_way_is_free() -> None:
    barn = plain_barn()
    report = analyse(barn).report.runs["run-1"]
    found = run_free_space(barn, barn.runs[0], report.evidence.body, {})
    free = found.free_heights(
        found.nearest_column(0.0), report.working_height, report.stow_height
    )
    assert len(free) == 1


def box_mesh(low: Vec3, high: Vec3) -> Mesh:
    box = trimesh.creation.box(bounds=(low, high))
    return Mesh(vertices=box.vertices, faces=box.faces)


BOX = ((150.0, 50.0, 60.0), (250.0, 58.0, 75.0))  # lowest and highest corner [in]


def test_a_scan_blocks_what_a_box_of_its_size_does() -> None:
    barn = plain_barn()
    body = analyse(barn).report.runs["run-1"].evidence.body
    run, (low, high) = barn.runs[0], BOX
    box = PlainBox(
        id="box",
        x=(low[0] + high[0]) / 2,
        y=(low[1] + high[1]) / 2,
        z=low[2],
        length=high[0] - low[0],
        width=high[1] - low[1],
        height=high[2] - low[2],
    )
    scan = Scan(id="scan", file="box.ply", unit=LengthUnit.INCH)
    # second method: the exact map of a convex box in the place of the mesh
    exact = run_free_space(add_objects(barn, [box]).barn, run, body, {})
    meshes = {"scan": box_mesh(low, high)}
    found = run_free_space(add_objects(barn, [scan]).barn, run, body, meshes)
    hit = 0
    for column in range(exact.frame.count):
        ends = exact.blocked(column, z_lo=50.0, z_hi=85.0)
        met = found.blocked(column, z_lo=50.0, z_hi=85.0)
        assert np.array(met) == pytest.approx(np.array(ends), abs=1e-6), column
        hit += bool(ends)
    assert hit > 20
