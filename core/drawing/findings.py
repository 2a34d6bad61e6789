"""Clash marks: the hatched place of each breach, its witness line and its number.

A finding is known by its number everywhere: its place in the report, from 1.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from core.analysis.report import Report
from core.drawing.faces import Disc, clipped_face, corners_of
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
from core.drawing.run_shapes import body_outline, lies_along
from core.drawing.seen_parts import SeenParts, seen_parts, sight
from core.drawing.shown import Shown
from core.drawing.slabs import kept_building
from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, Vec2
from core.model.barn import Barn
from core.model.fixtures import Scan
from core.placement.solids import Solid
from core.rules.finding import Finding, Outcome

__all__ = ["finding_groups", "finding_records"]

Outlines = tuple[FloatArray, ...]

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
    pairs = memo.common.value("pairs", "", (report,), partial(_by_pair, report))
    for (subject, other), found in pairs.items():
        run = report.runs.get(subject)
        body = run.evidence.body if run else None
        view = _View(frame=frame, memo=memo, window=window)
        pair, marked = f"{subject}/{other}", tuple(found.items())
        parts = solids.of(other)
        placed = partial(_places, found, view, body, parts)
        inputs = (marked, body, parts, frame, window)
        places = memo.value("places", pair, inputs, placed)
        make = partial(_marks, found, places, frame)
        seen = (marked, tuple(places.items()), sight(frame))
        yield memo.group("finding", pair, seen, make)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _View:
    """A plane, what it drew last, and the depths at which it shows a clash [in]."""

    frame: Frame
    memo: Memo
    window: tuple[float, float] | None

    def holds(self, depths: tuple[float, float]) -> bool:
        """Tell whether something between two depths [in] is shown."""
        window = self.window
        return window is None or (depths[1] >= window[0] and depths[0] <= window[1])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Place:
    """What is hatched for one finding."""

    outlines: Outlines


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
        building = kept_building(self._room, self._memo)
        made = partial(_owned, building, owner)
        return self._memo.value("part", owner, (building,), made)


def _owned(solids: tuple[Solid, ...], owner: str) -> tuple[Solid, ...]:
    return tuple(solid for solid in solids if solid.owner == owner)


def _places(
    found: Mapping[int, Finding],
    view: _View,
    body: SweptRun | None,
    solids: tuple[Solid, ...],
) -> dict[int, _Place]:
    """Return where those findings of one pair are marked that a view shows."""
    places: dict[int, _Place] = {}
    for turn, (number, finding) in enumerate(found.items()):
        place = _kept_place(view, body, solids, finding, turn)
        if place is not None:
            places[number] = place
    return places


def _kept_place(
    view: _View,
    body: SweptRun | None,
    solids: tuple[Solid, ...],
    finding: Finding,
    turn: int,
) -> _Place | None:
    """Return where a finding is marked, kept while it and what it is of stay.

    Its number may change with every other finding, its place does not; nor does it
    while the plane moves along its line of sight and along the run.
    """
    frame = view.frame
    seen = seen_parts(finding.other or "", solids, frame, view.memo) if solids else None
    depths = enumerate(seen.depths(frame) if seen else ())
    near = tuple(index for index, each in depths if view.holds(each))
    behind = frame.depths(np.array(finding.points))
    is_near = view.holds((float(behind.min()), float(behind.max())))
    is_flat = body is None or frame == PLAN or lies_along(body, frame)
    plane = sight(frame) if is_flat else (frame,)
    make = partial(_place, finding, frame, body, seen, near, is_near=is_near)
    return view.memo.value(
        "place",
        f"{finding.subject}/{finding.other}/{turn}",
        (finding, body, solids, near, is_near, *plane),
        make,
    )


def _place(
    finding: Finding,
    frame: Frame,
    body: SweptRun | None,
    seen: SeenParts | None,
    near: Sequence[int],
    *,
    is_near: bool,
) -> _Place | None:
    """Return where a finding is marked, None where the view does not show it."""
    faces = (corners_of(seen.face(index)) for index in near if seen is not None)
    common = _common_places(finding, frame, body, faces)
    if common or is_near:
        return _Place(outlines=common or (_patch(finding, frame),))
    return None


def _marks(
    found: Mapping[int, Finding], places: Mapping[int, _Place], frame: Frame
) -> Iterator[Record]:
    """Yield the marks of one pair's findings that a view shows."""
    marked = {number: place.outlines for number, place in places.items()}
    yield from finding_records(found, marked, frame)


def finding_records(
    found: Mapping[int, Finding], places: Mapping[int, Outlines], frame: Frame
) -> Iterator[Record]:
    """Yield the marks of the findings of one pair of things on a view's plane.

    Numbers whose places lie together share one text, with the value of the first.

    Parameters
    ----------
    found : mapping of int to Finding
        Findings with at least one point, by their number in the report.
    places : mapping of int to sequence of (n, 2) array
        What is hatched for each number that is shown [in].
    frame : Frame
        The plane.
    """
    texts: list[tuple[Vec2, list[int]]] = []
    for number, outlines in places.items():
        finding = found[number]
        points = [frame.point(at) for at in finding.points]
        yield from _mark(finding, number, points, outlines)
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
    finding: Finding, number: int, points: Sequence[Vec2], outlines: Outlines
) -> Iterator[Record]:
    owner, part = finding.subject, str(number)
    for outline in outlines:
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


def _patch(finding: Finding, frame: Frame) -> FloatArray:
    """Return a round patch that holds the points of a finding."""
    points = [frame.point(at) for at in finding.points]
    (u0, v0), (u1, v1) = points[0], points[-1]
    radius = max(_PATCH, math.dist(points[0], points[-1]) / 2)
    return corners_of(Disc(center=((u0 + u1) / 2, (v0 + v1) / 2), radius=radius))


def _common_places(
    finding: Finding, frame: Frame, body: SweptRun | None, faces: Iterable[FloatArray]
) -> Outlines:
    """Return where the solids of the other thing are inside the envelope."""
    envelope = _envelope(finding, frame, body)
    if envelope is None:
        return ()
    clipped = (clipped_face(face, envelope) for face in faces)
    return tuple(face for face in clipped if len(face) > 2)


def _envelope(
    finding: Finding, frame: Frame, body: SweptRun | None
) -> FloatArray | None:
    if body is None or finding.height is None:
        return None
    height = None if frame == PLAN else finding.height
    return body_outline(body, frame, height=height)
