"""Clash marks and close-ups: both parties are seen, the numbers are the report's."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from core.analysis.analyse import analyse
from core.barnfile.files import open_barn
from core.picture.camera import Camera
from core.picture.clashes import clashes_of, envelope_form, worst_clash
from core.picture.close_up import close_up
from core.picture.marks import VERMILION, marked
from core.picture.render import things_seen
from core.picture.subject import Subject, subject_of
from core.rules.finding import Outcome

SAMPLES = Path(__file__).resolve().parents[3] / "sample_barns"


@cache
def subject(name: str = "awkward") -> Subject:
    opened = open_barn(SAMPLES / f"{name}.json")
    report = analyse(opened.barn, meshes=opened.meshes).report
    return subject_of(opened.barn, meshes=opened.meshes, report=report)


def pairs() -> list[str]:
    """The first clash of each of the six worst pairs of a run and a fixture."""
    found: dict[tuple[str, str | None], str] = {}
    for clash in clashes_of(subject().report):
        key = (clash.finding.subject, clash.finding.other)
        if clash.run is not None and clash.finding.other:
            found.setdefault(key, str(clash.number))
    return list(found.values())[:6]


def clash_numbered(number: str):
    return next(c for c in clashes_of(subject().report) if str(c.number) == number)


def test_clashes_are_the_breaches_of_the_report_under_its_numbers() -> None:
    report = subject().report
    for clash in clashes_of(report):
        assert report.findings[clash.number - 1] is clash.finding
        assert clash.finding.outcome in {Outcome.STOP, Outcome.CAUTION}
        assert clash.finding.points
    first = worst_clash(report)
    assert first is not None
    assert first.number == min(c.number for c in clashes_of(report) if c.finding.other)


@pytest.mark.slow
@pytest.mark.parametrize("number", pairs())
def test_a_close_up_shows_both_parties(number) -> None:
    assert_both_are_seen(subject(), clash_numbered(number))


def test_the_worst_clash_of_a_large_room_is_shown_with_both_parties() -> None:
    worst = worst_clash(subject("tunnel").report)
    assert worst is not None
    assert_both_are_seen(subject("tunnel"), worst)


@pytest.mark.parametrize("name", ["plain", "nursery"])
def test_a_room_without_a_clash_of_two_has_no_close_up(name) -> None:
    assert worst_clash(subject(name).report) is None


def assert_both_are_seen(barn: Subject, clash) -> None:
    """Second method: count the pixels of each party by its ids."""
    camera = close_up(barn, clash, width=480, height=320)
    pixels, names = things_seen(barn, camera, lift=clash.lift)
    middle = pixels[80:240, 120:360]
    for party in (clash.finding.subject, clash.finding.other):
        ids = [k for k, n in enumerate(names) if n[0] == party]
        assert np.isin(pixels, ids).sum() > 500, f"{party} is hardly seen"
        assert np.isin(pixels, ids).mean() < 0.3, f"{party} fills the picture"
        assert np.isin(middle, ids).sum() > 250, f"{party} is not in the middle"
    for place in camera.project(clash.finding.points):
        assert 160 < place[0] < 320
        assert 100 < place[1] < 220
        assert place[2] > 10


def test_the_envelope_keeps_its_distance_from_the_run() -> None:
    clash = next(c for c in clashes_of(subject().report) if c.body is not None)
    corners = envelope_form(clash).corners.reshape(-1, 3)
    assert len(corners)
    # hand-worked: level run along x; beside it the envelope is its radius and 6 in
    side = np.abs(corners[:, 1] - clash.run.start[1]).max()
    assert side == pytest.approx(clash.body.radius + clash.body.side + 6.0, abs=0.01)


def test_marks_are_vermilion_where_the_clash_is() -> None:
    clash = clash_numbered(pairs()[1])
    camera = close_up(subject(), clash, width=240, height=160)
    grey = np.full((160, 240, 3), 150, np.uint8)
    found = marked(grey, camera, subject().stage(clash.lift), (clash,))
    changed = (found != grey).any(axis=2)
    away = np.abs(found.astype(int) - np.array(VERMILION)).max(axis=2)
    at = camera.project(clash.finding.points)[0]
    column, row = int(at[0]), int(at[1])
    near = away[row - 6 : row + 7, column - 6 : column + 7]
    assert near.min() < 12
    assert 0.02 < changed.mean() < 0.9
    assert (found[~changed] == 150).all()


def test_what_is_not_in_the_picture_is_not_marked() -> None:
    clash = clash_numbered(pairs()[1])
    x, y, z = clash.middle
    away = Camera(eye=(x + 30.0, y, z), look=(x + 200.0, y, z), width=160, height=120)
    grey = np.full((120, 160, 3), 150, np.uint8)
    stage = subject().stage(clash.lift)
    assert marked(grey, away, stage, ()) is grey
    found = marked(grey, away, stage, (clash,))
    label = (found == 255).all(axis=2)
    assert not label.any()
