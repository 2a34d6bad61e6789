"""The cautions that every output carries."""

__all__ = ["CAUTIONS", "DEFERENCE"]

_VOLTAGE = (
    "High voltage: before anyone works in reach, switch the supply off, lock it out, "
    "and discharge every run with a grounding stick."
)
_HEIGHTS = (
    "Heights do not guard people under a barn ceiling; interlock and lock-out do."
)
_LOADS = (
    "Overhead loads: nobody stands under a moving run. "
    "The stop switch on the winch is no working control."
)
_LICENSED = (
    "Electrical work, grounding and the extra load on trusses are for licensed "
    "people and the truss designer, by the local code."
)

CAUTIONS = (_VOLTAGE, _HEIGHTS, _LOADS, _LICENSED)

DEFERENCE = (
    "This says what was checked, against which value, and what was not. "
    "Local codes and licensed people decide."
)
