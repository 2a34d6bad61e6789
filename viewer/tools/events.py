"""What a view tells a tool: plain events in its drawing's plane."""

from dataclasses import dataclass
from enum import Enum, Flag, auto

from core.geometry.shapes import Vec2

__all__ = ["Event", "Key", "KeyPress", "Modifier", "Move", "Press", "Release"]


class Modifier(Flag):
    """What is held down meanwhile."""

    NONE = 0
    FREE = auto()  # keep to the sixteenth alone, not to trusses and walls
    ADD = auto()  # add to what is chosen, or take from it
    COARSE = auto()  # a nudge of a foot
    FINE = auto()  # a nudge of a sixteenth


class Key(Enum):
    """The keys that tools know."""

    CANCEL = auto()
    LEFT = auto()
    RIGHT = auto()
    UP = auto()
    DOWN = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """The button goes down at a point; `tolerance` is how far a hit may be [in]."""

    at: Vec2
    tolerance: float
    modifiers: Modifier = Modifier.NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """The pointer has moved to a point, with the button down [in]."""

    at: Vec2
    modifiers: Modifier = Modifier.NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """The button goes up at a point [in]."""

    at: Vec2
    modifiers: Modifier = Modifier.NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyPress:
    """A key goes down."""

    key: Key
    modifiers: Modifier = Modifier.NONE


Event = Press | Move | Release | KeyPress
