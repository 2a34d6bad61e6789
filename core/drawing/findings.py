"""Clash marks: the hatched place of each breach, its witness line and its number.

A finding is known by its number everywhere: its place in the report, from 1.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import partial

import numpy as np

from core.analysis.report import Report
from core.drawing.faces import Disc, clipped_face, corners_of, depth_range, seen_face
from core.drawing.fixture_views import kept_solids
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
from core.placement.solids import Solid
from core.rules.finding import Finding, Outcome

__all__ = ["finding_groups", "finding_records"]

_MARKED = (Outcome.STOP, Outcome.CAUTION)
_PATCH = 2.0  # radius of the mark where no outlines meet [in]
_APART = 12.0  # numbers nearer to each other than this share one text [in]
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
    """Yield a group for each pair of things with findings that ask for something.

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
    solids = _Solids(barn, shown, memo)
    for (subject, other), found in _by_pair(report).items():
        run = report.runs.get(subject)
        body = run.evidence.body if run else None
        parts = solids.of(other)
        make = partial(_marks, found, body, parts, frame=frame, window=window)
        inputs = (*found.values(), *found, body, parts, frame, window)
        yield memo.group("finding", f"{subject}/{other}", inputs, make)


def _by_pair(report: Report) -> dict[tuple[str, str], dict[int, Finding]]:
    """Return the findings to be marked, by number, for each pair of things."""
    pairs: dict[tuple[str, str], dict[int, Finding]] = {}
    for number, finding in enumerate(report.findings, 1):
        if finding.outcome in _MARKED and finding.points:
            pair = (finding.subject, finding.other or "")
            pairs.setdefault(pair, {})[number] = finding
    return pairs


class _Solids:
    """The solids of fixtures and of the building, by owner; kept in the memo."""

    def __init__(self, barn: Barn, shown: Shown, memo: Memo) -> None:
        self._fixtures = {fixture.id: fixture for fixture in barn.fixtures}
        self._room, self._shown, self._memo = barn.room, shown, memo.common

    def of(self, owner: str) -> tuple[Solid, ...]:
        """Return the solids of an owner; a scan has none, its hull would mislead."""
        fixture = self._fixtures.get(owner)
        if isinstance(fixture, Scan):
            return ()
        if fixture is not None:
            return kept_solids(fixture, self._room, self._shown, self._memo)
        room = self._room
        building = self._memo.value(
            "building", "", (room,), partial(building_solids, room)
        )
        made = partial(_owned, building, owner)
        return self._memo.value("part", owner, (building,), made)


def _owned(solids: tuple[Solid, ...], owner: str) -> tuple[Solid, ...]:
    return tuple(solid for solid in solids if solid.owner == owner)


def _marks(
    found: dict[int, Finding],
    body: SweptRun | None,
    solids: tuple[Solid, ...],
    *,
    frame: Frame,
    window: tuple[float, float] | None,
) -> Iterator[Record]:
    """Yield the marks of one pair's findings that a view shows."""
    shapes = [solid.shape for solid in solids]
    if window is not None:
        shapes = [s for s in shapes if _within(depth_range(s, frame), window)]
        found = {
            number: finding
            for number, finding in found.items()
            if _is_shown(finding, frame, body, shapes, window)
        }
    yield from finding_records(found, frame, body=body, others=shapes)


def _is_shown(
    finding: Finding,
    frame: Frame,
    body: SweptRun | None,
    shapes: Sequence[Shape],
    window: tuple[float, float],
) -> bool:
    depths = frame.depths(np.array(finding.points))
    is_near = _within((float(depths.min()), float(depths.max())), window)
    return is_near or bool(_common_places(finding, frame, body, shapes))


def _within(depths: tuple[float, float], window: tuple[float, float]) -> bool:
    return depths[1] >= window[0] and depths[0] <= window[1]


def finding_records(
    found: Mapping[int, Finding],
    frame: Frame,
    *,
    body: SweptRun | None = None,
    others: Sequence[Shape] = (),
) -> Iterator[Record]:
    """Yield the marks of the findings of one pair of things on a view's plane.

    Numbers whose places lie together share one text, with the value of the first.

    Parameters
    ----------
    found : mapping of int to Finding
        Findings with at least one point, by their number in the report.
    frame : Frame
        The plane.
    body : SweptRun, optional
        The run that is too near: its envelope bounds the hatched place.
    others : sequence of Shape
        The solids that it is too near to.
    """
    texts: list[tuple[Vec2, list[int]]] = []
    for number, finding in found.items():
        points = [frame.point(at) for at in finding.points]
        yield from _mark(finding, number, points, frame, body, others)
        at = _beside(points)
        near = (numbers for place, numbers in texts if math.dist(place, at) < _APART)
        numbers = next(near, None)
        if numbers is None:
            texts.append((at, [number]))
        else:
            numbers.append(number)
    for at, numbers in texts:
        yield _text(found[numbers[0]], numbers, at)


def _mark(
    finding: Finding,
    number: int,
    points: Sequence[Vec2],
    frame: Frame,
    body: SweptRun | None,
    others: Sequence[Shape],
) -> Iterator[Record]:
    owner, part = finding.subject, str(number)
    for outline in _places(finding, frame, points, body, others):
        yield Polygon(role=Role.FINDING, owner=owner, part=part, outline=outline)
    if len(points) > 1 and math.dist(points[0], points[1]) > 0.0:
        ends = np.array(points[:2])
        yield Polyline(role=Role.WITNESS, owner=owner, part=part, points=ends)


def _beside(points: Sequence[Vec2]) -> Vec2:
    """Return a place to the right of some points."""
    u = max(point[0] for point in points) + _LEADER
    return (u, sum(point[1] for point in points) / len(points))


def _text(finding: Finding, numbers: Sequence[int], at: Vec2) -> Text:
    """Return the numbers of findings at one place and the value of the first."""
    words = ", ".join(map(str, numbers))
    parts: tuple[Part, ...] = (words,)
    if finding.value is not None:
        parts = (f"{words}: ", (finding.value, finding.unit))
    return Text(
        role=Role.WITNESS,
        owner=finding.subject,
        part=str(numbers[0]),
        at=at,
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
