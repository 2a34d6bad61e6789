"""Outside check values: inputs, expected value, tolerance, source, by case id.

Every case carries its own label in the JSON beside this file: `source` and `seen`
say whether a number is published or from memory, `second_method` which other
method gave the same one.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np


@cache
def check_values() -> dict[str, dict[str, Any]]:
    text = Path(__file__).with_name("check_values.json").read_text(encoding="utf-8")
    return {case["id"]: case for case in json.loads(text)}


def inputs(case_id: str) -> dict[str, Any]:
    return dict(check_values()[case_id]["inputs"])


def assert_case(case_id: str, *got: float, part: slice | None = None) -> None:
    """Assert that what was computed is within the case's own tolerance."""
    case = check_values()[case_id]
    expected = np.atleast_1d(np.asarray(case["expected"], dtype=float))
    tolerance = np.broadcast_to(case["tolerance"], expected.shape)
    if part is not None:
        expected, tolerance = expected[part], tolerance[part]
    found = np.asarray(got, dtype=float)
    assert found.shape == expected.shape
    excess = np.abs(found - expected) - tolerance
    # 1e-12: a tolerance of 0 still allows for binary rounding
    assert np.all(excess <= 1e-12), f"{case_id}: {found} is not {expected}"


def ids(*kinds: str, group: str) -> list[str]:
    return [
        case_id
        for case_id, case in check_values().items()
        if case_id.startswith(group) and (not kinds or case["kind"] in kinds)
    ]
