"""Clash marks: where they lie, what they say, and in which views; hand-worked."""

from dataclasses import replace

import numpy as np
import pytest

from core.drawing.faces import clipped_face
from core.drawing.long_section import long_section
from core.drawing.memo import Memo
from core.drawing.plan import plan
from core.drawing.records import Polygon, Role, Text
from core.drawing.section import section
from core.drawing.shown import Shown
from core.model.edits import move_objects
from core.rules.finding import Outcome
from tests.core.drawing.reports import CATALOGUE, light_contact, report_of
from tests.specimens import plain_barn


def _barn():
    """The light moved to 3.5 in beside run-1: x 96..144, y 63.5..69.5, z 96..100."""
    return move_objects(plain_barn(), ["light-1"], (0.0, -71.5, 0.0)).barn


def _marks(view, *, cut=120.0, run="run-1", findings=None):
    barn = _barn()
    report = report_of(barn, contact=light_contact())
    if findings is not None:
        report = replace(report, findings=findings(report.findings))
    shown = Shown(catalogue=CATALOGUE, cut=cut, run=run)
    return [
        record
        for record in view(barn, report, shown).records
        if record.role in (Role.FINDING, Role.WITNESS)
    ]


@pytest.mark.parametrize("view", [plan, section, long_section])
def test_the_clashing_run_is_marked_in_every_view(view):
    marks = _marks(view)
    assert {mark.owner for mark in marks} == {"run-1"}
    assert {mark.part for mark in marks} == {"1"}
    assert {mark.role for mark in marks} == {Role.FINDING, Role.WITNESS}


def test_hatched_place_is_where_the_light_is_inside_the_envelope():
    (place,) = (m for m in _marks(plan) if isinstance(m, Polygon))
    # hand-worked: envelope to y = 60 + 0.461 + 6; the light begins at y = 63.5
    assert place.outline[:, 1].min() == pytest.approx(-66.461)
    assert place.outline[:, 1].max() == pytest.approx(-63.5)
    assert (place.outline[:, 0].min(), place.outline[:, 0].max()) == (96, 144)


def test_number_and_clearance_stand_beside_the_witness_line():
    (text,) = (m for m in _marks(plan) if isinstance(m, Text))
    assert text.parts == ("1: ", (4.0, "gap"))
    # hand-worked: witness from (120, 60) to (120, 64), text 5 in to the right
    assert text.at == pytest.approx((125, -62))


def test_witness_line_joins_the_two_points():
    witness = [m for m in _marks(section) if m.role is Role.WITNESS]
    assert witness[0].points.tolist() == [[60, 76], [64, 76]]


def test_section_shows_a_clash_that_it_cuts_away_from_its_nearest_points():
    def higher(findings):
        return tuple(replace(f, height=92.0) for f in findings)

    # the nearest points are at x = 120, the light reaches to x = 144 and down to 96
    marks = _marks(section, cut=140.0, findings=higher)
    (place,) = (m for m in marks if isinstance(m, Polygon))
    assert place.outline[:, 1].min() == pytest.approx(96)
    assert not _marks(section, cut=160.0, findings=higher)


def test_section_far_from_the_clash_shows_no_mark():
    assert not _marks(section, cut=300.0)


def test_long_section_of_another_run_shows_no_mark():
    assert not _marks(long_section, run="run-2")


def test_passes_are_not_marked():
    def passed(findings):
        return tuple(replace(f, outcome=Outcome.PASS) for f in findings)

    assert not _marks(plan, findings=passed)


def test_a_place_of_one_point_is_a_patch():
    def single(findings):
        return tuple(
            replace(f, points=f.points[:1], height=None, value=None) for f in findings
        )

    marks = _marks(plan, findings=single)
    (patch,) = (m for m in marks if isinstance(m, Polygon))
    assert np.ptp(patch.outline, axis=0) == pytest.approx((4, 4))
    (text,) = (m for m in marks if isinstance(m, Text))
    assert text.parts == ("1",)


def test_numbers_at_one_place_share_a_text():
    def doubled(findings):
        (finding,) = findings
        other = replace(finding, rule="clearance.rope", value=0.5)
        far = replace(finding, points=((300.0, 60.0, 76.0), (300.0, 64.0, 76.0)))
        return (finding, other, far)

    marks = _marks(plan, findings=doubled)
    texts = [m.parts[0] for m in marks if isinstance(m, Text)]
    assert texts == ["1, 2: ", "3: "]
    assert {m.part for m in marks} == {"1", "2", "3"}


def test_marks_stay_while_the_finding_does():
    barn = _barn()
    report, memo = report_of(barn, contact=light_contact()), Memo()
    shown = Shown(catalogue=CATALOGUE)

    def group():
        drawing = plan(barn, report, shown, memo=memo)
        return next(g for g in drawing.groups if g.key == ("finding", "run-1/light-1"))

    assert group() is group()


def test_clip_of_faces_apart_is_empty_and_of_nested_ones_the_inner():
    square = np.array(((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)))
    assert not len(clipped_face(square, square + 5))
    inner = square / 4 + 0.5
    assert clipped_face(inner, square).tolist() == inner.tolist()
    assert sorted(clipped_face(square, inner[::-1]).tolist()) == sorted(inner.tolist())
