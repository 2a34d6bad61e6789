"""Whether this screen can draw in three dimensions, and what is said if not."""

from PySide6.QtGui import QGuiApplication, QOffscreenSurface, QOpenGLContext

__all__ = ["draws_in_software", "no_opengl"]

# window systems of Qt that have no OpenGL; asking them for it can end the process
_WITHOUT = ("offscreen", "minimal", "minimalegl", "vnc", "linuxfb")
_RENDERER = 0x1F01  # GL_RENDERER, OpenGL 2.1 specification, table 6.31
_SOFTWARE = (
    "llvmpipe",
    "softpipe",
    "swrast",
    "software",
    "swiftshader",
    "basic render",
)
_ELSE = "Plan, sections, findings and all sheets work as always."


def no_opengl() -> str:
    """Return why the room cannot be shown in 3-D here, empty if it can."""
    platform = QGuiApplication.platformName()
    if platform in _WITHOUT:
        return f'The room needs OpenGL, which the display "{platform}" has not. {_ELSE}'
    context = QOpenGLContext()
    surface = QOffscreenSurface()
    surface.create()
    if not context.create() or not context.makeCurrent(surface):
        return f"The room needs OpenGL, which this machine does not offer. {_ELSE}"
    context.doneCurrent()
    return ""


def draws_in_software() -> bool:
    """Tell whether OpenGL is drawn by the processor here, so that frames cost more."""
    context, surface = QOpenGLContext(), QOffscreenSurface()
    surface.create()
    if not context.create() or not context.makeCurrent(surface):
        return True
    name = str(context.functions().glGetString(_RENDERER) or "").lower()
    context.doneCurrent()
    return any(word in name for word in _SOFTWARE)
