import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from core.barnfile import SCHEMA_NAME, barn_text
from core.barnfile.schema import SCHEMA_PATH, schema_text
from core.model.barn import Barn
from core.quantities import LengthUnit
from tests.specimens import full_barn, plain_barn
from tests.spoiled_files import LIMITS, NAMES, TYPES, SpoiledFile, write_good_files


@pytest.fixture(scope="module")
def schema() -> Draft202012Validator:
    stored = json.loads(SCHEMA_PATH.read_text("utf-8"))
    Draft202012Validator.check_schema(stored)
    return Draft202012Validator(stored)


def test_the_shipped_schema_is_what_the_model_gives() -> None:
    assert SCHEMA_PATH.read_text("utf-8") == schema_text()  # or write it again
    assert SCHEMA_PATH.name == SCHEMA_NAME


@pytest.mark.parametrize("unit", LengthUnit)
@pytest.mark.parametrize("barn", [plain_barn(), full_barn()], ids=lambda b: b.name)
def test_every_good_specimen_fits_the_schema(
    schema: Draft202012Validator, barn: Barn, unit: LengthUnit
) -> None:
    schema.validate(json.loads(barn_text(barn, unit=unit)))


# What a schema cannot say: limits of last resort, and what is in a text.
BEYOND_A_SCHEMA = {
    "negative size as text",
    "length of a thousand miles",
    "voltage of zero",
    "integer beyond any double",
    "unit misspelt in a length",
}
WRONG = {
    name: spoiled
    for name, spoiled in {**TYPES, **LIMITS, **NAMES}.items()
    if name not in BEYOND_A_SCHEMA
}


@pytest.mark.parametrize("spoiled", WRONG.values(), ids=WRONG.keys())
def test_files_of_wrong_types_limits_and_names_do_not_fit_the_schema(
    schema: Draft202012Validator, spoiled: SpoiledFile, tmp_path: Any
) -> None:
    barn_file = write_good_files(tmp_path)
    spoiled.spoil(barn_file)

    assert not schema.is_valid(json.loads(barn_file.read_text()))


@pytest.mark.parametrize(
    "length",
    ["7 ft 3-1/2 in", "7'3.5\"", "-2.22 m", "½ in", " .5 ft", "\u22123", 5, 2.5],
)
def test_the_schema_takes_lengths_as_people_write_them(
    schema: Draft202012Validator, length: object
) -> None:
    data = json.loads(barn_text(plain_barn()))
    data["fixtures"][1]["x"] = length

    assert schema.is_valid(data)


def test_every_class_of_the_schema_says_what_it_is(
    schema: Draft202012Validator,
) -> None:
    for name, definition in schema.schema["$defs"].items():
        assert definition["description"], name
