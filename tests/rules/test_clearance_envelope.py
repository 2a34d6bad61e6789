"""clearance.envelope: 6 in of air round the live parts, all the way.

Hand-worked: the tube of run-1 lies at y = 60, its radius is 0.922 / 2 = 0.461 in.
A box whose near face is at y = 60 + 0.461 + gap leaves just that gap while the
pipe passes it; sag and points reach down, not sideways.
"""

from dataclasses import replace

import numpy as np
import pytest

from core.model.fixtures import FeedLine, PlainBox
from core.model.job import Job, RuleOverride, SideAir
from core.rules.finding import Outcome
from core.rules.wording import message, remedy
from tests.rules.judging import (
    SCANNED,
    breaches,
    only,
    passed,
    report,
    with_fixture,
)
from tests.specimens import plain_barn
from tests.surface_specimens import box_mesh

RULE = "clearance.envelope"
TUBE = 0.461  # [in]


def _beside(*, gap: float, low: float, high: float) -> PlainBox:
    return PlainBox(
        id="box-9",
        x=204.0,
        y=60.0 + TUBE + gap + 5.0,
        z=low,
        length=20.0,
        width=10.0,
        height=high - low,
    )


def test_the_plain_barn_keeps_its_air() -> None:
    first, second = passed(plain_barn(), RULE)
    assert (first.subject, second.subject) == ("run-1", "run-2")


@pytest.mark.parametrize(
    ("low", "high", "code"),
    [
        (40.0, 60.0, "inside-envelope-at-work"),
        (88.0, 96.0, "inside-envelope-stowed"),
        (66.0, 72.0, "inside-envelope-on-the-way"),
    ],
)
def test_a_box_five_inches_off_is_a_stop_that_says_when(
    low: float, high: float, code: str
) -> None:
    spoilt = only(with_fixture(_beside(gap=5.0, low=low, high=high)), RULE, code)

    assert spoilt.outcome is Outcome.STOP
    assert (spoilt.subject, spoilt.other) == ("run-1", "box-9")
    assert spoilt.value == pytest.approx(5.0, abs=1e-9)  # hand-worked, see above
    assert spoilt.limit == 6.0
    # the box reaches from x = 194 to 214, 170 to 190 in from the run's front end
    assert spoilt.station is not None
    assert 170.0 <= spoilt.station <= 190.0
    assert "comes within 5.00 in of box-9 (body)" in message(spoilt)

    passed(with_fixture(_beside(gap=6.001, low=low, high=high)), RULE)


def test_what_is_hit_on_the_way_is_not_said_to_be_hit_stowed() -> None:
    """A box right under the stowed run, 80 to 83 in high, with the pipe at 90.5 in."""
    barn = with_fixture(_beside(gap=-5.0, low=80.0, high=83.0))
    spoilt = only(barn, RULE, "inside-envelope-stowed")
    words = "runs into box-9 (body) on its way, and is too near stowed"
    assert words in message(spoilt)


@pytest.mark.parametrize(("gap", "stops"), [(6.0 - 1e-6, 1), (6.0 + 1e-6, 0)])
def test_the_limit_is_met_to_the_millionth(gap: float, stops: int) -> None:
    barn = with_fixture(_beside(gap=gap, low=66.0, high=72.0))
    assert len(breaches(barn, RULE)) == stops


def test_work_outranks_stow_and_stow_outranks_the_way() -> None:
    barn = plain_barn()
    boxes = [
        replace(_beside(gap=gap, low=low, high=high), id=name)
        for name, gap, low, high in (
            ("way", 1.0, 66.0, 72.0),
            ("stow", 2.0, 88.0, 96.0),
            ("work", 3.0, 45.0, 55.0),
        )
    ]
    found = breaches(replace(barn, fixtures=(*barn.fixtures, *boxes)), RULE)
    assert [item.other for item in found] == ["work", "stow", "way"]


def test_a_pipe_through_a_tube_runs_into_it() -> None:
    tube = FeedLine(
        id="cross", path=((204.0, 20.0, 70.0), (204.0, 110.0, 70.0)), diameter=3.0
    )
    spoilt = only(with_fixture(tube), RULE, "inside-envelope-on-the-way")
    assert spoilt.value is not None
    assert spoilt.value < 0.0
    assert "run-1 runs into cross (tube 1) on its way" in message(spoilt)


def test_two_blocked_bands_are_told_apart() -> None:
    tube = FeedLine(
        id="loop",
        path=(
            (204.0, 20.0, 58.0),
            (204.0, 112.0, 58.0),
            (204.0, 112.0, 77.0),
            (204.0, 20.0, 77.0),
        ),
        diameter=1.0,
    )
    spoilt = only(with_fixture(tube), RULE, "inside-envelope-on-the-way")
    gaps = [spoilt.details[name] for name in ("lo0", "hi0", "lo1", "hi1")]
    assert gaps == sorted(gaps, key=float)
    run = report(with_fixture(tube)).runs["run-1"]
    assert len(run.usable) == 3


def test_what_blocks_a_swinging_run_at_the_top_is_named_stowed() -> None:
    # its bands are known within the travel only and end at the stow height
    barn = with_fixture(_beside(gap=2.0, low=80.0, high=99.0))
    barn = replace(barn, job=Job(side_air=SideAir(speed=30.0)))
    only(barn, RULE, "inside-envelope-stowed")
    run = report(barn).runs["run-1"]
    assert (run.working_free, run.stow_free, run.way_free) == (True, False, False)


def test_a_job_asks_for_more_air_with_a_reason() -> None:
    barn = with_fixture(_beside(gap=6.5, low=66.0, high=72.0))
    passed(barn, RULE)
    override = RuleOverride(rule=RULE, value=7.0, reason="damp room")
    barn = replace(barn, job=Job(overrides=(override,)))

    spoilt = only(barn, RULE, "inside-envelope-on-the-way")

    assert spoilt.value == pytest.approx(6.5, abs=1e-9)  # hand-worked, see above
    assert spoilt.limit == 7.0
    (shown,) = report(barn).overrides
    assert (shown.usual, shown.value, shown.reason) == (6.0, 7.0, "damp room")


@pytest.mark.parametrize(
    ("low", "high", "ways"),
    [
        # hand-worked: the pipe travels from 50 to 90.5 in; more than half of that way,
        # 20.25 in, is left below a box from 88 in up and above one up to 54 in, but
        # not beside one that stands in the middle. The tube keeps its air down to
        # sqrt(6.461^2 - 5.461^2) = 3.45 in under the box and hangs 0.08 in lower than
        # at its supports: 88 - 3.45 + 0.08 = 84.63 in
        (88.0, 96.0, "Move box-9, {aside}, or stow run-1 below 7 ft 0-5/8 in."),
        (45.0, 54.0, "Move box-9, {aside}, or let run-1 work higher than 4 ft 1"),
        (66.0, 72.0, "Move box-9, or {aside}."),
    ],
)
def test_what_can_be_moved_is_told_with_the_height_that_helps(
    low: float, high: float, ways: str
) -> None:
    spoilt = breaches(with_fixture(_beside(gap=5.0, low=low, high=high)), RULE)[0]
    aside = "move run-1 with its supports to the side"
    assert remedy(spoilt).startswith(ways.format(aside=aside))


def test_nobody_is_told_to_move_the_ceiling() -> None:
    barn = plain_barn()
    runs = tuple(replace(run, stow_drop=3.0) for run in barn.runs)
    spoilt = breaches(replace(barn, runs=runs), RULE)[0]
    assert spoilt.other == "ceiling"
    assert remedy(spoilt).startswith("Move run-1 with its supports to the side, or ")


def test_nobody_is_told_to_move_a_scan() -> None:
    low = np.array([194.0, 60.0 + TUBE + 5.0, 66.0])
    mesh = {"scan-9": box_mesh(low, low + 6.0)}
    spoilt = only(SCANNED, RULE, "inside-envelope-on-the-way", mesh)
    assert remedy(spoilt) == "Move run-1 with its supports to the side."
