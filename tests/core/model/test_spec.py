from dataclasses import MISSING, fields, replace
from typing import Annotated

import pytest
from annotated_types import Ge, Gt, Le

from core.catalogue.standard import standard_catalogue
from core.model.barn import Barn
from core.model.consistency import objects_within
from core.model.fields import Length, Quantity, Size
from core.model.fixtures import Gate, PlainHull
from core.model.limits import value_faults
from core.model.spec import (
    ListSpec,
    NumberSpec,
    OptionalSpec,
    TextSpec,
    fields_of,
    kinds_of,
    spec_of,
)
from tests.document_classes import document_classes
from tests.specimens import FIXTURES, full_barn, plain_barn

CLASSES = sorted(document_classes(), key=lambda cls: cls.__name__)


def test_marks_become_limits() -> None:
    assert spec_of(Size) == NumberSpec(quantity=Quantity.LENGTH, above=0)
    assert spec_of(Annotated[int, Ge(0), Le(20)]) == NumberSpec(
        whole=True, least=0, most=20
    )
    assert spec_of(Annotated[Length, Gt(1)]) == NumberSpec(
        quantity=Quantity.LENGTH, above=1
    )
    assert spec_of(Size | None) == OptionalSpec(inner=spec_of(Size))
    points = next(f.spec for f in fields_of(PlainHull) if f.name == "points")
    assert isinstance(points, ListSpec)
    assert points.shortest == 4


@pytest.mark.parametrize("hint", [dict, bytes, Annotated[int, "mark"]])
def test_a_type_that_the_document_does_not_use_is_an_error(hint: object) -> None:
    with pytest.raises(TypeError, match="of the document"):
        spec_of(hint)


@pytest.mark.parametrize("cls", CLASSES, ids=lambda cls: cls.__name__)
def test_every_field_of_the_document_has_a_spec_and_a_plain_default(cls: type) -> None:
    assert all(field.default_factory is MISSING for field in fields(cls))
    assert len(fields_of(cls)) == len(fields(cls)) - bool(kinds_of(cls))


@pytest.mark.parametrize("barn", [plain_barn(), full_barn()], ids=lambda b: b.name)
def test_specimens_and_all_defaults_keep_the_limits(barn: Barn) -> None:
    assert [f for item in objects_within(barn) for f in value_faults(item)] == []


def test_standard_parts_keep_the_limits() -> None:
    parts = standard_catalogue().by_id.values()

    assert [fault for part in parts for fault in value_faults(part)] == []


@pytest.mark.parametrize(
    ("changes", "found", "expected"),
    [
        ({"height": 0.0}, "0.0 in", "more than 0 in and at most 1e+06 in"),
        ({"bottom": -1.0}, "-1.0 in", "at least 0 in and at most 1e+06 in"),
        ({"swing": 7.0}, "7.0 rad", "at least -6.3 rad and at most 6.3 rad"),
        ({"height": float("nan")}, "nan in", "more than 0 in"),
        ({"height": True}, "True in", "more than 0 in"),
        ({"metal": 1}, "1", "true or false"),
        ({"name": None}, "None", "a text, without control characters"),
        ({"id": ""}, "''", "a text that is not empty"),
    ],
)
def test_a_value_beyond_its_limit_is_found(
    changes: dict, found: str, expected: str
) -> None:
    gate = FIXTURES["gate"]
    assert isinstance(gate, Gate)

    (fault,) = value_faults(replace(gate, **changes))

    assert fault.field == next(iter(changes))
    assert fault.found == found
    assert fault.expected.startswith(expected)


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ([(0, 0, 0), (1, 1, 1)], "a tuple"),
        (((0.0, 0.0, 0.0),), "2 items"),
        (((0.0, 0.0, 0.0), (1.0, 1.0)), "3 items"),
    ],
)
def test_a_list_of_the_wrong_form_is_found(path: object, words: str) -> None:
    (fault,) = value_faults(replace(FIXTURES["feed-line"], path=path))

    assert fault.expected == words


@pytest.mark.parametrize("text", ["a\x00b", "\x1b[31m", "bell\a", "\ud800", "\x9b"])
def test_a_text_that_a_file_or_a_terminal_cannot_take_is_refused(text: str) -> None:
    assert not TextSpec().allows(text)


@pytest.mark.parametrize("text", ["", "two\nlines", "tab\t", "Süd 猪舎 ½"])
def test_any_other_text_is_taken(text: str) -> None:
    assert TextSpec().allows(text)
