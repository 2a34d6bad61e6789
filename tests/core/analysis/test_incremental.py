"""An analysis that keeps what an edit leaves alone says what a whole one says."""

import random
from dataclasses import fields, replace

import numpy as np
import pytest

from core.analysis.analyse import Analysis, analyse
from core.errors import EditError
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.edits import (
    add_objects,
    copy_objects,
    delete_objects,
    move_objects,
    move_support,
    set_job,
    set_room,
)
from core.model.fixtures import Light, Scan
from core.model.job import Job, RuleOverride
from core.quantities import LengthUnit
from tests.specimens import plain_barn
from tests.surface_specimens import rolling_ground


def crowded_barn(seed: int) -> Barn:
    """Return the plain barn with forty lamps hung at random."""
    chance = random.Random(seed)
    lamps = [
        Light(
            id=f"lamp-{number}",
            x=chance.uniform(20.0, 460.0),
            y=chance.uniform(10.0, 266.0),
            length=chance.uniform(6.0, 50.0),
            width=6.0,
            depth=chance.uniform(2.0, 30.0),
            drop=chance.uniform(0.0, 20.0),
            heading=chance.choice((0.0, 0.4, 1.5707963267948966)),
        )
        for number in range(40)
    ]
    return add_objects(plain_barn(), lamps).barn


def _random_edit(barn: Barn, chance: random.Random) -> Barn:
    lamps = [f.id for f in barn.fixtures if isinstance(f, Light)]
    supports = [(s.id, s.station) for run in barn.runs for s in run.supports]
    by = (chance.uniform(-9.0, 9.0), chance.uniform(-9.0, 9.0), 0.0)
    match chance.randrange(8):
        case 0 | 1:
            return move_objects(barn, [chance.choice(lamps)], by).barn
        case 2:
            return move_objects(barn, [chance.choice(barn.runs).id], by).barn
        case 3:
            name, station = chance.choice(supports)
            place = max(0.0, station + chance.uniform(-9.0, 9.0))
            return move_support(barn, name, station=place).barn
        case 4:
            return delete_objects(barn, [chance.choice(lamps)]).barn
        case 5:
            return copy_objects(barn, [chance.choice(lamps)], by).barn
        case 6:
            override = RuleOverride(
                rule="clearance.envelope", value=chance.uniform(3.0, 9.0), reason="try"
            )
            return set_job(barn, Job(overrides=(override,))).barn
        case _:
            return set_room(barn, replace(barn.room)).barn  # equal, another object


def assert_same_reports(kept: Analysis, fresh: Analysis) -> None:
    """Compare everything that two analyses say, to the last bit."""
    assert kept.report.findings == fresh.report.findings
    assert kept.report.runs.keys() == fresh.report.runs.keys()
    for key, run in fresh.report.runs.items():
        mine = kept.report.runs[key]
        assert mine.blocked == run.blocked
        assert mine.usable == run.usable
        assert mine.contacts == run.contacts
        assert mine.evidence.strands == run.evidence.strands
        for field in fields(fresh.pairs.by_id[key]):
            np.testing.assert_array_equal(
                getattr(kept.pairs.by_id[key], field.name),
                getattr(fresh.pairs.by_id[key], field.name),
            )


@pytest.mark.parametrize("seed", range(6))
def test_random_edits_give_what_a_full_check_gives(seed: int) -> None:
    chance = random.Random(seed)
    barn = crowded_barn(seed)
    analysis = analyse(barn)
    for _ in range(25):
        try:
            barn = _random_edit(barn, chance)
        except EditError:
            continue  # an edit that is refused changes nothing
        analysis = analyse(barn, previous=analysis)
        assert_same_reports(analysis, analyse(barn))


def test_moving_one_lamp_leaves_the_run_far_from_it_alone() -> None:
    near_first = Light(id="lamp", x=240.0, y=60.0, length=48.0, width=6.0, depth=4.0)
    barn = add_objects(plain_barn(), [near_first]).barn
    before = analyse(barn)
    after = analyse(move_objects(barn, ["lamp"], (1.0, 0.0, 0.0)).barn, previous=before)
    far, near = barn.runs[1].id, barn.runs[0].id
    assert after.report.runs[far] is before.report.runs[far]
    assert after.report.runs[near] is not before.report.runs[near]


def test_the_same_barn_again_keeps_everything() -> None:
    barn = crowded_barn(1)
    before = analyse(barn)
    after = analyse(barn, previous=before)
    assert all(after.report.runs[key] is run for key, run in before.report.runs.items())


def scanned_barn(seed: int) -> Barn:
    """Return the crowded barn under a scan."""
    scan = Scan(id="scan-9", file="scan.ply", unit=LengthUnit.INCH)
    return add_objects(crowded_barn(seed), [scan]).barn


def _ceiling(chance: random.Random) -> dict[str, Mesh]:
    """Return a rough sheet in the upper part of ropes, cables and leads."""
    mesh = rolling_ground(30)
    up = (0.0, 0.0, chance.uniform(-4.0, 8.0))
    return {"scan-9": replace(mesh, vertices=mesh.vertices + np.array(up))}


@pytest.mark.parametrize("seed", range(3))
def test_random_edits_under_a_scan_give_what_a_full_check_gives(seed: int) -> None:
    chance = random.Random(seed)
    barn, meshes = scanned_barn(seed), _ceiling(chance)
    analysis = analyse(barn, meshes=meshes)
    near = set()
    for number in range(12):
        try:
            barn = _random_edit(barn, chance)
        except EditError:
            continue
        if number % 4 == 3:
            meshes = _ceiling(chance)
        analysis = analyse(barn, meshes=meshes, previous=analysis)
        fresh = analyse(barn, meshes=meshes)
        assert_same_reports(analysis, fresh)
        for key, hoist in fresh.report.hoists.items():
            assert analysis.report.hoists[key].strands == hoist.strands
        mine, its = analysis.report.electrical, fresh.report.electrical
        assert mine is not None
        assert its is not None
        assert [x.contacts for x in mine.leads] == [x.contacts for x in its.leads]
        near |= {item.rule for item in fresh.report.findings if item.other == "scan-9"}
    # what the comparison is about does happen
    assert near >= {"clearance.rope", "clearance.cable", "clearance.lead"}


def test_ropes_are_not_measured_again_when_something_else_moves() -> None:
    barn, meshes = scanned_barn(1), _ceiling(random.Random(1))
    before = analyse(barn, meshes=meshes)
    moved = move_objects(barn, [barn.runs[0].id], (1.0, 0.0, 0.0)).barn
    after = analyse(moved, meshes=meshes, previous=before)
    key = ("strand scan", "ropes of run-2", "scan-9")
    assert after.rubs.subjects["run-2"] is before.rubs.subjects["run-2"]
    assert after.memo.kept[key] is before.memo.kept[key]
    mine = ("strand scan", "ropes of run-1", "scan-9")
    assert after.memo.kept[mine] is not before.memo.kept[mine]
