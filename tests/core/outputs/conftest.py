"""Samples as they stand in their files, and their analyses."""

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from core.analysis.analyse import Analysis, analyse
from core.barnfile.files import open_barn
from tests.specimens import full_barn, plain_barn

SAMPLES = Path(__file__).resolve().parents[3] / "sample_barns"
NAMES = ("awkward", "nursery", "plain", "tunnel")


@cache
def _sample(name: str) -> Analysis:
    file = open_barn(SAMPLES / f"{name}.json")
    return analyse(file.barn, meshes=file.meshes)


@cache
def _raw(name: str) -> dict[str, Any]:
    return json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))


@pytest.fixture(params=NAMES)
def sample(request: pytest.FixtureRequest) -> tuple[Analysis, dict[str, Any]]:
    """A sample's analysis, and its file as plain JSON for counting by itself."""
    return _sample(request.param), _raw(request.param)


@pytest.fixture(scope="session")
def plain() -> Analysis:
    return analyse(plain_barn())


@pytest.fixture(scope="session")
def full() -> Analysis:
    barn = full_barn()
    fixtures = tuple(f for f in barn.fixtures if f.kind != "scan")
    return analyse(replace(barn, fixtures=fixtures))
