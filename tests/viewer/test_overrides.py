"""What goes wrong in an override of Qt is told and does not end the program."""

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.viewer.faulty_window import FAULTS
from viewer.paper.guarded import guarded

_ROOT = Path(__file__).parents[2]
_BUSY = {"paintEvent", "showEvent", "resizeEvent", "closeEvent"}
_OWN_DEVICES = "sheets"  # their painters end with the file that is made


def test_what_an_override_raises_goes_to_the_hook(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told: list[BaseException] = []
    monkeypatch.setattr(
        sys, "excepthook", lambda _kind, error, _trace: told.append(error)
    )

    class Widget:
        @guarded
        def paintEvent(self, _event: object) -> None:
            msg = "gone"
            raise KeyError(msg)

    Widget().paintEvent(None)
    assert [str(error) for error in told] == ["'gone'"]


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_in_painting_or_showing_leaves_the_window_alive(fault: str) -> None:
    made = subprocess.run(
        [sys.executable, "-m", "tests.viewer.faulty_window", fault],
        cwd=_ROOT,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert made.returncode == 0, made.stderr[-2000:]
    assert "told" in made.stdout
    assert "active painter" not in made.stderr


def _trees() -> Iterator[tuple[Path, ast.Module]]:
    for path in sorted((_ROOT / "viewer").rglob("*.py")):
        yield path, ast.parse(path.read_text("utf-8"))


def test_every_busy_override_is_guarded() -> None:
    bare = [
        f"{path.relative_to(_ROOT)}:{node.lineno} {node.name}"
        for path, tree in _trees()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and node.name in _BUSY
        if "guarded" not in map(ast.unparse, node.decorator_list)
    ]
    assert bare == []


def test_every_painter_on_the_screen_is_ended_whatever_happens() -> None:
    bare: list[str] = []
    for path, tree in _trees():
        if _OWN_DEVICES in path.parts:
            continue
        withs = [n for n in ast.walk(tree) if isinstance(n, ast.With)]
        held = {id(item.context_expr) for each in withs for item in each.items}
        bare += [
            f"{path.relative_to(_ROOT)}:{node.lineno}"
            for node in ast.walk(tree)
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "QPainter"
            if id(node) not in held
        ]
    assert bare == []
