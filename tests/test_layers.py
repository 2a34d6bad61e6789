"""The layers contract names every module that there is."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def _named_layers() -> set[str]:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    layers = next(c["layers"] for c in contracts if c["id"] == "layers")
    return {name for layer in layers for name in re.findall(r"[\w.]+", layer)}


def _modules_on_disk() -> set[str]:
    found = set()
    for package in ("core", "viewer"):
        for path in (ROOT / package).iterdir():
            if path.name.startswith("_") or path.suffix not in {"", ".py"}:
                continue
            if path.is_dir() and not any(path.rglob("*.py")):
                continue
            found.add(f"{package}.{path.stem}")
    return found


def test_every_module_has_a_layer() -> None:
    assert _modules_on_disk() <= _named_layers()


def test_qt_is_never_loaded_by_the_check_command(run_python) -> None:
    code = (
        "import sys, viewer.cli.main as m;"
        "m.main(['check', 'sample_barns/plain.json']);"
        "bad = [n for n in sys.modules if n.split('.')[0] in"
        " {'PySide6', 'pyqtgraph', 'OpenGL', 'trimesh', 'scipy'}];"
        "sys.stderr.write(' '.join(bad)); sys.exit(len(bad) > 0)"
    )
    done = run_python("-c", code)
    assert done.returncode == 0, done.stderr
