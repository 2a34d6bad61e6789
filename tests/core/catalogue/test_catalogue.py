"""Lookups, a job's own parts, and the standard data against its sources."""

import json
import re
from dataclasses import fields, is_dataclass, replace

import pytest

from core.barnfile.files import read_barn
from core.barnfile.writing import barn_text
from core.catalogue.catalogue import Catalogue
from core.catalogue.parts import (
    AnchorScrew,
    HandWinch,
    Insulator,
    Joint,
    Origin,
    Part,
    Pulley,
    Rope,
    SnatchBlock,
    Tube,
    Turnbuckle,
    Wood,
)
from core.catalogue.standard import standard_catalogue
from core.errors import BarnFileError, UnknownPartError
from core.model import electrical, hoists, room, runs
from tests.specimens import plain_barn

STANDARD = standard_catalogue()


def test_parts_are_found_by_class_and_id() -> None:
    # published: ANSI C80.3; ratings common practice, no published source
    assert STANDARD.find(Tube, "emt-3-4").outside_diameter == 0.922
    assert STANDARD.find(Pulley, "drop-pulley-40").rating == 40
    assert STANDARD.find(Pulley, "turning-pulley-175").rating == 175


def test_a_misspelt_id_names_the_nearest() -> None:
    with pytest.raises(UnknownPartError, match=r'"emt34" is not in.*mean "emt-3-4"'):
        STANDARD.find(Tube, "emt34")


def test_a_part_of_another_kind_is_refused() -> None:
    with pytest.raises(
        UnknownPartError, match='"cord-3-16" is a cord, expected a tube'
    ):
        STANDARD.find(Tube, "cord-3-16")


def test_an_empty_catalogue_says_what_is_missing() -> None:
    with pytest.raises(UnknownPartError, match=r"expected a Tube$"):
        Catalogue.of(()).find(Tube, "emt-3-4")


def test_a_job_part_takes_the_place_of_the_standard_one() -> None:
    own = Tube(id="emt-3-4", outside_diameter=1.0, wall=0.05, weight_per_foot=0.5)
    job = STANDARD.with_parts([own])
    assert job.find(Tube, "emt-3-4") is own
    assert job.find(Tube, "emt-1-2") is STANDARD.find(Tube, "emt-1-2")
    assert STANDARD.find(Tube, "emt-3-4").outside_diameter == 0.922


def test_ids_are_kebab_case_and_every_part_names_its_source() -> None:
    for part_id, part in STANDARD.by_id.items():
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", part_id)
        assert part.description
        assert part.source
        assert part.origin in {
            *(Origin.PUBLISHED, Origin.COMMON_PRACTICE, Origin.FROM_MEMORY)
        }


def test_common_practice_is_said_in_words() -> None:
    assert Origin.COMMON_PRACTICE.words == "common practice, no published source"
    assert all(origin.words for origin in Origin)


@pytest.mark.parametrize("tube", STANDARD.all_of(Tube), ids=lambda tube: tube.id)
def test_tube_weights_agree_with_their_section(tube: Tube) -> None:
    """Second method: 10.69 (D - t) t of ASME B36.10M; printed to 1 lb/100 ft."""
    section = 10.69 * (tube.outside_diameter - tube.wall) * tube.wall
    assert tube.weight_per_foot == pytest.approx(section, abs=0.0075)
    assert tube.unit_weight == tube.weight_per_foot / 12


@pytest.mark.reference
@pytest.mark.parametrize(
    ("part_id", "strength", "weight"),
    [
        # Published: MIL-DTL-83420 type I composition A, 7x19, by FAA AC 43.13-1B
        # Table 7-3; weights by secondary tables.
        ("cable-7x19-1-8", 2000, 2.9),
        ("cable-7x19-5-32", 2800, 4.5),
        ("cable-7x19-3-16", 4200, 6.5),
        ("cable-7x19-7-32", 5600, 8.6),
        ("cable-7x19-1-4", 7000, 11.0),
    ],
)
def test_wire_rope_strengths_are_the_specified_ones(
    part_id: str, strength: float, weight: float
) -> None:
    rope = STANDARD.find(Rope, part_id)
    assert rope.breaking_strength == strength
    assert rope.weight_per_foot * 100 == pytest.approx(weight)


@pytest.mark.reference
def test_wire_rope_stretch_follows_the_makers_rule() -> None:
    """Published: E% = W G / D2, G = 1.62e-5; 60 lb, 3/16, 1200 in: 0.331776 in."""
    rope = STANDARD.find(Rope, "cable-7x19-3-16")
    assert 60 * 1200 / rope.axial_stiffness == pytest.approx(0.331776, abs=1e-6)


@pytest.mark.reference
def test_turnbuckle_ratings_are_the_specified_ones() -> None:
    """Published: FF-T-791b, type I form 1, eye ends, design factor 5."""
    ratings = {part.diameter: part.rating for part in STANDARD.all_of(Turnbuckle)}
    assert ratings == {0.25: 500, 0.3125: 700, 0.375: 1040, 0.5: 1800}


@pytest.mark.parametrize(
    "screw", STANDARD.all_of(AnchorScrew), ids=lambda part: part.id
)
def test_lag_threads_follow_the_length(screw: AnchorScrew) -> None:
    """Published: ASME B18.2.1, thread = half the length plus 1/2 in up to 6 in."""
    assert screw.thread_length == screw.length / 2 + 0.5
    assert screw.tip_length < screw.thread_length
    assert screw.root_diameter < screw.diameter
    # From memory: NDS 12.1.4, 60 to 70 % of the diameter suits all listed woods.
    assert 0.6 <= screw.pilot_hole / screw.diameter <= 0.7


def test_heavier_pulleys_are_bigger() -> None:
    for kind in ("drop-pulley", "turning-pulley"):
        pulleys = [part for part in STANDARD.all_of(Pulley) if part.kind == kind]
        ratings = [pulley.rating for pulley in pulleys]
        radii = [pulley.pitch_radius for pulley in pulleys]
        assert ratings == sorted(ratings)
        assert radii == sorted(radii)


@pytest.mark.parametrize(
    "sheave",
    [*STANDARD.all_of(Pulley), *STANDARD.all_of(SnatchBlock)],
    ids=lambda part: part.id,
)
def test_pins_fit_their_wheels(sheave: Pulley | SnatchBlock) -> None:
    assert sheave.pin_radius < sheave.pitch_radius < sheave.hang


def test_drums_hold_the_layers_that_they_are_listed_for() -> None:
    """Hand-worked: core plus two diameters of 3/16 rope a layer, at the flange."""
    winch = STANDARD.find(HandWinch, "hand-winch-1000")
    assert winch.core_diameter + 2 * winch.layers * 0.1875 <= winch.flange_diameter


def test_every_kind_of_part_is_listed() -> None:
    """The union of parts and the standard list name the same classes."""
    assert {type(part) for part in STANDARD.by_id.values()} == set(Part.__args__)
    # NDS 2018 Table 12.3.3A, from memory; the rod's whole length
    assert STANDARD.find(Wood, "spruce-pine-fir").specific_gravity == 0.42
    assert STANDARD.find(Joint, "welded-joint").rotational_stiffness is None
    assert STANDARD.find(Insulator, "rod-insulator-6").creepage == 6.0


@pytest.mark.parametrize("module", [electrical, hoists, room, runs])
def test_what_the_model_takes_unless_told_is_listed(module) -> None:
    defaults = {
        field.default
        for offered in map(vars(module).get, module.__all__)
        if is_dataclass(offered)
        for field in fields(offered)
        if type(field.default) is str and field.name != "kind"
    }
    assert {part for part in defaults if "-" in part} <= set(STANDARD.by_id)


@pytest.mark.parametrize("part", STANDARD.by_id.values(), ids=lambda part: part.id)
def test_parts_pass_through_a_file_unchanged(part: Part) -> None:
    barn = replace(plain_barn(), parts=(part,))
    assert read_barn(barn_text(barn), where="here").parts == (part,)


@pytest.mark.parametrize(
    ("spoilt", "place"),
    [
        ({"wall": 0}, "wall"),
        ({"outside_diameter": -1}, "outside_diameter"),
        ({"weight_per_foot": "heavy"}, "weight_per_foot"),
        ({"modulus": 0}, "modulus"),
        ({"id": ""}, "id"),
        ({"kind": "pipe"}, "kind"),
    ],
)
def test_spoilt_parts_are_refused_with_the_place(spoilt: dict, place: str) -> None:
    tube = STANDARD.find(Tube, "emt-3-4")
    data = json.loads(barn_text(replace(plain_barn(), parts=(tube,))))
    data["parts"][0] |= spoilt
    with pytest.raises(BarnFileError, match=rf"parts\[0\]\.{place}"):
        read_barn(json.dumps(data), where="here")
