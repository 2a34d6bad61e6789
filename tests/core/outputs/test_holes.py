"""Where holes are and what is near them, by hand-worked places."""

from dataclasses import replace

import pytest

from core.analysis.analyse import Analysis, analyse
from core.model.fixtures import PlainBox
from core.model.hoists import Parts
from core.outputs.drilling import drilling_table
from core.outputs.holes import NEAR, close_ups, direction_words, drill_holes
from core.placement.runs import point_at
from core.quantities import LengthStyle
from tests.specimens import CEILING, plain_barn


def test_every_screw_of_a_barn_has_one_hole(full: Analysis) -> None:
    barn = full.report.barn
    wanted = [s.id for run in barn.runs for s in run.supports]
    wanted += [t.id for h in barn.hoists for c in h.cables for t in c.turns]
    for hoist in barn.hoists:
        name = hoist.id.removeprefix("hoist-")
        wanted.append(f"winch-{name}")
        if hoist.parts is Parts.TWO and hoist.dead_end is not None:
            wanted.append(f"end-{name}")
    assert [hole.id for hole in drill_holes(full)] == wanted


def test_the_holes_of_a_winch_are_on_its_wall_with_their_load(plain: Analysis) -> None:
    hole = next(hole for hole in drill_holes(plain) if hole.id == "winch-1")
    # the specimen's winch is at (4, 114, 48) on the front wall
    assert hole.at == (0.0, 114.0, 48.0)
    assert (hole.wall, hole.count, hole.truss) == ("front wall", 4, None)
    (hoist,) = plain.report.hoists.values()
    assert hole.load == hoist.fixings[0].load
    assert "front wall" not in {near.owner for near in hole.near}
    row = drilling_table([hole], style=LengthStyle.FEET).rows[0]
    assert row[1:7] == (
        "winch-1",
        "front wall, 4 ft 0 in up, added lumber",
        0.0,
        114.0,
        "4 x lag screw, hexagon head 3/8 x 4 in, winch",
        "15/64 in",  # NDS 2018 12.1.4: 60 to 75 % of 3/8 in in such wood, from memory
    )


def test_a_hole_is_straight_above_its_support(plain: Analysis) -> None:
    run = plain.report.barn.runs[0]
    holes = {hole.id: hole for hole in drill_holes(plain)}
    for support in run.supports:
        # hand-worked: supports of the specimen are not moved along or across
        assert holes[support.id].at == (*point_at(run, support.station), CEILING)


def test_the_load_is_what_the_analysis_says_of_the_screw(plain: Analysis) -> None:
    holes = {hole.id: hole for hole in drill_holes(plain)}
    (hoist,) = plain.report.hoists.values()
    anchors = [anchor for cable in hoist.cables for anchor in cable.anchors]
    assert anchors
    for anchor in anchors:
        squares = sum(part * part for part in anchor.force)
        assert holes[anchor.id].load == pytest.approx(squares**0.5)


@pytest.mark.parametrize(
    ("dx", "dy", "words"),
    [
        (5.0, 2.0, "back"),
        (0.0, 5.0, "right"),
        (-5.0, 0.0, "front"),
        (1.0, -8.0, "left"),
    ],
)
def test_a_box_beside_a_hole_is_named_with_its_gap(
    dx: float, dy: float, words: str
) -> None:
    barn = plain_barn()
    x, y = point_at(barn.runs[0], barn.runs[0].supports[1].station)
    # hand-worked: a 2-in cube at the ceiling whose near face is 3 in from the hole
    # in the larger direction, its middle level with the hole in the other
    ahead = abs(dx) > abs(dy)
    at = (
        (x + (4.0 if dx > 0 else -4.0), y)
        if ahead
        else (x, y + (4.0 if dy > 0 else -4.0))
    )
    box = PlainBox(
        id="cube", x=at[0], y=at[1], z=CEILING - 2.0, length=2.0, width=2.0, height=2.0
    )
    analysis = analyse(replace(barn, fixtures=(*barn.fixtures, box)))
    holes = {hole.id: hole for hole in drill_holes(analysis)}
    nearest = holes[barn.runs[0].supports[1].id].nearest
    assert nearest is not None
    assert nearest.owner == "cube"
    assert nearest.distance == pytest.approx(3.0, abs=1e-9)
    assert nearest.direction == words


def test_only_holes_with_something_within_a_foot_get_a_close_up(
    full: Analysis,
) -> None:
    holes = drill_holes(full)
    chosen = {hole.id for hole in close_ups(holes)}
    assert 0 < len(chosen) < len(holes)
    for hole in holes:
        least = min((near.distance for near in hole.near), default=99.0)
        assert (hole.id in chosen) == (least <= NEAR)


def test_directions_are_those_of_one_who_walks_in() -> None:
    # design: x from the main door, y from the left
    assert direction_words(9.0, 0.0) == "back"
    assert direction_words(0.0, -9.0) == "left"
    assert direction_words(-7.0, 7.0) == "front right"
