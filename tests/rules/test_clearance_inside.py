"""clearance.inside: no run starts or ends its travel inside a solid."""

from dataclasses import replace

import numpy as np
import pytest

from core.analysis.analyse import analyse
from core.geometry.shapes import Mesh
from core.model.fixtures import PlainBox, Scan
from core.quantities import LengthUnit
from core.rules.finding import Outcome
from tests.rules.judging import breaches, only, passed, with_fixture
from tests.specimens import plain_barn

RULE = "clearance.inside"
BOX = PlainBox(
    id="box-9", x=204.0, y=60.0, z=40.0, length=20.0, width=30.0, height=20.0
)


def test_nothing_holds_the_runs_of_the_plain_barn() -> None:
    assert passed(plain_barn(), RULE) == []


@pytest.mark.parametrize(
    ("low", "lift", "height"),
    [
        (40.0, 0.0, 50.0),  # hand-worked: the working height
        (80.0, 1.0, 90.539),  # hand-worked: ceiling 100 - drop 9 - radius 0.461
    ],
)
def test_a_box_round_the_run_is_a_stop(low: float, lift: float, height: float) -> None:
    spoilt = only(with_fixture(replace(BOX, z=low)), RULE, "inside-solid")

    assert spoilt.outcome is Outcome.STOP
    assert (spoilt.subject, spoilt.other, spoilt.lift) == ("run-1", "box-9", lift)
    assert spoilt.height == pytest.approx(height, abs=1e-9)

    passed(with_fixture(replace(BOX, z=low, y=100.0)), RULE)


def test_a_box_on_the_way_only_is_no_start_and_no_end() -> None:
    assert breaches(with_fixture(replace(BOX, z=62.0, height=8.0)), RULE) == []


def test_an_open_scan_is_named_as_not_checked() -> None:
    scan = Scan(id="scan-9", file="scan.ply", unit=LengthUnit.INCH)
    leaf = Mesh(
        vertices=np.array([[10.0, 10.0, 1.0], [12.0, 10.0, 1.0], [10.0, 12.0, 1.0]]),
        faces=np.array([[0, 1, 2]]),
    )
    report = analyse(with_fixture(scan), meshes={"scan-9": leaf}).report
    found = {
        (item.code, item.subject, item.other)
        for item in report.not_checked
        if item.rule == RULE
    }
    assert found == {
        ("open-scan", "run-1", "scan-9"),
        ("open-scan", "run-2", "scan-9"),
    }
