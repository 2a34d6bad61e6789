"""What OpenGL is given: lit surfaces, hatched surfaces and lines, merged by layer."""

import numpy as np
from numpy.typing import NDArray
from OpenGL import GL
from pyqtgraph.opengl import GLLinePlotItem, GLMeshItem
from pyqtgraph.opengl.items.GLMeshItem import DirtyFlag
from pyqtgraph.opengl.shaders import FragmentShader, ShaderProgram, VertexShader
from PySide6.QtGui import QMatrix4x4

from core.geometry.facets import Facets
from core.geometry.shapes import FloatArray, Vec3
from viewer.room3d.camera import room_to_gl
from viewer.room3d.colours import Rgba

__all__ = ["HATCHED", "LIT", "Bytes", "LineItem", "SurfaceItem", "moved"]

Bytes = NDArray[np.uint8]

_LIGHT = """
    uniform mat4 u_mvp;
    uniform mat3 u_normal;
    attribute vec4 a_position;
    attribute vec3 a_normal;
    attribute vec4 a_color;
    varying vec4 v_color;
    void main() {
        // soft light from the sky, a little from one end, the rest from the eye
        vec3 seen = normalize(u_normal * a_normal);
        float sky = 0.5 + 0.5 * a_normal.z;
        float light = 0.73 + 0.15 * sky + 0.13 * abs(seen.z) + 0.09 * abs(a_normal.x);
        v_color = vec4(a_color.rgb * min(light, 1.0), a_color.a);
        gl_Position = u_mvp * a_position;
    }
"""
_PLAIN = """
    #ifdef GL_ES
    precision mediump float;
    #endif
    varying vec4 v_color;
    void main() { gl_FragColor = v_color; }
"""
_HATCH = """
    #ifdef GL_ES
    precision mediump float;
    #endif
    varying vec4 v_color;
    void main() {
        float place = mod(gl_FragCoord.x + gl_FragCoord.y, 10.0);
        float thin = v_color.a > 0.99 ? 1.0 : 0.5 * v_color.a;
        vec4 between = vec4(mix(v_color.rgb, vec3(1.0), 0.55), thin);
        gl_FragColor = place < 5.0 ? v_color : between;
    }
"""
LIT = ShaderProgram("room-lit", [VertexShader(_LIGHT), FragmentShader(_PLAIN)])
HATCHED = ShaderProgram("room-hatch", [VertexShader(_LIGHT), FragmentShader(_HATCH)])

_BLEND = (
    GL.GL_SRC_ALPHA,
    GL.GL_ONE_MINUS_SRC_ALPHA,
    GL.GL_ONE,
    GL.GL_ONE_MINUS_SRC_ALPHA,
)
# every item sets all of this: what one leaves behind must not reach the next
_COMMON = {
    GL.GL_DEPTH_TEST: True,
    GL.GL_CULL_FACE: False,
    GL.GL_POLYGON_OFFSET_FILL: True,
    "glBlendFuncSeparate": _BLEND,
}
_SOLID = {**_COMMON, GL.GL_BLEND: False, "glDepthMask": (True,)}
_CLEAR = {**_COMMON, GL.GL_BLEND: True, "glDepthMask": (False,)}


def moved(by: Vec3) -> QMatrix4x4:
    """Return the transform that moves an item by a way in the room [in]."""
    matrix = QMatrix4x4()
    matrix.translate(by[0], -by[1], by[2])
    return matrix


class SurfaceItem(GLMeshItem):  # type: ignore[misc]  # pyqtgraph ships no types
    """Triangles with a normal and perhaps a colour at each corner.

    Parameters
    ----------
    order : int
        Items of a greater order are drawn later.
    clear : bool
        Whether what is behind shines through.
    towards : float
        How much nearer to the eye than it is it is taken to be; for what lies on
        another surface [-].
    """

    def __init__(
        self,
        *,
        order: int = 0,
        clear: bool = False,
        towards: float = 0.0,
        shader: ShaderProgram = LIT,
    ) -> None:
        offset = 1.0 - towards
        options = {
            **(_CLEAR if clear else _SOLID),
            "glPolygonOffset": (offset, offset),
        }
        super().__init__(smooth=False, shader=shader, glOptions=options)
        self.setDepthValue(order)
        self.setVisible(False)
        self._changed = DirtyFlag(0)

    def show_facets(self, facets: Facets, colours: Bytes | Rgba) -> None:
        """Show triangles in one colour, or in one for each of them `(m, 4)`."""
        count = len(facets.corners)
        self.setVisible(bool(count))
        self.vertexes = room_to_gl(facets.corners).astype(np.float32).reshape(-1, 3)
        self.normals = room_to_gl(facets.normals).astype(np.float32).reshape(-1, 3)
        self._changed |= DirtyFlag.POSITION | DirtyFlag.NORMAL
        self.paint_in(colours)

    def paint_in(self, colours: Bytes | Rgba) -> None:
        """Give the triangles other colours."""
        if isinstance(colours, tuple):
            self.colors = None
            self.setColor(colours)
            return
        self.colors = np.repeat(colours, 3, axis=0)
        self._changed |= DirtyFlag.COLOR
        self.update()

    def parseMeshData(self) -> DirtyFlag:  # noqa: N802 - overrides pyqtgraph
        """Tell what has to be sent again; called by the base class."""
        changed, self._changed = self._changed, DirtyFlag(0)
        return changed


class LineItem(GLLinePlotItem):  # type: ignore[misc]  # pyqtgraph ships no types
    """Separate pieces of line; drawn after all surfaces that they may lie on."""

    def __init__(self, *, order: int = 0, width: float = 1.0) -> None:
        super().__init__(mode="lines", width=width, glOptions=_CLEAR)
        self.setDepthValue(order)
        self.setVisible(False)

    def show_lines(self, ends: FloatArray, colour: Rgba | NDArray[np.float32]) -> None:
        """Show lines `(n, 2, 3)` in one colour, or in one for each `(n, 4)`."""
        self.setVisible(bool(len(ends)))
        if not isinstance(colour, tuple):
            colour = np.repeat(colour, 2, axis=0)
        points = room_to_gl(ends).astype(np.float32).reshape(-1, 3)
        self.setData(pos=points, color=colour)

    def colour(self, colour: Rgba) -> None:
        """Give all lines one other colour."""
        self.setData(color=colour)
