"""Clash marks: the hatched place of each breach, its witness line and its number.

A finding is known by its number everywhere: its place in the report, from 1.
"""

import math
from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np

from core.analysis.report import Report
from core.drawing.faces import Disc, clipped_face, corners_of, depth_range, seen_face
from core.drawing.frames import PLAN
from core.drawing.memo import Memo
from core.drawing.records import (
    Align,
    Frame,
    Group,
    Part,
    Polygon,
    Polyline,
    Record,
    Role,
    Text,
)
from core.drawing.run_shapes import body_outline
from core.drawing.shown import Shown
from core.geometry.runs import SweptRun
from core.geometry.shapes import Shape, Vec2
from core.model.barn import Barn
from core.model.fixtures import Scan
from core.placement.building import building_solids
from core.placement.solids import fixture_solids
from core.rules.finding import Finding, Outcome

__all__ = ["finding_groups", "finding_records"]

_MARKED = (Outcome.STOP, Outcome.CAUTION)
_PATCH = 2.0  # radius of the mark where no outlines meet [in]
_LEADER = 5.0  # from the witness line to its number [in]


def finding_groups(
    barn: Barn,
    report: Report,
    shown: Shown,
    frame: Frame,
    memo: Memo,
    *,
    window: tuple[float, float] | None = None,
) -> Iterator[Group]:
    """Yield a group for each finding that has a place and asks for something.

    Parameters
    ----------
    barn, report, shown
        What is drawn, its analysis and the state of the views.
    frame : Frame
        The view's plane.
    memo : Memo
        What the view drew last.
    window : pair of float, optional
        Depths at which a clash is still shown [in]; without it all are.
    """
    for number, finding in enumerate(report.findings, 1):
        if finding.outcome not in _MARKED or not finding.points:
            continue
        found = report.runs.get(finding.subject)
        body = found.evidence.body if found else None
        inputs = (finding, number, body, barn.fixtures, barn.room, frame, window)
        make = partial(
            _marks, barn, shown, finding, number, body, frame=frame, window=window
        )
        yield memo.group("finding", str(number), inputs, make)


def _marks(
    barn: Barn,
    shown: Shown,
    finding: Finding,
    number: int,
    body: SweptRun | None,
    *,
    frame: Frame,
    window: tuple[float, float] | None,
) -> Iterator[Record]:
    shapes = _shapes_of(barn, shown, finding.other) if finding.other else ()
    if window is not None:
        shapes = [s for s in shapes if _within(depth_range(s, frame), window)]
        depths = frame.depths(np.array(finding.points))
        is_near = _within((depths.min(), depths.max()), window)
        if not is_near and not _common_places(finding, frame, body, shapes):
            return
    yield from finding_records(finding, number, frame, body=body, others=shapes)


def _within(depths: tuple[float, float], window: tuple[float, float]) -> bool:
    return depths[1] >= window[0] and depths[0] <= window[1]


def _shapes_of(barn: Barn, shown: Shown, owner: str) -> Sequence[Shape]:
    """Return the solids of a fixture or of a part of the building.

    A scan has none: its hull would cover what is free.
    """
    for fixture in barn.fixtures:
        if fixture.id == owner:
            if isinstance(fixture, Scan):
                return ()
            return [s.shape for s in fixture_solids(fixture, barn.room, shown.meshes)]
    return [s.shape for s in building_solids(barn.room) if s.owner == owner]


def finding_records(
    finding: Finding,
    number: int,
    frame: Frame,
    *,
    body: SweptRun | None = None,
    others: Sequence[Shape] = (),
) -> Iterator[Record]:
    """Yield the marks of one finding on a view's plane.

    Parameters
    ----------
    finding : Finding
        With at least one point.
    number : int
        Its number in the report.
    frame : Frame
        The plane.
    body : SweptRun, optional
        The run that is too near: its envelope bounds the hatched place.
    others : sequence of Shape
        The solids that it is too near to.
    """
    points = [frame.point(at) for at in finding.points]
    for outline in _places(finding, frame, points, body, others):
        yield Polygon(
            role=Role.FINDING, owner=finding.subject, part=str(number), outline=outline
        )
    if len(points) > 1 and math.dist(points[0], points[1]) > 0.0:
        yield Polyline(
            role=Role.WITNESS,
            owner=finding.subject,
            part=str(number),
            points=np.array(points[:2]),
        )
    yield _number(finding, number, points)


def _number(finding: Finding, number: int, points: Sequence[Vec2]) -> Text:
    """Return the finding's number and its value, beside the witness line."""
    u = max(point[0] for point in points) + _LEADER
    v = sum(point[1] for point in points) / len(points)
    parts: tuple[Part, ...] = (str(number),)
    if finding.value is not None:
        parts = (f"{number}: ", (finding.value, finding.unit))
    return Text(
        role=Role.WITNESS,
        owner=finding.subject,
        part=str(number),
        at=(u, v),
        parts=parts,
        across=Align.START,
    )


def _places(
    finding: Finding,
    frame: Frame,
    points: Sequence[Vec2],
    body: SweptRun | None,
    others: Sequence[Shape],
) -> list[np.ndarray]:
    """Return where the other thing is in the envelope, or a patch round the points."""
    common = _common_places(finding, frame, body, others)
    if common:
        return common
    (u, v), apart = np.mean(points, axis=0).tolist(), math.dist(points[0], points[-1])
    patch = Disc(center=(u, v), radius=max(_PATCH, apart / 2))
    return [corners_of(patch)]


def _common_places(
    finding: Finding, frame: Frame, body: SweptRun | None, others: Sequence[Shape]
) -> list[np.ndarray]:
    """Return where the solids of the other thing are inside the envelope."""
    envelope = _envelope(finding, frame, body)
    if envelope is None:
        return []
    faces = (corners_of(seen_face(shape, frame)) for shape in others)
    clipped = (clipped_face(face, envelope) for face in faces)
    return [face for face in clipped if len(face) > 2]


def _envelope(
    finding: Finding, frame: Frame, body: SweptRun | None
) -> np.ndarray | None:
    if body is None or finding.height is None:
        return None
    height = None if frame == PLAN else finding.height
    return body_outline(body, frame, height=height)
