"""Install everything that Liftlane and its tests need, then run every check.

One command for a newcomer and for CI:

    python3 tests/run.py            everything
    python3 tests/run.py --fast     what takes a minute: no slow and no window tests

It makes `.venv` beside this folder, installs the system libraries where apt-get
is there and they are missing, and runs the import contracts, ruff, mypy and pytest.
"""

import argparse
import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
DEBIAN_PACKAGES = (
    ("libglib2.0-0", "libglib2.0-0t64"),
    ("libgl1",),
    ("libegl1",),
    ("libdbus-1-3",),
    ("libfontconfig1",),
    ("libxkbcommon0",),
    ("libxcb-cursor0",),
    ("libxcb-icccm4",),
    ("libxcb-keysyms1",),
    ("libxcb-shape0",),
    ("libxkbcommon-x11-0",),
    ("xvfb",),
    ("xauth",),
)
NODE_PACKAGES = (("nodejs",), ("npm",))
NODE = VENV / "node"  # holds the Khronos validator of glTF files
GLTF_VALIDATOR = "gltf-validator@2.0.0-dev.3.10"


def main() -> int:
    """Install, check, and return 0 when every check passed."""
    arguments = _arguments()
    _install_from_debian(DEBIAN_PACKAGES)
    _install_python_packages()
    if not arguments.fast:
        _install_gltf_validator()
    failed = [
        name
        for name, command, env in _checks(fast=arguments.fast)
        if _run(name, command, env) != 0
    ]
    if failed:
        sys.stdout.write(f"failed: {', '.join(failed)}\n")
    return 1 if failed else 0


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Install and check Liftlane.")
    parser.add_argument(
        "--fast", action="store_true", help="skip slow and window tests"
    )
    return parser.parse_args()


def _is_installed(name: str) -> bool:
    query = ["dpkg-query", "-W", "-f", "${Status}", name]
    found = subprocess.run(query, capture_output=True, text=True, check=False)
    return "install ok installed" in found.stdout


def _install_from_debian(packages: tuple[tuple[str, ...], ...]) -> None:
    """Install what is missing on a Debian; elsewhere the README says what."""
    if shutil.which("apt-get") is None:
        return
    missing = [names for names in packages if not any(map(_is_installed, names))]
    if not missing:
        return
    root = [] if os.geteuid() == 0 else ["sudo"]
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    subprocess.run([*root, "apt-get", "update", "-q"], check=True, env=environment)
    install = [*root, "apt-get", "install", "-y", "-q", "--no-install-recommends"]
    names = [_available(choice) for choice in missing]
    subprocess.run([*install, *names], check=True, env=environment)


def _available(choice: tuple[str, ...]) -> str:
    for name in choice:
        shown = subprocess.run(
            ["apt-cache", "show", "--no-all-versions", name],
            capture_output=True,
            text=True,
            check=False,
        )
        if shown.returncode == 0 and "Filename:" in shown.stdout:
            return name
    return choice[0]


def _install_python_packages() -> None:
    if not (BIN / ("python.exe" if os.name == "nt" else "python")).exists():
        venv.create(VENV, with_pip=True)
    pip = [str(BIN / "python"), "-m", "pip", "install", "-q"]
    subprocess.run([*pip, "-e", ".[tests]"], check=True, cwd=ROOT)


def _install_gltf_validator() -> None:
    """Install the validator with npm; without it one test is skipped and says so."""
    if (NODE / "node_modules" / "gltf-validator").exists():
        return
    try:
        if shutil.which("npm") is None:
            _install_from_debian(NODE_PACKAGES)
        npm = shutil.which("npm") or "npm"
        command = [npm, "install", "--silent", "--prefix", str(NODE), GLTF_VALIDATOR]
        subprocess.run(command, check=True)
    except (OSError, subprocess.CalledProcessError) as error:
        sys.stdout.write(f"no glTF validator, its test is skipped: {error}\n")


def _checks(*, fast: bool) -> list[tuple[str, list[str], dict[str, str]]]:
    quiet = {
        "QT_QPA_PLATFORM": "offscreen",
        "LANG": "C.UTF-8",
        "LC_ALL": "C.UTF-8",
        "NODE_PATH": str(NODE / "node_modules"),
    }
    pytest = [_tool("python"), "-m", "pytest", "-q", "--timeout=600"]
    unmarked = "not gl and not slow and not gui" if fast else "not gl"
    checks = [
        ("import contracts", [_tool("lint-imports")], quiet),
        ("ruff", [_tool("ruff"), "check", "."], quiet),
        ("ruff format", [_tool("ruff"), "format", "--check", "."], quiet),
        ("mypy", [_tool("mypy")], quiet),
        ("tests", [*pytest, "-m", unmarked], quiet),
    ]
    if not fast and shutil.which("xvfb-run"):
        on_screen = {**quiet, "QT_QPA_PLATFORM": "xcb", "PYOPENGL_PLATFORM": "glx"}
        command = ["xvfb-run", "-a", *pytest, "-m", "gl", "tests/gl"]
        checks.append(("tests with a screen", command, on_screen))
    return checks


def _tool(name: str) -> str:
    return str(BIN / name)


def _run(name: str, command: list[str], extra: dict[str, str]) -> int:
    sys.stdout.write(f"== {name}\n")
    sys.stdout.flush()
    environment = {**os.environ, **extra}
    return subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
