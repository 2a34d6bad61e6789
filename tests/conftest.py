"""Fixtures that every folder of tests shares."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import hypothesis
import pytest

# the same examples on every machine; LIFTLANE_EXPLORE=1 looks for new ones
hypothesis.settings.register_profile("steady", deadline=None, derandomize=True)
hypothesis.settings.register_profile("explore", deadline=None)
hypothesis.settings.load_profile(
    "explore" if os.environ.get("LIFTLANE_EXPLORE") else "steady"
)

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture
def run_python() -> Callable[..., subprocess.CompletedProcess[str]]:
    """Return a function that runs this Python in a fresh process at the root."""

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, *arguments],
            cwd=ROOT,
            env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )

    return run
