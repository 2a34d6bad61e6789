"""Each edit does what it says, shares the rest, and refuses the impossible.

Expected numbers are hand-worked from those of `plain_barn`: run 1 goes from
(24, 60) to (384, 60), supports at stations 24, 168 and 312.
"""

import pickle
from dataclasses import replace
from math import inf, nan

import pytest

from core.catalogue.parts import AnchorScrew
from core.catalogue.standard import standard_catalogue
from core.errors import EditError
from core.model.barn import Barn, object_ids
from core.model.consistency import objects_within
from core.model.edits import (
    What,
    add_objects,
    copy_objects,
    delete_objects,
    delete_part,
    move_objects,
    move_run_end,
    move_supply,
    move_support,
    move_switch,
    rename_barn,
    replace_object,
    set_electrical,
    set_job,
    set_part,
    set_record,
    set_room,
    split_strip,
)
from core.model.electrical import Bond
from core.model.fixtures import FeedLine, Light
from core.model.hoists import RunEnd, TurningPulley
from core.model.job import CommissioningRecord, HeightReading, Reading, RuleOverride
from core.model.rewriting import by_id, edited, replaced
from core.model.room import Strip
from core.model.runs import Support
from tests.specimens import FIXTURES, OWN_PARTS, full_barn, plain_barn, plain_run


@pytest.fixture
def barn() -> Barn:
    return plain_barn()


def _shared(before: Barn, after: Barn) -> set[str]:
    old, new = by_id(before), by_id(after)
    return {key for key in old.keys() & new.keys() if old[key] is new[key]}


def test_moving_a_fixture_shares_everything_else(barn: Barn) -> None:
    done = move_objects(barn, ["light-1"], (1.0, 2.0, 3.0))

    light = by_id(done.barn)["light-1"]
    assert (light.x, light.y) == (121.0, 140.0)
    assert done.changed == {"light-1"}
    assert done.what == What.FIXTURES
    assert _shared(barn, done.barn) == by_id(barn).keys() - {"light-1"}
    assert done.barn.runs is barn.runs
    assert done.barn.room is barn.room


def test_the_barn_before_stays_as_it_was(barn: Barn) -> None:
    move_objects(barn, ["light-1", "run-1", "hoist-1"], (1.0, 2.0, 3.0))

    assert barn == plain_barn()


def test_moving_by_nothing_changes_no_value(barn: Barn) -> None:
    ids = list(by_id(barn))

    assert move_objects(barn, ids, (0.0, 0.0, 0.0)).barn == barn


def test_moving_a_run_takes_its_supports_along(barn: Barn) -> None:
    done = move_objects(barn, ["run-1"], (6.0, -3.0, 2.0))

    run = done.barn.runs[0]
    assert (run.start, run.end) == ((30.0, 57.0), (390.0, 57.0))
    assert run.working_height == 52.0
    assert [support.station for support in run.supports] == [24.0, 168.0, 312.0]
    assert done.changed == {"run-1", "support-1-1", "support-1-2", "support-1-3"}
    assert done.barn.runs[1] is barn.runs[1]


def test_moving_a_run_and_its_support_moves_the_support_once(barn: Barn) -> None:
    both = move_objects(barn, ["run-1", "support-1-1"], (6.0, 0.0, 0.0))

    assert both.barn == move_objects(barn, ["run-1"], (6.0, 0.0, 0.0)).barn


def test_moving_a_support_goes_along_its_run(barn: Barn) -> None:
    done = move_objects(barn, ["support-1-2"], (4.0, 100.0, -7.0))

    assert done.barn.runs[0].supports[1].station == 172.0
    assert done.changed == {"run-1", "support-1-2"}
    assert done.barn.runs[0].supports[0] is barn.runs[0].supports[0]


def test_moving_a_support_goes_along_a_slanting_run(barn: Barn) -> None:
    # the run goes 3 in x for 4 in y; (5, 10) . (0.6, 0.8) = 11
    slanting = replace(plain_run(), start=(0.0, 0.0), end=(216.0, 288.0))
    barn = replace_object(barn, slanting).barn

    done = move_objects(barn, ["support-1-2"], (5.0, 10.0, 0.0))

    assert done.barn.runs[0].supports[1].station == pytest.approx(179.0, abs=1e-12)


def test_moving_a_hoist_moves_all_of_it_once(barn: Barn) -> None:
    done = move_objects(barn, ["hoist-1", "cable-1", "turn-1-1"], (0.0, 1.0, 0.0))

    hoist, old = done.barn.hoists[0], barn.hoists[0]
    assert hoist.winch.at == (4.0, 115.0, 48.0)
    assert hoist.pull_point == (440.0, 115.0, 97.5)
    assert hoist.pull_towards == (12.0, 115.0, 97.5)
    for cable, before in zip(hoist.cables, old.cables, strict=True):
        assert [t.at[1] for t in cable.turns] == [t.at[1] + 1 for t in before.turns]


def test_moving_a_turning_pulley_changes_what_holds_it(barn: Barn) -> None:
    done = move_objects(barn, ["turn-1-2"], (0.0, 0.0, -1.0))

    assert done.changed == {"turn-1-2", "cable-1", "hoist-1"}
    assert done.barn.hoists[0].cables[1] is barn.hoists[0].cables[1]
    assert done.barn.hoists[0].cables[0].turns[1].at == (468.0, 110.0, 96.5)


def test_what_is_on_a_wall_goes_along_it(barn: Barn) -> None:
    done = move_objects(barn, ["wall-fan-1", "controller-1"], (50.0, -8.0, 5.0))

    fan, controller = (by_id(done.barn)[key] for key in ("wall-fan-1", "controller-1"))
    assert (fan.offset, fan.z) == (130.0, 65.0)
    assert (controller.offset, controller.z) == (202.0, 53.0)


def test_lines_pens_and_drops_move_point_by_point() -> None:
    ids = ["feed-line-1", "feed-drop-1", "pen-1", "beam-1", "hull-1", "eye-1", "lead-1"]

    items = by_id(move_objects(full_barn(), ids, (1.0, 2.0, 3.0)).barn)

    assert items["feed-line-1"].path == ((13.0, 12.0, 89.0), (469.0, 12.0, 89.0))
    assert (items["feed-drop-1"].top, items["feed-drop-1"].bottom) == (89.0, 33.0)
    assert items["pen-1"].outline[2] == (100.0, 122.0)
    assert items["beam-1"].end == (481.0, 140.0, 98.0)
    assert items["hull-1"].points[3] == (451.0, 62.0, 43.0)
    assert items["eye-1"].look == (241.0, 140.0, 53.0)
    assert items["lead-1"].route[1] == (13.0, 62.0, 98.0)


def test_supply_and_switch_move_by_name(barn: Barn) -> None:
    done = move_objects(barn, ["supply", "switch"], (1.0, 0.0, 0.0))

    electrical, before = done.barn.electrical, barn.electrical
    for now, then in (
        (electrical.supply, before.supply),
        (electrical.supply.outlet, before.supply.outlet),
        (electrical.switch, before.switch),
    ):
        x, y, z = then.at
        assert now.at == (x + 1.0, y, z)
    assert done.changed == {"supply", "switch"}
    assert done.what == What.ELECTRICAL
    assert electrical.leads is barn.electrical.leads


def test_supply_and_switch_can_be_put_somewhere(barn: Barn) -> None:
    place = (1.0, 2.0, 3.0)

    supply = move_supply(barn, to=place).barn.electrical.supply
    switch = move_switch(barn, to=place).barn.electrical.switch

    assert supply is not None
    assert switch is not None
    assert (supply.at, switch.at) == (place, place)
    assert supply.outlet is barn.electrical.supply.outlet


@pytest.mark.parametrize("place", ["supply", "switch"])
def test_the_supply_and_the_switch_are_deleted_and_replaced_by_name(
    barn: Barn, place: str
) -> None:
    old = by_id(barn)[place]
    bond = Bond(subject=place, to="rod")
    barn = set_electrical(barn, replace(barn.electrical, bonds=(bond,))).barn

    moved = replace_object(barn, replace(old, at=(1.0, 2.0, 3.0)), id=place)
    gone = delete_objects(barn, [place, "light-1"])

    assert by_id(moved.barn)[place].at == (1.0, 2.0, 3.0)
    assert moved.changed == {place}
    assert gone.changed == {place, "light-1"}
    assert gone.barn.electrical.bonds == ()
    assert place not in by_id(gone.barn)


def test_ids_are_listed_as_they_are_looked_up() -> None:
    assert sorted(object_ids(full_barn())) == sorted(by_id(full_barn()))


def test_the_ends_of_a_run_move(barn: Barn) -> None:
    run = move_run_end(barn, "run-1", RunEnd.BACK, (400.0, 70.0)).barn.runs[0]
    assert (run.start, run.end) == ((24.0, 60.0), (400.0, 70.0))

    run = move_run_end(barn, "run-1", RunEnd.FRONT, (12.0, 60.0)).barn.runs[0]
    assert run.start == (12.0, 60.0)


def test_a_support_moves_to_a_station(barn: Barn) -> None:
    done = move_support(barn, "support-2-1", station=36.0)

    assert done.barn.runs[1].supports[0].station == 36.0
    assert done.changed == {"run-2", "support-2-1"}


def test_objects_are_added_where_they_belong(barn: Barn) -> None:
    light = Light(id="light-2", x=1.0, y=2.0, length=48.0, width=6.0, depth=4.0)
    strip = Strip(id="strip-3", x=0.0, y=120.0, length=480.0, width=36.0)

    done = add_objects(barn, [light, strip])

    assert done.barn.fixtures[-1] is light
    assert done.barn.room.strips[-1] is strip
    assert done.changed == {"light-2", "strip-3"}
    assert done.what == What.FIXTURES | What.ROOM


def test_parts_of_a_run_or_cable_are_added_to_their_owner(barn: Barn) -> None:
    support = Support(id="support-1-4", station=240.0)
    turn = TurningPulley(id="turn-1-3", at=(440.0, 113.0, 97.0))

    barn = add_objects(barn, [support], owner="run-1").barn
    barn = add_objects(barn, [turn], owner="cable-1").barn

    assert barn.runs[0].supports[-1] is support
    assert barn.hoists[0].cables[0].turns[-1] is turn


def test_replacing_a_fixture_by_another_kind_keeps_its_place(barn: Barn) -> None:
    line = FeedLine(
        id="light-1", path=((0.0, 0.0, 80.0), (9.0, 0.0, 80.0)), diameter=3.0
    )

    done = replace_object(barn, line)

    assert done.barn.fixtures[1] is line
    assert done.changed == {"light-1"}


def test_renaming_takes_readings_of_the_record_along(barn: Barn) -> None:
    keys = ("meter/run-1/voltage", "bond/run-1", "meter/run-10/voltage", "note")
    record = CommissioningRecord(
        heights=(HeightReading(run="run-1", support="support-1-1", measured=50.0),),
        readings=tuple(Reading(id=key, value="1") for key in keys),
    )
    barn = set_record(barn, record).barn
    done = replace_object(barn, replace(barn.runs[0], id="north"), id="run-1").barn
    assert done.record is not None
    assert done.record.heights[0].run == "north"
    assert [reading.id for reading in done.record.readings] == [
        "meter/north/voltage",
        "bond/north",
        "meter/run-10/voltage",
        "note",
    ]


def test_renaming_takes_links_along(barn: Barn) -> None:
    done = replace_object(barn, replace(barn.runs[0], id="north"), id="run-1")

    assert done.barn.hoists[0].cables[0].run == "north"
    assert done.barn.electrical.leads[0].run == "north"
    assert done.changed == {"run-1", "north", "cable-1", "hoist-1", "lead-1"}


def test_deleting_a_run_takes_its_cable_lead_and_readings() -> None:
    done = delete_objects(full_barn(), ["run-1"])

    assert done.changed == {
        *("run-1", "support-1-1", "support-1-2", "support-1-3"),
        *("cable-1", "turn-1-1", "turn-1-2", "hoist-1", "lead-1", "jumper-1"),
    }
    assert done.what == What.RUNS | What.HOISTS | What.ELECTRICAL | What.RECORD
    assert [cable.id for cable in done.barn.hoists[0].cables] == ["cable-2"]
    assert done.barn.record is not None
    assert done.barn.record.heights == ()


def test_deleting_a_strip_leaves_pens_and_runs_without_it(barn: Barn) -> None:
    done = delete_objects(barn, ["strip-1"])

    assert {pen.strip for pen in done.barn.room.pens} == {None, "strip-2"}
    assert done.barn.runs[0].strip is None
    assert done.changed == {"strip-1", "run-1", "pen-1", "pen-2", "pen-3", "pen-4"}


def test_deleting_a_fixture_takes_its_bond(barn: Barn) -> None:
    done = delete_objects(barn, ["light-1"])

    assert "light-1" not in {bond.subject for bond in done.barn.electrical.bonds}
    assert done.changed == {"light-1"}
    assert done.what == What.FIXTURES | What.ELECTRICAL


def test_copies_stand_in_a_row_with_fresh_ids(barn: Barn) -> None:
    done = copy_objects(barn, ["light-1"], (60.0, 0.0, 0.0), count=3)

    lights = [f for f in done.barn.fixtures if isinstance(f, Light)]
    assert [light.id for light in lights] == [
        "light-1",
        "light-2",
        "light-3",
        "light-4",
    ]
    assert [light.x for light in lights] == [120.0, 180.0, 240.0, 300.0]
    assert done.changed == {"light-2", "light-3", "light-4"}
    assert done.barn.fixtures[1] is barn.fixtures[1]


def test_a_copied_run_has_supports_of_its_own(barn: Barn) -> None:
    done = copy_objects(barn, ["run-1", "support-1-1"], (0.0, 30.0, 0.0))

    ids = [run.id for run in done.barn.runs]
    copy = done.barn.runs[1]
    assert ids == ["run-1", "run-3", "run-2"]
    assert copy.start == (24.0, 90.0)
    assert [s.id for s in copy.supports] == [
        "support-1-4",
        "support-1-5",
        "support-1-6",
    ]


def test_a_copied_support_stands_further_along(barn: Barn) -> None:
    done = copy_objects(barn, ["support-1-1"], (36.0, 0.0, 0.0), count=2)

    stations = [support.station for support in done.barn.runs[0].supports]
    assert stations == [24.0, 60.0, 96.0, 168.0, 312.0]


def test_a_copied_door_is_not_the_main_one(barn: Barn) -> None:
    doors = copy_objects(barn, ["door-1"], (0.0, 60.0, 0.0)).barn.room.doors

    assert [(door.offset, door.main) for door in doors] == [
        (120.0, True),
        (180.0, False),
    ]


def test_a_strip_is_split_into_equal_pens(barn: Barn) -> None:
    done = split_strip(barn, "strip-2", count=3)

    # hand-worked: 396 in / 3 = 132 in
    pens = [pen for pen in done.barn.room.pens if pen.strip == "strip-2"]
    assert [pen.outline[0] for pen in pens] == [(x, 156.0) for x in (0, 132, 264)]
    assert [pen.outline[2] for pen in pens] == [(x, 276.0) for x in (132, 264, 396)]
    assert done.barn.room.pens[:4] == barn.room.pens[:4]
    assert done.what == What.ROOM


def test_a_strip_is_split_again_with_the_partitions_that_it_had(barn: Barn) -> None:
    tall = replace(barn.room.pens[0], partition_height=42.0)
    barn = split_strip(replace_object(barn, tall).barn, "strip-1", count=2).barn
    barn = split_strip(barn, "strip-1", count=5).barn

    pens = [pen for pen in barn.room.pens if pen.strip == "strip-1"]
    assert [pen.partition_height for pen in pens] == [42.0] * 5


def test_room_job_electrical_record_and_name_are_set(barn: Barn) -> None:
    room = replace(barn.room, wall_thickness=8.0)
    job = replace(barn.job, overrides=(RuleOverride(rule="r", value=1.0, reason="x"),))
    electrical = replace(barn.electrical, voltage=20_000.0)

    assert set_room(barn, room).what == What.ROOM
    assert set_job(barn, job).what == What.JOB
    assert set_electrical(barn, electrical).what == What.ELECTRICAL
    assert set_record(barn, full_barn().record).what == What.RECORD
    assert rename_barn(barn, "other").barn.name == "other"


def test_setting_a_room_without_a_strip_drops_the_links_to_it(barn: Barn) -> None:
    done = set_room(barn, replace(barn.room, strips=barn.room.strips[:1]))

    assert done.barn.runs[1].strip is None
    assert {pen.strip for pen in done.barn.room.pens} == {"strip-1", None}


def test_own_parts_are_set_and_deleted(barn: Barn) -> None:
    tube = OWN_PARTS[0]

    barn = set_part(barn, tube).barn
    barn = set_part(barn, replace(tube, description="new")).barn

    assert [part.description for part in barn.parts] == ["new"]
    assert delete_part(barn, "own-tube").barn.parts == ()


IMPOSSIBLE = {
    "moving what is not there": (
        lambda b: move_objects(b, ["lihgt-1"], (0.0, 0.0, 0.0)),
        'no "lihgt-1" in this barn; did you mean "light-1"',
    ),
    "moving a supply that is not there": (
        lambda b: move_objects(
            replace(b, electrical=replace(b.electrical, supply=None)),
            ["supply"],
            (1, 1, 1),
        ),
        'no "supply"',
    ),
    "moving to nowhere": (
        lambda b: move_objects(b, ["light-1"], (nan, 0.0, 0.0)),
        'Light "light-1": x = nan in, expected at least -1e',
    ),
    "moving to the end of the world": (
        lambda b: move_objects(b, ["feed-line-1"], (inf, 0.0, 0.0)),
        "path = inf in",
    ),
    "moving a run into the floor": (
        lambda b: move_objects(b, ["run-1"], (0.0, 0.0, -50.0)),
        'Run "run-1": working_height = 0.0 in, expected more than 0 in',
    ),
    "moving a support off its run": (
        lambda b: move_support(b, "support-1-3", station=361.0),
        "361 in, off the run, expected a station of at most 360 in",
    ),
    "moving a support onto another": (
        lambda b: move_support(b, "support-1-3", station=168.0),
        "where another support is",
    ),
    "moving a support before its run": (
        lambda b: move_objects(b, ["support-1-1"], (-25.0, 0.0, 0.0)),
        "station = -1.0 in",
    ),
    "moving a run as a support": (
        lambda b: move_support(b, "run-1", station=3.0),
        '"run-1" is a Run, expected a Support',
    ),
    "a run of no length": (
        lambda b: move_run_end(b, "run-1", RunEnd.BACK, (24.0, 60.0)),
        "a run of 0 in",
    ),
    "an id that is taken": (
        lambda b: add_objects(b, [replace(FIXTURES["post"], id="run-1")]),
        'the id "run-1" is taken',
    ),
    "the name of the supply as an id": (
        lambda b: add_objects(b, [replace(FIXTURES["post"], id="supply")]),
        'the id "supply" is taken',
    ),
    "a light for the supply": (
        lambda b: replace_object(b, FIXTURES["light"], id="supply"),
        '"supply" is a Supply, not a Light',
    ),
    "copying the switch": (
        lambda b: copy_objects(b, ["switch"], (1.0, 0.0, 0.0)),
        "the switch are not copied",
    ),
    "an empty id": (
        lambda b: add_objects(b, [replace(FIXTURES["post"], id="")]),
        "expected a text that is not empty",
    ),
    "a support without a run": (
        lambda b: add_objects(b, [Support(id="s", station=3.0)]),
        "needs an owner; name its Run",
    ),
    "a thing without a list": (
        lambda b: add_objects(b, [Bond(subject="light-1")]),
        "a Bond has no id and no list",
    ),
    "a negative size": (
        lambda b: replace_object(b, replace(FIXTURES["light"], depth=-4.0)),
        "depth = -4.0 in, expected more than 0 in",
    ),
    "a word for a number": (
        lambda b: replace_object(b, replace(FIXTURES["light"], depth="4")),
        "depth = 4 in, expected more than 0 in",
    ),
    "a word that is no choice": (
        lambda b: replace_object(b, replace(FIXTURES["wall-fan"], wall="frnt")),
        "wall = 'frnt', expected one of front, back, left, right",
    ),
    "a run for a light": (
        lambda b: replace_object(b, plain_run(), id="light-1"),
        '"light-1" is a Light, not a Run',
    ),
    "a part that is not in the catalogue": (
        lambda b: replace_object(b, replace(plain_run(), tube="emt-34")),
        'tube = "emt-34", expected the id of a tube; did you mean "emt-3-4"',
    ),
    "a lead to no run": (
        lambda b: set_electrical(
            b,
            replace(
                b.electrical, leads=(replace(b.electrical.leads[0], run="nowhere"),)
            ),
        ),
        'run = "nowhere", expected the id of a run',
    ),
    "two main doors": (
        lambda b: set_room(
            b, replace(b.room, doors=(*b.room.doors, replace(b.room.doors[0], id="d")))
        ),
        "expected one main door",
    ),
    "deleting a part in use": (
        lambda b: delete_part(
            replace_object(
                set_part(b, OWN_PARTS[0]).barn, replace(plain_run(), tube="own-tube")
            ).barn,
            "own-tube",
        ),
        'Run "run-1": tube = "own-tube", expected the id of a tube',
    ),
    "deleting a part that is not there": (
        lambda b: delete_part(b, "own-tube"),
        'no "own-tube"',
    ),
    "copying a hoist": (
        lambda b: copy_objects(b, ["hoist-1"], (1.0, 0.0, 0.0)),
        "a Hoist belongs to its runs",
    ),
    "copying no times": (
        lambda b: copy_objects(b, ["light-1"], (1.0, 0.0, 0.0), count=0),
        "count = 0 copies, expected 1 to 500",
    ),
    "no pens": (lambda b: split_strip(b, "strip-1", count=0), "count = 0 pens"),
    "splitting a pen": (
        lambda b: split_strip(b, "pen-1", count=2),
        '"pen-1" is a Pen, expected a Strip',
    ),
    "a name that would ring a bell": (
        lambda b: rename_barn(b, "barn\a"),
        "without control characters",
    ),
    "no name": (lambda b: rename_barn(b, ""), "not empty"),
}


@pytest.mark.parametrize(("edit", "words"), IMPOSSIBLE.values(), ids=IMPOSSIBLE.keys())
def test_what_cannot_be_done_is_refused_in_words(barn: Barn, edit, words: str) -> None:
    with pytest.raises(EditError) as caught:
        edit(barn)

    assert words in str(caught.value)


def test_every_object_of_a_barn_but_the_changed_ones_is_shared() -> None:
    barn = full_barn()
    before = {id(item) for item in objects_within(barn)}

    after = move_objects(barn, ["light-1"], (1.0, 0.0, 0.0)).barn

    fresh = [item for item in objects_within(after) if id(item) not in before]
    assert {type(item) for item in fresh} == {Barn, Light}


def test_a_barn_that_came_from_another_process_is_as_good() -> None:
    screw = next(
        part
        for part in standard_catalogue().by_id.values()
        if isinstance(part, AnchorScrew)
    )
    barn = set_part(full_barn(), replace(screw, id="ours")).barn
    # a process hands its words over as copies
    other = pickle.loads(pickle.dumps(barn))
    assert other.parts[-1].thread is not barn.parts[-1].thread
    assert edited(plain_barn(), other).barn == barn
    with pytest.raises(EditError, match="one of"):
        edited(plain_barn(), replace(barn, parts=(replace(screw, thread="hook"),)))


def test_another_barn_is_told_as_new_altogether() -> None:
    told = replaced(plain_barn(), full_barn())
    assert told.barn == full_barn()
    assert told.changed == {*by_id(plain_barn()), *by_id(full_barn())}
    assert all(part in told.what for part in What)
