from dataclasses import replace
from itertools import pairwise

import numpy as np

from core.catalogue.standard import standard_catalogue
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.fixtures import Scan
from core.placement.building import building_solids
from core.placement.scene import placed_solids, strands
from core.placement.solids import Group
from tests.specimens import full_barn, plain_barn

PARTS = standard_catalogue()
TRIANGLE = Mesh(vertices=np.eye(3), faces=np.array([[0, 1, 2]]))


def meshes(barn: Barn) -> dict[str, Mesh]:
    return {f.id: TRIANGLE for f in barn.fixtures if isinstance(f, Scan)}


def test_everything_that_stands_is_placed_under_its_owner() -> None:
    barn = full_barn()
    found = placed_solids(barn, meshes(barn), PARTS.with_parts(barn.parts))
    owners = {solid.owner for solid in found}
    turns = {turn.id for h in barn.hoists for c in h.cables for turn in c.turns}
    assert {fixture.id for fixture in barn.fixtures} <= owners
    assert turns | {"front wall", "ceiling", "bulkhead-1", "pen-1"} <= owners
    assert found[: len(building_solids(barn.room))] == building_solids(barn.room)


def test_everything_that_hangs_is_there_at_every_lift() -> None:
    barn = full_barn()
    parts = PARTS.with_parts(barn.parts)
    for lift in (0.0, 0.3, 1.0):
        found = strands(barn, parts, lift=lift)
        owners = {strand.owner for strand in found}
        assert owners == {
            *("run-1", "run-2", "cable-1", "cable-2", "hoist-1"),
            *("lead-1", "lead-2", "jumper-1"),
        }
        assert {s.group for s in found} == {Group.ROPE, Group.CABLE, Group.LEAD}
        assert np.isfinite([p for s in found for p in s.points]).all()


def test_a_run_without_a_hoist_hangs_on_its_pulleys() -> None:
    barn = replace(plain_barn(), hoists=())
    found = strands(barn, PARTS, lift=0.0)
    assert {s.part.split()[0] for s in found if s.group is not Group.LEAD} == {
        "rope",
        "insulator",
    }


def test_no_strand_has_a_piece_of_no_length() -> None:
    barn = plain_barn()
    at_pulley = tuple(replace(s, clamp_gap=0.0) for s in barn.runs[0].supports)
    runs = (replace(barn.runs[0], supports=at_pulley), barn.runs[1])
    for lift in (0.0, 0.6, 1.0):
        for strand in strands(replace(barn, runs=runs), PARTS, lift=lift):
            assert all(a != b for a, b in pairwise(strand.points)), strand.part


def test_equal_barns_give_equal_strands() -> None:
    assert strands(plain_barn(), PARTS, lift=0.4) == strands(
        plain_barn(), PARTS, lift=0.4
    )
