"""Make the scan that `scan.json` refers to: a surveyed ceiling and what hangs there.

`python -m sample_barns.make_scan` writes `sample_barns/generated/barn_scan.ply`,
a binary PLY file in metres with z up: the underside of a ceiling that sags
between its trusses, two pipes, a hung duct and a slanted chute. Everything is
computed; the same file comes out each time.
"""

import os
import sys
from pathlib import Path

import numpy as np
import numpy.typing as npt

__all__ = ["TARGET", "main", "scan_mesh", "write_ply"]

TARGET = Path(__file__).parent / "generated" / "barn_scan.ply"
METRES = 0.0254  # in an inch
LENGTH, WIDTH, CEILING = 720.0, 360.0, 96.0  # [in]
TRUSSES, PITCH = 48.0, 1.6  # [in] trusses, and the scan's own grid
SAG, DENT = 1.25, 5.5  # [in] of the sheet between trusses, and where it is wet
WET, WET_SIZE = (408.0, 92.0), 20.0  # [in]

Points = npt.NDArray[np.float64]
Triangles = npt.NDArray[np.int64]
Part = tuple[Points, Triangles]


def _grid(rows: int, columns: int, *, closed: bool = False) -> Triangles:
    """Return two triangles for each cell of a grid of points; `closed` joins ends."""
    i, j = np.meshgrid(
        np.arange(rows - 1),
        np.arange(columns if closed else columns - 1),
        indexing="ij",
    )
    a, b = i * columns + j, i * columns + (j + 1) % columns
    c, d = a + columns, b + columns
    return np.stack([a, b, c, b, d, c], axis=-1).reshape(-1, 3)


def _ceiling() -> Part:
    """Return the underside of the sheets: sagging between trusses, wet in one place."""
    x = np.linspace(1.0, LENGTH - 1.0, round(LENGTH / PITCH))
    y = np.linspace(1.0, WIDTH - 1.0, round(WIDTH / PITCH))
    x, y = np.meshgrid(x, y, indexing="ij")
    sag = SAG * np.sin(np.pi * x / TRUSSES) ** 2 * (1.0 + 0.2 * np.sin(y / 31.0))
    dent = DENT * np.exp(-((x - WET[0]) ** 2 + (y - WET[1]) ** 2) / WET_SIZE**2)
    ripple = 0.08 * np.sin(x * 1.7 + 2.0 * np.cos(y * 0.9))
    z = CEILING - 0.1 - np.maximum(sag + dent + ripple, 0.0)
    return np.stack([x, y, z], axis=-1).reshape(-1, 3), _grid(*x.shape)


def _tube(start: Points, end: Points, radius: float, *, slump: float = 0.0) -> Part:
    """Return the skin of a round pipe that slumps a little at its middle."""
    length = float(np.linalg.norm(end - start))
    steps, sides = max(round(length / PITCH), 2), 24
    way = (end - start) / length
    across = np.cross(way, [0.0, 0.0, 1.0])
    across /= np.linalg.norm(across)
    up = np.cross(across, way)
    share = np.linspace(0.0, 1.0, steps)[:, None, None]
    turn = (2 * np.pi * np.arange(sides) / sides)[None, :, None]
    fall = 4.0 * slump * share * (1.0 - share)
    middle = start + share * (end - start) - fall * np.array([0.0, 0.0, 1.0])
    skin = middle + radius * (np.cos(turn) * across + np.sin(turn) * up)
    return skin.reshape(-1, 3), _grid(steps, sides, closed=True)


def _duct(low: Points, high: Points) -> Part:
    """Return the four long sides of a hung duct, a little bellied underneath."""
    steps = round(float(high[0] - low[0]) / PITCH)
    corners = np.array([(0, 0), (0.25, 0), (0.5, 0), (0.75, 0), (1, 0), (1, 1), (0, 1)])
    belly = np.array([0.0, 0.6, 0.8, 0.6, 0.0, 0.0, 0.0])
    x = np.linspace(low[0], high[0], steps)
    y = low[1] + corners[:, 0] * (high[1] - low[1])
    z = low[2] + corners[:, 1] * (high[2] - low[2]) - belly
    skin = np.stack(
        [np.repeat(x, len(y)), np.tile(y, len(x)), np.tile(z, len(x))], axis=-1
    )
    return skin, _grid(steps, len(y), closed=True)


def _parts() -> list[Part]:
    """List what the scanner saw, in inches of the room."""
    at = np.array
    return [
        _ceiling(),
        _tube(at([12.0, 150.0, 90.0]), at([708.0, 150.0, 90.0]), 1.0, slump=0.8),
        _tube(at([264.0, 200.0, 82.0]), at([264.0, 356.0, 82.0]), 1.75, slump=0.5),
        _duct(at([96.0, 12.0, 78.0]), at([600.0, 34.0, 90.0])),
        _tube(at([504.0, 304.0, 94.0]), at([545.0, 276.0, 58.0]), 4.0),
    ]


def scan_mesh() -> Part:
    """Return all corners [m] and all triangles of the scan.

    Returns
    -------
    tuple
        Corners `(n, 3)` in single precision, as the file holds them, and the
        indices of the triangles `(m, 3)`.
    """
    parts = _parts()
    starts = np.cumsum([0, *(len(points) for points, _ in parts[:-1])])
    points = np.concatenate([points for points, _ in parts]) * METRES
    triangles = np.concatenate(
        [triangles + start for (_, triangles), start in zip(parts, starts, strict=True)]
    )
    return points.astype(np.float32).astype(np.float64), triangles


def write_ply(path: Path, points: Points, triangles: Triangles) -> None:
    """Write a mesh in the room's axes as a binary PLY file, right-handed as usual."""
    mirrored = points * (1.0, -1.0, 1.0)
    head = (
        "ply\nformat binary_little_endian 1.0\ncomment metres, z up\n"
        f"element vertex {len(points)}\n"
        "property float x\nproperty float y\nproperty float z\n"
        f"element face {len(triangles)}\n"
        "property list uchar int vertex_indices\nend_header\n"
    )
    faces = np.zeros(len(triangles), dtype=[("count", "u1"), ("corners", "<i4", 3)])
    faces["count"], faces["corners"] = 3, triangles[:, ::-1]
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_name(f"{path.name}.{os.getpid()}.part")
    fresh.write_bytes(
        head.encode("ascii") + mirrored.astype("<f4").tobytes() + faces.tobytes()
    )
    os.replace(fresh, path)


def main() -> int:
    """Write the scan and say where it is."""
    points, triangles = scan_mesh()
    write_ply(TARGET, points, triangles)
    sys.stdout.write(f"{TARGET}: {len(triangles)} triangles\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
