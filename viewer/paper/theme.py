"""Which colour each role is drawn in: much paper, little ink, one accent.

Colours are of Okabe and Ito's palette where they mean something: blue for what is
chosen, vermilion only for what must stop, a darkened orange for a caution.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from core.drawing.records import Role

__all__ = ["DARK", "LIGHT", "PRINT", "Theme", "contrast", "mixed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Theme:
    """Paper, three strengths of ink, and the three colours that mean something.

    `is_dark` tells a window which palette goes with it.
    """

    name: str
    paper: str
    strong: str
    plain: str
    faint: str
    accent: str
    stop: str
    caution: str
    is_dark: bool = False

    def ink(self, role: Role) -> str:
        """Return the colour of a role's lines."""
        return str(getattr(self, _STRENGTHS.get(role, "plain")))

    def lettering(self, role: Role) -> str:
        """Return the colour of a role's texts, which need more contrast than lines."""
        return self.plain if _STRENGTHS.get(role, "plain") == "plain" else self.strong


_STRENGTHS: Mapping[Role, str] = {
    Role.ROOM_CUT: "strong",
    Role.FIXTURE_CUT: "strong",
    Role.RUN: "strong",
    Role.POINT: "strong",
    Role.LEAD: "strong",
    Role.LABEL: "strong",
    Role.SECTION_MARK: "strong",
    Role.DIMENSION: "strong",
    Role.REFUSAL: "strong",
    Role.FIXTURE_FAR: "faint",
    Role.STRIP: "faint",
    Role.ALLEY: "faint",
    Role.TRUSS: "faint",
    Role.LANE: "faint",
    Role.HIDDEN: "faint",
    Role.FREE_SPACE: "faint",
    Role.SWEPT: "faint",
    Role.AXIS: "faint",
    Role.BLOCKED: "stop",
    Role.FINDING: "stop",
    Role.WITNESS: "stop",
    Role.GUIDE: "accent",
    Role.HANDLE: "accent",
}

LIGHT = Theme(
    name="light",
    paper="#FFFFFF",
    strong="#1A1A1A",
    plain="#4A4A4A",
    faint="#7A7A7A",
    accent="#0072B2",
    stop="#D55E00",
    caution="#8A6100",
)
DARK = Theme(
    name="dark",
    paper="#1E2124",
    strong="#F2F2F2",
    plain="#C4C8CC",
    faint="#8D949B",
    accent="#56B4E9",
    stop="#F0803C",
    caution="#E69F00",
    is_dark=True,
)
PRINT = Theme(
    name="print",
    paper="#FFFFFF",
    strong="#000000",
    plain="#262626",
    faint="#6E6E6E",
    accent="#000000",
    stop="#C65700",
    caution="#7A5600",
)


def _channels(colour: str) -> tuple[float, float, float]:
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue


def _luminance(colour: str) -> float:
    linear = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in _channels(colour)
    )
    return sum(
        w * part for w, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True)
    )


def contrast(a: str, b: str) -> float:
    """Return the contrast ratio of two colours [-], from 1 to 21.

    References
    ----------
    W3C, Web Content Accessibility Guidelines 2.2 (2023), "contrast ratio" and
    "relative luminance".

    Examples
    --------
    >>> round(contrast("#000000", "#FFFFFF"), 3)
    21.0
    >>> contrast("#D55E00", "#D55E00")
    1.0
    """
    low, high = sorted((_luminance(a), _luminance(b)))
    return (high + 0.05) / (low + 0.05)


def mixed(ink: str, paper: str, share: float) -> str:
    """Return a share [-] of ink on paper as one opaque colour.

    Examples
    --------
    >>> mixed("#000000", "#FFFFFF", 0.2)
    '#cccccc'
    """
    parts = zip(_channels(ink), _channels(paper), strict=True)
    return "#" + "".join(
        f"{round(255 * (share * a + (1.0 - share) * b)):02x}" for a, b in parts
    )
