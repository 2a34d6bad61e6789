"""Triangle surfaces for tests and benchmarks."""

import numpy as np
import trimesh

from core.geometry.shapes import FloatArray, IntArray, Mesh


def rolling_ground(cells: int, *, size: float = 600.0) -> Mesh:
    """Return an open surface of 2 x cells x cells triangles in mixed order."""
    rng = np.random.default_rng(7)
    x, y = np.meshgrid(*[np.linspace(0, size, cells + 1)] * 2, indexing="ij")
    z = 90 + 4 * np.sin(x / 23) * np.cos(y / 31) + rng.normal(0, 0.1, x.shape)
    faces = grid_faces(cells, cells)
    vertices = np.stack([x, y, z], axis=-1).reshape(-1, 3)
    return Mesh(vertices=vertices, faces=rng.permutation(faces))


def grid_faces(rows: int, columns: int) -> IntArray:
    """Return two triangles for each cell of a grid of vertices."""
    index = np.arange((rows + 1) * (columns + 1)).reshape(rows + 1, columns + 1)
    a, b = index[:-1, :-1], index[1:, :-1]
    c, d = index[1:, 1:], index[:-1, 1:]
    return np.stack([a, b, c, a, c, d], axis=-1).reshape(-1, 3)


def box_mesh(low: FloatArray, high: FloatArray) -> Mesh:
    """Return the 12 triangles of a box."""
    corners = np.array([low, high], dtype=float)
    pick = np.array([[i >> 2 & 1, i >> 1 & 1, i & 1] for i in range(8)])
    vertices = corners[pick, np.arange(3)]
    quads = np.array(
        [
            *([0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1]),
            *([2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]),
        ]
    )
    return Mesh(
        vertices=vertices, faces=np.concatenate([quads[:, :3], quads[:, [0, 2, 3]]])
    )


def as_mesh(shape: trimesh.Trimesh) -> Mesh:
    """Return a trimesh shape as a mesh of ours."""
    vertices = np.array(shape.vertices, dtype=float)
    return Mesh(vertices=vertices, faces=np.array(shape.faces, dtype=np.int64))
