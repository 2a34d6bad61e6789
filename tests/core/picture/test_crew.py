"""Processes that work together end with the one that began them."""

import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

from core.picture.crew import crew, crew_size

ROOT = Path(__file__).resolve().parents[3]
_WORK = """
from time import sleep
from core.picture.crew import crew
pool = crew(2, int)
jobs = [pool.submit(sleep, 60) for _ in range(2)]
print("begun", flush=True)
sleep(60)
"""
_TAKEN: list[int] = []


def _take(number: int) -> None:
    _TAKEN.append(number)


def _taken() -> list[int]:
    return _TAKEN


def working(process: psutil.Process) -> list[psutil.Process]:
    return [
        each
        for each in process.children(recursive=True)
        if "spawn_main" in " ".join(each.cmdline())
    ]


@pytest.mark.slow
def test_the_crew_has_received_what_it_works_on() -> None:
    with crew(1, _take, 7) as pool:
        assert pool.submit(_taken).result() == [7]
    assert _TAKEN == []
    assert crew_size() >= 1


@pytest.mark.slow
def test_nothing_goes_on_working_for_a_process_that_was_killed() -> None:
    with subprocess.Popen(
        [sys.executable, "-c", _WORK],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as begun:
        assert begun.stdout is not None
        assert begun.stdout.readline() == "begun\n"
        crew_at_work = wait_for(psutil.Process(begun.pid))
        begun.kill()
    _, left = psutil.wait_procs(crew_at_work, timeout=20)
    assert [each for each in left if each.status() != psutil.STATUS_ZOMBIE] == []


def wait_for(process: psutil.Process) -> list[psutil.Process]:
    """Return the crew of a process once both of it are at work."""
    end = time.monotonic() + 30
    while time.monotonic() < end:
        found = working(process)
        if len(found) == 2:
            time.sleep(1.0)  # until they listen
            return found
        time.sleep(0.05)
    pytest.fail("the crew never came")
