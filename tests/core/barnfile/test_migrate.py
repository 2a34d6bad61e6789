"""One stored sample of each older version, brought up to date."""

import json
from copy import deepcopy

from core.barnfile import read_barn
from core.barnfile.migrate import migrated
from core.model.room import FlatCeiling

VERSION_0 = {
    "liftlane": 0,
    "unit": "ft",
    "name": "first draft",
    "room": {"length": 40, "width": 23, "ceiling_height": "8 ft 4 in"},
    "pipes": [{"id": "run-1", "start": [2, 5], "end": [32, 5]}],
}


def test_a_file_of_version_0_is_read() -> None:
    barn = read_barn(json.dumps(VERSION_0), where="draft")

    # hand-worked: 8 ft 4 in = 100 in, 32 ft = 384 in
    assert barn.room.ceiling == FlatCeiling(height=100.0)
    assert [(run.id, run.end) for run in barn.runs] == [("run-1", (384.0, 60.0))]


def test_migrating_leaves_its_input_alone() -> None:
    draft = deepcopy(VERSION_0)

    migrated(draft, 0)

    assert draft == VERSION_0


def test_a_migrated_file_is_not_migrated_again() -> None:
    once = migrated(VERSION_0, 0)

    assert migrated(once, 1) == once
