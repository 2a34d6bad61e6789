"""Whatever barn there is, its file gives it back, and an edit can be undone.

Barns are built at random from the types of the model: every field of every
class takes any value that its limits allow.
"""

import json
import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from core.barnfile import barn_text, digest, read_text
from core.barnfile.numbers import form_of, written_number
from core.barnfile.schema import SCHEMA_PATH
from core.model.barn import Barn
from core.model.consistency import objects_within, own_faults
from core.model.edits import delete_objects, move_objects, replace_object
from core.model.fields import Quantity
from core.model.fixtures import Fixture
from core.model.limits import value_faults
from core.model.rewriting import by_id
from core.model.runs import Support
from core.model.spec import (
    ChoiceSpec,
    FlagSpec,
    KindSpec,
    ListSpec,
    NumberSpec,
    ObjectSpec,
    OptionalSpec,
    Spec,
    TextSpec,
    TupleSpec,
    fields_of,
    kinds_of,
    spec_of,
)
from core.quantities import LengthUnit
from tests.specimens import FIXTURES, full_barn

UNITS = st.sampled_from(LengthUnit)
SCHEMA = Draft202012Validator(json.loads(SCHEMA_PATH.read_text("utf-8")))
PLAIN_TEXT = st.text(
    st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12
).filter(str.strip)


def values(spec: Spec) -> st.SearchStrategy[Any]:
    match spec:
        case NumberSpec():
            return numbers(spec)
        case TextSpec():
            return PLAIN_TEXT
        case FlagSpec():
            return st.booleans()
        case ChoiceSpec(choices=choices):
            return st.sampled_from(list(choices.values()))
        case TupleSpec(items=items):
            return st.tuples(*map(values, items))
        case ListSpec(item=item, shortest=shortest):
            least = st.lists(values(item), min_size=shortest, max_size=shortest + 2)
            return least.map(tuple)
        case ObjectSpec(cls=cls):
            return objects(cls)
        case KindSpec(kinds=kinds):
            return st.one_of([objects(cls) for cls in dict.fromkeys(kinds.values())])
        case OptionalSpec(inner=inner):
            return st.none() | values(inner)


def numbers(spec: NumberSpec) -> st.SearchStrategy[float]:
    low = max(spec.least, spec.above, -spec.reach)
    high = min(spec.most, spec.reach)
    if spec.whole:
        return st.integers(math.ceil(low), math.floor(min(high, 1e6)))
    sixteenths = st.integers(math.ceil(low), math.floor(min(high, 1e4))).map(
        lambda whole: whole + 0.0625
    )
    return (st.floats(low, high) | sixteenths).filter(spec.allows)


def objects(cls: type) -> st.SearchStrategy[Any]:
    fields = {field.name: values(field.spec) for field in fields_of(cls)}
    if len(kinds_of(cls)) > 1:
        fields["kind"] = st.sampled_from(kinds_of(cls))
    return st.builds(cls, **fields).filter(lambda item: not list(own_faults(item)))


FIXTURE = values(spec_of(Fixture))


@st.composite
def barns(draw: st.DrawFn) -> Barn:
    fixtures = draw(st.lists(FIXTURE, max_size=4))
    room = full_barn().room
    return replace(
        full_barn(),
        name=draw(PLAIN_TEXT),
        room=replace(
            room,
            length=draw(st.floats(300.0, 4000.0)),
            wall_thickness=draw(st.floats(1e-6, 100.0)),
            trusses=replace(room.trusses, first=draw(st.floats(0.0, 48.0))),
        ),
        fixtures=tuple(
            replace(fixture, id=f"fixture-{index}")
            for index, fixture in enumerate(fixtures)
        ),
        electrical=replace(full_barn().electrical, bonds=()),
        job=draw(objects(type(full_barn().job))),
    )


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(barn=barns(), unit=UNITS)
def test_a_saved_barn_is_read_back_to_the_last_bit(
    barn: Barn, unit: LengthUnit
) -> None:
    text = barn_text(barn, unit=unit)

    file = read_text(text, where="random")

    assert file.barn == barn
    assert file.unit is unit
    assert file.text == text


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(barn=barns(), unit=UNITS)
def test_every_saved_barn_fits_the_schema(barn: Barn, unit: LengthUnit) -> None:
    SCHEMA.validate(json.loads(barn_text(barn, unit=unit)))


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(barn=barns(), unit=UNITS)
def test_the_digest_does_not_depend_on_the_unit(barn: Barn, unit: LengthUnit) -> None:
    again = read_text(barn_text(barn, unit=unit), where="random").barn

    assert digest(again) == digest(barn)


@settings(max_examples=1000, deadline=None)
@given(
    value=st.floats(-1e6, 1e6),
    quantity=st.sampled_from([None, *Quantity]),
    unit=UNITS,
)
def test_no_number_moves_by_a_bit(
    value: float, quantity: Quantity | None, unit: LengthUnit
) -> None:
    form = form_of(quantity, unit)

    written = json.loads(json.dumps(written_number(value, form)))

    if isinstance(written, str):
        assert form.parse is not None
        assert form.parse(written) == value
    else:
        assert form.from_file(float(written)) == value


@settings(max_examples=300)
@given(sixteenths=st.integers(-200_000, 200_000), unit=UNITS)
def test_sixteenths_of_an_inch_are_numbers_in_metric_units(
    sixteenths: int, unit: LengthUnit
) -> None:
    # 1/16 in = 1.5875 mm exactly; in feet it is no finite decimal
    written = written_number(sixteenths / 16, form_of(Quantity.LENGTH, unit))

    assert unit is LengthUnit.FOOT or not isinstance(written, str)


def _is_bound(item: object) -> bool:
    return isinstance(item, Support) or hasattr(item, "wall")


MOVES = st.tuples(*[st.integers(-800, 800).map(lambda n: n / 16)] * 3)


@settings(max_examples=100, deadline=None)
@given(
    ids=st.sets(
        st.sampled_from(
            [k for k, item in by_id(full_barn()).items() if not _is_bound(item)]
        ),
        min_size=1,
    ),
    by=MOVES,
)
def test_moving_there_and_back_gives_the_barn_before(
    ids: set[str], by: tuple[float, float, float]
) -> None:
    # sixteenths are exact in binary: the way back is exact too
    barn = full_barn()
    up = (by[0], by[1], abs(by[2]))

    there = move_objects(barn, ids, up)
    back = move_objects(there.barn, ids, (-up[0], -up[1], -up[2]))

    assert back.barn == barn
    assert there.changed == back.changed
    assert ids <= there.changed


@settings(max_examples=100, deadline=None)
@given(fixture=FIXTURE)
def test_an_edit_changes_only_what_it_names(fixture: Any) -> None:
    barn = full_barn()
    named = replace(fixture, id="light-1")

    done = replace_object(barn, named)

    assert by_id(done.barn)["light-1"] is named
    assert done.changed == {"light-1"}
    assert replace_object(done.barn, FIXTURES["light"]).barn == barn


@settings(max_examples=60, deadline=None)
@given(
    ids=st.sets(
        st.sampled_from([*by_id(full_barn())]),
        min_size=1,
    )
)
def test_a_barn_stays_sound_whatever_is_deleted(ids: set[str]) -> None:
    after = delete_objects(full_barn(), ids)

    assert ids <= after.changed
    assert not ids & by_id(after.barn).keys()
    assert read_text(barn_text(after.barn), where="rest").barn == after.barn
    for item in objects_within(after.barn):
        assert not [*value_faults(item), *own_faults(item)]
