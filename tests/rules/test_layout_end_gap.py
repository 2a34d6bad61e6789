"""layout.end-gap: 12 in between the ends of a run and the walls."""

import pytest

from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.judging import only, passed
from tests.rules.spoiling import with_run
from tests.specimens import plain_barn

RULE = "layout.end-gap"


def test_the_nearer_end_of_a_good_run_is_told() -> None:
    first, _ = passed(plain_barn(), RULE)
    # hand-worked: 24 in at the front, 480 - 384 = 96 in at the back
    assert (first.value, first.limit, first.station) == (24.0, 12.0, 0.0)


@pytest.mark.parametrize(
    ("spoilt", "mended", "end", "station"),
    [
        ({"start": (11.0, 60.0)}, {"start": (12.0, 60.0)}, "front", 0.0),
        # hand-worked: 480 - 469 = 11 in; the run is 469 - 24 = 445 in long
        ({"end": (469.0, 60.0)}, {"end": (468.0, 60.0)}, "far", 445.0),
    ],
)
def test_an_end_eleven_inches_from_its_wall_is_a_stop(
    spoilt: dict[str, object], mended: dict[str, object], end: str, station: float
) -> None:
    finding = only(with_run(**spoilt), RULE, "too-near-wall")

    assert finding.outcome is Outcome.STOP
    assert (finding.subject, finding.value, finding.limit) == ("run-1", 11.0, 12.0)
    assert finding.station == station
    assert message(finding).startswith(f"The {end} end of run-1 is 11 in from the wall")

    passed(with_run(**mended), RULE)


def test_a_slanted_run_is_measured_straight_on() -> None:
    # hand-worked, 3-4-5: from (100, 6) on at 4 in 5 along, -3 in 5 across, the left
    # wall is 6 / (3/5) = 10 in away
    run = with_run(start=(36.0, 54.0), end=(100.0, 6.0), supports=())
    assert only(run, RULE, "too-near-wall").value == pytest.approx(10.0, abs=1e-9)
