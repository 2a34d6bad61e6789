"""The error tree: every error of ours is a LiftlaneError and also a built-in."""

from dataclasses import dataclass

__all__ = [
    "BarnFileError",
    "EditError",
    "Fault",
    "LiftlaneError",
    "MechanismError",
    "MeshFileError",
    "NotWrittenError",
    "QuantityError",
    "UnconvergedError",
    "UnknownPartError",
    "ValueRangeError",
]


class LiftlaneError(Exception):
    """Base of every error that Liftlane raises on purpose.

    The text is one sentence for the user: the thing, the value, the unit, the
    limit and what to do.
    """


class QuantityError(LiftlaneError, ValueError):
    """A text that should be a length, force or other quantity is not one."""


class ValueRangeError(LiftlaneError, ValueError):
    """A number lies outside the range in which a formula or a part is defined."""


class EditError(LiftlaneError, ValueError):
    """An edit names something that is not there or asks for the impossible."""


class UnknownPartError(LiftlaneError, LookupError):
    """A part is named that is not in the catalogue, or is of another kind."""


class MeshFileError(LiftlaneError, ValueError):
    """A mesh file is missing, unreadable, empty or not a surface."""


class MechanismError(LiftlaneError, ArithmeticError):
    """A structure can move without any force: it has no answer."""


class UnconvergedError(LiftlaneError, ArithmeticError):
    """A solver gave up; the inputs are named, no half answer is returned."""


class NotWrittenError(LiftlaneError, OSError):
    """A file could not be written; nothing was left half-written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong in a file: where, what was found, what was expected."""

    path: str
    found: str
    expected: str
    nearest: str | None = None

    def __str__(self) -> str:
        """Return the fault as one line for the user."""
        hint = f'; did you mean "{self.nearest}"?' if self.nearest else ""
        return f"{self.path}: found {self.found}, expected {self.expected}{hint}"


class BarnFileError(LiftlaneError, ValueError):
    """A barn file cannot be used; `faults` lists everything that is wrong."""

    def __init__(self, where: str, faults: tuple[Fault, ...]) -> None:
        self.where = where
        self.faults = faults
        count = len(faults)
        head = f"{where}: {count} fault{'s' if count != 1 else ''}"
        super().__init__("\n".join([head, *(f"  {fault}" for fault in faults)]))

    def __reduce__(self) -> tuple[type, tuple[str, tuple[Fault, ...]]]:
        """Let it come from another process with all its faults."""
        return type(self), (self.where, self.faults)
