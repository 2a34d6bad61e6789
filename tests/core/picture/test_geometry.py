"""The picture's geometry is the model's: known points are where edges are found."""

from itertools import pairwise

import numpy as np
import pytest

from core.geometry.shapes import Vec3
from core.model.fixtures import Gate, Light
from core.picture.forms import Ints
from core.picture.render import rendered, things_seen
from core.picture.room_things import animal_things, room_things
from core.placement.hanging import support_points
from core.placement.runs import height_at
from tests.core.picture.scenes import (
    LEFT_FAN,
    RIGHT_TUBE,
    WIDTH,
    door_camera,
    scene_barn,
    subject,
)

PEN = "pen-L-0"
NEAR = 1.5  # [px] the acceptance of the issue
SAG_AT_END = 0.35  # [in] runs hang by less than this at their ends here


@pytest.fixture(scope="module")
def ids() -> tuple[Ints, tuple[tuple[str, str], ...]]:
    return things_seen(subject(), door_camera(), lift=0.0)


def pinhole(point: Vec3) -> tuple[float, float]:
    """Second method: similar triangles for an eye at (6, 138, 64) that looks along x.

    72 degrees from the left to the right edge of 480 x 270 px.
    """
    scale = (WIDTH / 2) / np.tan(np.radians(36.0)) / (point[0] - 6.0)
    return 240.0 + scale * (point[1] - 138.0), 135.0 - scale * (point[2] - 64.0)


def edge_distance(marks: np.ndarray, at: tuple[float, float]) -> float:
    """Return how far a place is from where a mask changes between pixels [px]."""
    rows, columns = np.nonzero(marks[:, 1:] != marks[:, :-1])
    upright = np.stack([columns + 1.0, rows + 0.5], axis=1)
    rows, columns = np.nonzero(marks[1:] != marks[:-1])
    level = np.stack([columns + 0.5, rows + 1.0], axis=1)
    edges = np.concatenate([upright, level])
    assert len(edges), "nothing of it is seen"
    return float(np.hypot(*(edges - np.array(at)).T).min())


def mask(ids, owner: str, part: str = "") -> np.ndarray:
    pixels, names = ids
    wanted = [
        k for k, name in enumerate(names) if name[0] == owner and part in {"", name[1]}
    ]
    return np.isin(pixels, wanted)


def lamp_corners() -> list[tuple[str, Vec3]]:
    lamps = [f for f in scene_barn().fixtures if isinstance(f, Light)]
    return [
        # hand-worked: flat ceiling of 100 in, the lamp is 4 in deep against it
        (lamp.id, (lamp.x - 24.0, lamp.y + side * 3.0, 96.0))
        for lamp in lamps
        for side in (-1.0, 1.0)
    ]


@pytest.mark.parametrize(("lamp", "corner"), lamp_corners())
def test_lamp_corners_are_where_they_are_projected(ids, lamp, corner) -> None:
    assert edge_distance(mask(ids, lamp), pinhole(corner)) < NEAR


@pytest.mark.parametrize("run", scene_barn().runs, ids=lambda run: run.id)
def test_run_ends_are_where_they_are_projected(ids, run) -> None:
    height = height_at(run, scene_barn().room, subject().catalogue, lift=0.0)
    tube = mask(ids, run.id, "tube")
    # the far end: 378 in before the eye a sag of 0.35 in is 0.3 px
    far = pinhole((*run.end, height))
    assert edge_distance(tube, far) < NEAR
    rows, columns = np.nonzero(tube)
    ends = columns.max() if run.start[1] < 138.0 else columns.min()
    assert abs(ends + 0.5 - far[0]) < NEAR
    assert rows.size > 40


def test_support_tips_are_where_they_are_projected(ids) -> None:
    barn = scene_barn()
    found = 0
    for run in barn.runs:
        for support, place in zip(
            run.supports,
            support_points(run, barn.room, subject().catalogue, lift=0.0),
            strict=True,
        ):
            column, row = pinhole(place.pulley)
            if 0 <= column < WIDTH and row > 2:
                pulley = mask(ids, run.id, f"pulley {support.id}")
                assert edge_distance(pulley, (column, row)) < NEAR
                found += 1
    assert found >= 4


def test_the_left_fan_is_on_the_left(ids) -> None:
    _, columns = np.nonzero(mask(ids, LEFT_FAN))
    assert columns.size > 20
    assert columns.max() < WIDTH / 2
    _, columns = np.nonzero(mask(ids, RIGHT_TUBE))
    assert columns.size > 20
    assert columns.min() > WIDTH / 2


def test_edges_of_the_picture_are_where_lamp_corners_are_projected() -> None:
    pixels = rendered(subject(), door_camera(), lift=0.0, samples=2, workers=1)
    grey = pixels.astype(float).mean(axis=2)
    steep = np.abs(np.diff(grey, axis=1))
    for _, corner in lamp_corners():
        column, row = pinhole(corner)
        # just below the corner the bright underside begins at its column
        line = steep[int(row) + 2]
        window = slice(int(column) - 4, int(column) + 4)
        found = window.start + int(line[window].argmax()) + 1
        assert line[window].max() > 20
        assert abs(found - column) < NEAR


def test_a_stowed_run_is_seen_higher(ids) -> None:
    stowed = things_seen(subject(), door_camera(), lift=1.0)
    run = scene_barn().runs[0]
    low = np.nonzero(mask(ids, run.id, "tube"))[0].mean()
    high = np.nonzero(mask(stowed, run.id, "tube"))[0].mean()
    assert high < low


def test_discharge_points_are_seen() -> None:
    near = door_camera(960, 540)
    pixels, names = things_seen(subject(), near, lift=0.0)
    assert mask((pixels, names), "run-1", "points").sum() > 10


def test_every_triangle_belongs_to_a_thing() -> None:
    stage = subject().stage(0.5)
    assert stage.thing.max() == len(stage.names) - 1
    assert len(stage.cell) == len(stage.corners) == len(stage.finish)
    assert (
        stage.cell[stage.thing < len(subject().still.names)].max() < stage.still_cells
    )


def test_pigs_stand_in_their_pens_without_touching() -> None:
    room = scene_barn().room
    pigs = list(animal_things(room))
    assert len(pigs) >= len(room.pens)
    spans = []
    for pig in pigs:
        corners = pig.form.corners.reshape(-1, 3)
        low, high = corners.min(axis=0), corners.max(axis=0)
        pen = next(p for p in room.pens if pig.owner.startswith(p.id))
        xs, ys = zip(*pen.outline, strict=True)
        assert min(xs) < low[0] < high[0] < max(xs)
        assert min(ys) < low[1] < high[1] < max(ys)
        assert low[2] > -0.5
        assert high[2] < 36
        spans.append((pen.id, low[0], high[0]))
    for (pen, _, end), (other, start, _) in pairwise(spans):
        assert pen != other or end < start + 1.0


def test_a_gate_leaves_its_partition_open() -> None:
    barn = scene_barn()
    gate = Gate(id="gate", x=60.0, y=110.0, length=36.0, height=34.0)
    with_gate = {t.part: t for t in room_things(barn.room, (gate,)) if t.owner == PEN}
    shut = {t.part: t for t in room_things(barn.room) if t.owner == PEN}
    # hand-worked: the pen's edges run along y 0, x 180, y 110, x 40, in this order
    opened = with_gate["partition 3"].form.corners.reshape(-1, 3)
    inside = (opened[:, 0] > 60.5) & (opened[:, 0] < 95.5)
    assert not inside.any()
    whole = shut["partition 3"].form.corners.reshape(-1, 3)
    assert ((whole[:, 0] > 60.5) & (whole[:, 0] < 95.5)).any()
    assert opened[:, 0].min() == pytest.approx(whole[:, 0].min(), abs=1e-4)
    assert opened[:, 0].max() == pytest.approx(whole[:, 0].max(), abs=1e-4)
    assert len(with_gate["partition 1"].form) == len(shut["partition 1"].form)
