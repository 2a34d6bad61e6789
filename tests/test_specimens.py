from typing import get_args

import pytest

from core.analysis.analyse import analyse
from core.barnfile import barn_text, read_barn
from core.catalogue.parts import Part
from core.model.barn import Barn, object_ids
from core.model.consistency import objects_within
from core.model.fixtures import Fixture
from core.model.room import Ceiling
from tests.document_classes import document_classes
from tests.specimens import CEILINGS, FIXTURES, full_barn, plain_barn


@pytest.mark.parametrize("barn", [plain_barn(), full_barn()], ids=lambda b: b.name)
def test_a_barn_specimen_is_sound(barn: Barn) -> None:
    assert read_barn(barn_text(barn), where="specimen") == barn


@pytest.mark.parametrize("barn", [plain_barn(), full_barn()], ids=lambda b: b.name)
def test_ids_of_a_barn_specimen_differ(barn: Barn) -> None:
    ids = list(object_ids(barn))

    assert len(ids) == len(set(ids))


def test_there_is_a_specimen_of_each_fixture_and_ceiling() -> None:
    assert {type(f) for f in FIXTURES.values()} == set(get_args(Fixture))
    assert {type(c) for c in CEILINGS.values()} == set(get_args(Ceiling))


def test_the_plain_barn_hangs_every_run_on_its_hoist() -> None:
    barn = plain_barn()

    assert {c.run for h in barn.hoists for c in h.cables} == {r.id for r in barn.runs}


def test_nothing_speaks_against_the_plain_barn() -> None:
    assert analyse(plain_barn()).report.stops == ()


def test_the_full_barn_has_everything_but_some_parts_and_ceilings() -> None:
    present = {type(item) for item in objects_within(full_barn())}

    assert document_classes() - present < {*get_args(Part), *get_args(Ceiling)}
