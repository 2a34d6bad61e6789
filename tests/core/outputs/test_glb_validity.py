"""Both GLB files of every sample: passed by the Khronos validator, small enough."""

import json
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from core.analysis.analyse import analyse
from core.barnfile.files import open_barn
from core.outputs.glb import room_glb
from core.picture.phone import LARGEST_FILE, phone_model

SAMPLES = Path(__file__).resolve().parents[3] / "sample_barns"
NAMES = ("plain", "awkward", "tunnel", "nursery")

_VALIDATE = """
const validator = require('gltf-validator');
const read = (path) => new Uint8Array(require('fs').readFileSync(path));
Promise.all(process.argv.slice(1).map((path) => validator.validateBytes(read(path))))
  .then((reports) => {
    process.stdout.write(JSON.stringify(reports.map((report) => report.issues)));
  });
"""


@pytest.fixture(scope="module")
def node() -> str:
    found = shutil.which("node")
    if found is None or not has_validator(found):
        pytest.skip("node with gltf-validator is not installed (tests/run.py does)")
    return found


def has_validator(node: str) -> bool:
    asked = [node, "-e", "require('gltf-validator')"]
    return not subprocess.run(asked, capture_output=True, check=False).returncode


def files(name: str) -> Mapping[str, bytes]:
    opened = open_barn(SAMPLES / f"{name}.json")
    analysis = analyse(opened.barn, meshes=opened.meshes)
    return {
        "phone": phone_model(opened.barn, meshes=opened.meshes),
        "room": room_glb(analysis, meshes=opened.meshes),
    }


def faults(node: str, *paths: Path) -> list[dict[str, Any]]:
    """Published: the validator of the Khronos Group, npm gltf-validator 2.0.0-dev."""
    done = subprocess.run(
        [node, "-e", _VALIDATE, *map(str, paths)],
        capture_output=True,
        text=True,
        check=True,
    )
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_the_khronos_validator_finds_no_fault(
    name: str, node: str, tmp_path: Path
) -> None:
    paths = []
    for kind, content in files(name).items():
        assert len(content) < LARGEST_FILE == 10_000_000
        paths.append(tmp_path / f"{kind}.glb")
        paths[-1].write_bytes(content)
    for path, issues in zip(paths, faults(node, *paths), strict=True):
        assert issues["messages"] == [], path.name


def test_the_validator_is_heard(node: str, tmp_path: Path) -> None:
    path = tmp_path / "spoiled.glb"
    content = bytearray(files("plain")["room"])
    at = content.index(b'"version"')
    content[at : at + 9] = b'"versino"'
    path.write_bytes(content)
    (issues,) = faults(node, path)
    assert issues["numErrors"] > 0
