"""The free-space map of a run in its room agrees with the check of that run."""

from core.analysis.analyse import analyse
from core.analysis.free_space import run_free_space
from core.model.edits import add_objects
from core.model.fixtures import Light
from tests.specimens import plain_barn


def test_the_column_of_the_run_is_blocked_where_its_contacts_are() -> None:
    lamp = Light(
        id="lamp", x=200.0, y=62.0, length=48.0, width=6.0, depth=20.0, drop=10.0
    )
    barn = add_objects(plain_barn(), [lamp]).barn
    report = analyse(barn).report.runs["run-1"]
    found = run_free_space(barn, barn.runs[0], report.evidence.body, {})
    column = found.nearest_column(0.0)
    (contact,) = (c for c in report.contacts if c.other == "lamp")
    ((lo, hi),) = contact.bands
    # second method: the sweep of the run itself; the map covers sag by its greatest
    middle = (lo + hi) / 2
    blocked = found.blocked(column, z_lo=lo, z_hi=hi)
    assert any(a <= middle <= b for a, b in blocked)
    free = found.free_heights(column, report.working_height, lo - 0.5)
    assert free


def test_far_from_the_lamp_the_way_is_free() -> None:
    barn = plain_barn()
    report = analyse(barn).report.runs["run-1"]
    found = run_free_space(barn, barn.runs[0], report.evidence.body, {})
    free = found.free_heights(
        found.nearest_column(0.0), report.working_height, report.stow_height
    )
    assert len(free) == 1
