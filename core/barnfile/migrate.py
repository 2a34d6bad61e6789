"""Files of older versions, brought up to date one version at a time.

A step is a pure function from the object of one version to that of the next. It
leaves what it does not understand alone: the reader reports it.
"""

from collections.abc import Callable, Mapping
from typing import Any

from core.model.barn import SCHEMA_VERSION

__all__ = ["migrated"]

Json = dict[str, Any]


def _from_0(draft: Json) -> Json:
    """Version 0 called runs pipes, and had level ceilings only, as a number."""
    data = {("runs" if key == "pipes" else key): draft[key] for key in draft}
    room = data.get("room")
    if isinstance(room, dict) and "ceiling_height" in room:
        left = {key: room[key] for key in room if key != "ceiling_height"}
        ceiling = {"kind": "flat", "height": room["ceiling_height"]}
        data["room"] = {**left, "ceiling": ceiling}
    return data


_STEPS: Mapping[int, Callable[[Json], Json]] = {0: _from_0}


def migrated(data: Json, version: int) -> Json:
    """Bring the object of a file up to the version of this program.

    Parameters
    ----------
    data : dict
        What the file says.
    version : int
        Its version, from 0 to that of this program.

    Returns
    -------
    dict
        The same barn in the present form; `data` is left as it is.
    """
    for step in range(version, SCHEMA_VERSION):
        data = _STEPS[step](data)
    return {**data, "liftlane": SCHEMA_VERSION}
