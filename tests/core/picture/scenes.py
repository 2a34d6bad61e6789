"""Small barns and eyes for the tests of pictures."""

from dataclasses import replace
from functools import cache

from core.analysis.analyse import analyse
from core.model.barn import Barn
from core.model.fixtures import Feeder, Light, WallFan, WaterLine
from core.model.room import Pen, Wall
from core.picture.camera import Camera
from core.picture.subject import Subject, subject_of
from tests.specimens import plain_barn

WIDTH, HEIGHT = 480, 270
LEFT_FAN, RIGHT_TUBE = "fan-left", "tube-right"


def scene_barn() -> Barn:
    """The plain barn with pens, lamps, a fan on the left wall and a tube right."""
    barn = plain_barn()
    pens = tuple(
        Pen(
            id=f"pen-{side}-{k}",
            outline=((x, low), (x + 140.0, low), (x + 140.0, high), (x, high)),
        )
        for side, low, high in (("L", 0.0, 110.0), ("R", 166.0, 276.0))
        for k, x in enumerate((40.0, 180.0, 320.0))
    )
    added = (
        Light(id="lamp-a", x=210.0, y=138.0, length=48.0, width=6.0, depth=4.0),
        Light(id="lamp-b", x=330.0, y=138.0, length=48.0, width=6.0, depth=4.0),
        WallFan(
            id=LEFT_FAN, wall=Wall.LEFT, offset=300.0, z=68.0, diameter=24.0, depth=8.0
        ),
        WaterLine(
            id=RIGHT_TUBE,
            path=((250.0, 262.0, 20.0), (250.0, 262.0, 90.0)),
            diameter=3.0,
        ),
        Feeder(id="hopper", x=260.0, y=90.0, length=30.0, width=18.0, height=34.0),
    )
    return replace(
        barn, room=replace(barn.room, pens=pens), fixtures=(*barn.fixtures, *added)
    )


@cache
def subject() -> Subject:
    """The scene barn, ready for pictures."""
    barn = scene_barn()
    return subject_of(barn, meshes={}, report=analyse(barn, meshes={}).report)


def door_camera(width: int = WIDTH, height: int = HEIGHT) -> Camera:
    """An eye inside the main door that looks straight along the room."""
    return Camera(
        eye=(6.0, 138.0, 64.0), look=(300.0, 138.0, 64.0), width=width, height=height
    )
