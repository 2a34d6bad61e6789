from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LinearRing

from core.catalogue.standard import standard_catalogue
from core.model.barn import Barn
from core.model.consistency import link_faults, links_of, objects_within, own_faults
from core.model.fixtures import PlainHull
from core.model.room import Pen, SteppedCeiling
from tests.specimens import CEILINGS, full_barn, plain_barn, plain_room, plain_run

SOUND_OUTLINES = {
    "triangle": [(0, 0), (9, 0), (0, 9)],
    "L": [(0, 0), (9, 0), (9, 4), (4, 4), (4, 9), (0, 9)],
    "a corner on a straight side": [(0, 0), (4, 0), (9, 0), (9, 9), (0, 9)],
    "clockwise": [(0, 9), (9, 9), (9, 0), (0, 0)],
    "spiral": [
        (0, 0),
        (9, 0),
        (9, 9),
        (3, 9),
        (3, 5),
        (5, 5),
        (5, 7),
        (7, 7),
        (7, 2),
        (0, 2),
    ],
}
CROSSED_OUTLINES = {
    "bow tie": [(0, 0), (9, 9), (9, 0), (0, 9)],
    "figure of eight through a corner": [
        (0, 0),
        (4, 4),
        (8, 0),
        (8, 8),
        (4, 4),
        (0, 8),
    ],
    "a corner on another side": [(0, 0), (9, 0), (9, 9), (4, 0), (0, 9)],
    "a spike": [(0, 0), (9, 0), (9, 9), (9, 20), (9, 9), (0, 9)],
    "flat": [(0, 0), (9, 0), (4, 0)],
    "a side twice": [(0, 0), (9, 0), (9, 9), (9, 0), (0, 0), (0, 9)],
}


def _pen(outline: list) -> Pen:
    corners = tuple((float(x), float(y)) for x, y in outline)
    return Pen(id="pen", outline=corners)


@pytest.mark.parametrize("outline", SOUND_OUTLINES.values(), ids=SOUND_OUTLINES.keys())
def test_a_simple_outline_is_sound(outline: list) -> None:
    assert list(own_faults(_pen(outline))) == []


@pytest.mark.parametrize(
    "outline", CROSSED_OUTLINES.values(), ids=CROSSED_OUTLINES.keys()
)
def test_an_outline_that_meets_itself_is_found(outline: list) -> None:
    (fault,) = own_faults(_pen(outline))

    assert fault.field == "outline"


GRID = st.tuples(st.integers(0, 6), st.integers(0, 6))


@pytest.mark.oracle
@settings(max_examples=500, deadline=None)
@given(outline=st.lists(GRID, min_size=3, max_size=8))
def test_an_outline_is_sound_if_a_geometry_library_calls_its_ring_simple(
    outline: list,
) -> None:
    # second method: shapely's LinearRing.is_simple, which lets corners repeat
    sides = zip(outline, [*outline[1:], outline[0]], strict=True)
    repeats = any(a == b for a, b in sides)
    expected = not repeats and LinearRing(outline).is_simple

    assert (not list(own_faults(_pen(outline)))) == expected


@pytest.mark.parametrize("ceiling", CEILINGS.values(), ids=CEILINGS.keys())
def test_every_kind_of_ceiling_is_sound(ceiling) -> None:
    assert list(own_faults(replace(plain_room(), ceiling=ceiling))) == []


def test_steps_across_the_room_must_start_within_its_width() -> None:
    steps = SteppedCeiling(axis="across", starts=(0.0, 275.0), heights=(100.0, 90.0))
    assert list(own_faults(replace(plain_room(), ceiling=steps))) == []

    along = replace(CEILINGS["stepped"], starts=(0.0, 480.0))
    (fault,) = own_faults(replace(plain_room(), ceiling=along))
    assert fault.field == "ceiling.starts"


def test_a_support_at_the_very_end_is_on_the_run() -> None:
    run = plain_run()
    last = replace(run.supports[2], station=360.0)

    assert list(own_faults(replace(run, supports=(*run.supports[:2], last)))) == []


@pytest.mark.parametrize(("height", "faults"), [(1e-3, 0), (1e-7, 1), (0.0, 1)])
def test_a_hull_needs_a_height(height: float, faults: int) -> None:
    base = ((0.0, 0.0, 0.0), (9.0, 0.0, 0.0), (0.0, 9.0, 0.0))
    hull = PlainHull(id="hull", points=(*base, (1.0, 1.0, height)))

    assert len(list(own_faults(hull))) == faults


@pytest.mark.parametrize("barn", [plain_barn(), full_barn()], ids=lambda b: b.name)
def test_every_part_that_a_barn_names_by_default_is_in_the_catalogue(
    barn: Barn,
) -> None:
    items = list(objects_within(barn))
    ids = {item.id: type(item) for item in items if hasattr(item, "id")}
    catalogue = standard_catalogue().with_parts(barn.parts)
    parts = {key: type(part) for key, part in catalogue.by_id.items()}

    assert sum(len(list(links_of(item))) for item in items) > 50
    assert list(link_faults(items, ids=ids, parts=parts)) == []
