"""The commissioning record: what is expected, what was measured, what is out.

Readings are kept in the barn file under ids that this module makes, such as
`bond/probe-1`; a reading that is not there is left blank on the sheet.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from core.analysis.electrical import bond_register
from core.catalogue.catalogue import Catalogue
from core.errors import QuantityError
from core.model.barn import Barn
from core.model.job import CommissioningRecord
from core.placement.hanging import support_points
from core.quantities import format_voltage, parse_voltage

__all__ = [
    "BOND_OHMS",
    "HEIGHT_TOLERANCE",
    "ROD_OHMS",
    "VOLTAGE_SHARE",
    "Expected",
    "HeightCheck",
    "Judged",
    "ReadingCheck",
    "blanks",
    "bond_keys",
    "expected_readings",
    "height_checks",
    "out_of_tolerance",
    "parse_ohms",
    "reading_checks",
    "worst",
]

HEIGHT_TOLERANCE = 0.25  # [in] common practice, no published source
BOND_OHMS = 1.0  # [ohm] common practice, no published source
ROD_OHMS = 25.0  # [ohm] NEC (NFPA 70) 250.53(A)(2) exception, from memory
VOLTAGE_SHARE = 0.1  # [-] of the job's voltage; common practice, no published source

_NONE = CommissioningRecord()
_OHM = "\N{GREEK CAPITAL LETTER OMEGA}"
_OHMS: Mapping[str, float] = {
    **dict.fromkeys(("", "ohm", "ohms", _OHM), 1.0),
    **dict.fromkeys(("milliohm", "milliohms", f"m{_OHM}"), 1e-3),
    **dict.fromkeys(("k", "kohm", "kilohm", "kilohms", f"k{_OHM}"), 1e3),
    **dict.fromkeys(("Mohm", "MOhm", "megohm", "megohms", f"M{_OHM}"), 1e6),
}
_NUMBER = re.compile(r"\s*(\d[\d,]*\.?\d*|\.\d+)\s*(\S*)\s*")


class Judged(StrEnum):
    """What is said of one thing that was to be measured."""

    BLANK = "not measured"
    IN = "in tolerance"
    OUT = "OUT OF TOLERANCE"
    NOTED = "noted"


class Expected(StrEnum):
    """What a reading is compared with."""

    YES = "yes"
    OHMS = "ohm"
    VOLTS = "V"
    STATIC = "static"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingCheck:
    """One reading: its id in the barn file, what it says, what it is held to."""

    id: str
    what: str
    expected: Expected
    limit: float | None
    value: str = ""
    judged: Judged = Judged.BLANK
    note: str = ""

    @property
    def found(self) -> str | None:
        """Return what was noted, with its note; None where nothing was."""
        note = f" ({self.note})" if self.note else ""
        return f"{self.value}{note}".strip() or None

    @property
    def wanted(self) -> str:
        """Return what is wanted, in words."""
        if self.expected is Expected.YES:
            return "yes"
        if self.limit is None:
            return ""
        if self.expected is Expected.VOLTS:
            return f"{format_voltage(self.limit)}, within {VOLTAGE_SHARE:.0%}"
        return f"at most {self.limit:g} ohm"


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightCheck:
    """The height of a pipe's middle at one support: set and measured [in]."""

    run: str
    support: str
    set_to: float
    measured: float | None

    @property
    def difference(self) -> float | None:
        """Return measured minus set [in]."""
        return None if self.measured is None else self.measured - self.set_to

    @property
    def judged(self) -> Judged:
        """Return whether it is level within the tolerance."""
        if self.difference is None:
            return Judged.BLANK
        level = abs(self.difference) <= HEIGHT_TOLERANCE + 1e-9
        return Judged.IN if level else Judged.OUT


def height_checks(barn: Barn, catalogue: Catalogue) -> tuple[HeightCheck, ...]:
    """Return the height of every support at working height, run by run."""
    measured = {
        (item.run, item.support): item.measured
        for item in (barn.record or _NONE).heights
    }
    return tuple(
        HeightCheck(
            run=run.id,
            support=place.support,
            set_to=place.pipe[2],
            measured=measured.get((run.id, place.support)),
        )
        for run in barn.runs
        for place in support_points(run, barn.room, catalogue, lift=0.0)
    )


def expected_readings(barn: Barn) -> tuple[ReadingCheck, ...]:
    """Return every reading that the job asks for, left blank."""
    return (*_lift_readings(barn), *_ground_readings(barn), *_meter(barn))


def _lift_readings(barn: Barn) -> Iterator[ReadingCheck]:
    for hoist in barn.hoists:
        for way in ("lifting", "lowering"):
            for what in ("smooth", "stopped in time"):
                yield ReadingCheck(
                    id=f"hoist/{hoist.id}/{way}/{what.replace(' ', '-')}",
                    what=f"{hoist.id}: {way}, {what}",
                    expected=Expected.YES,
                    limit=None,
                )


def bond_keys(subject: str) -> tuple[str, str, str]:
    """Return the ids of a part's readings: its bond, static before and after it."""
    return (f"bond/{subject}", f"static/{subject}/before", f"static/{subject}/after")


def worst(judged: Iterable[Judged]) -> Judged:
    """Return what is said of several things together: the worst that is known.

    Examples
    --------
    >>> worst([Judged.BLANK, Judged.IN]).value, worst([Judged.IN, Judged.OUT]).value
    ('in tolerance', 'OUT OF TOLERANCE')
    """
    said = set(judged)
    order = (Judged.OUT, Judged.IN, Judged.NOTED)
    return next((each for each in order if each in said), Judged.BLANK)


def _ground_readings(barn: Barn) -> Iterator[ReadingCheck]:
    for rod in barn.electrical.rods:
        yield _ohms(f"rod/{rod.id}", f"ground rod {rod.id}", ROD_OHMS)
    for bond in bond_register(barn.fixtures, barn.hoists, barn.electrical):
        held, *static = bond_keys(bond.subject)
        yield _ohms(held, f"bond of {bond.subject}", BOND_OHMS)
        for key, when in zip(static, ("before", "after"), strict=True):
            yield ReadingCheck(
                id=key,
                what=f"static on {bond.subject}, {when} bonding",
                expected=Expected.STATIC,
                limit=None,
            )


def _ohms(key: str, what: str, limit: float) -> ReadingCheck:
    return ReadingCheck(id=key, what=what, expected=Expected.OHMS, limit=limit)


def _meter(barn: Barn) -> Iterator[ReadingCheck]:
    volts = barn.electrical.voltage
    runs = [run.id for run in barn.runs]
    for run in runs:
        yield _noted(
            f"meter/{run}/insulation", f"insulation of {run}, supply off, in megohm"
        )
    yield ReadingCheck(
        id="switch/cuts-off",
        what="isolating switch, lock and door interlock cut the supply off",
        expected=Expected.YES,
        limit=None,
    )
    yield _volts("meter/supply-voltage", "voltage at the supply", volts)
    yield _noted("meter/supply-current", "current of the supply, runs lowered, in mA")
    for run in runs:
        yield _volts(f"meter/{run}/voltage", f"voltage at the far end of {run}", volts)
    yield _noted("meter/bleed-down", "time to bleed down, supply off, in s")


def _volts(key: str, what: str, limit: float) -> ReadingCheck:
    return ReadingCheck(id=key, what=what, expected=Expected.VOLTS, limit=limit)


def _noted(key: str, what: str) -> ReadingCheck:
    return ReadingCheck(id=key, what=what, expected=Expected.NOTE, limit=None)


def reading_checks(barn: Barn) -> tuple[ReadingCheck, ...]:
    """Return every expected reading with what was noted and what is said of it.

    Readings under ids that nothing expects come last, as they were noted.

    Notes
    -----
    Ohms must not exceed their limit; volts must be within 10 % of the job's in size;
    a yes-or-no check must read yes; static after bonding must not exceed that before.
    A text that is no number where one is wanted is out of tolerance.
    """
    record = barn.record or _NONE
    noted = {reading.id: reading.value.strip() for reading in record.readings}
    notes = {reading.id: reading.note.strip() for reading in record.readings}
    checked = [_checked(item, noted) for item in expected_readings(barn)]
    known = {item.id for item in checked}
    others = [_other(key, value) for key, value in noted.items() if key not in known]
    return tuple(
        replace(item, note=notes.get(item.id, "")) for item in (*checked, *others)
    )


def _other(key: str, value: str) -> ReadingCheck:
    return ReadingCheck(
        id=key,
        what=key,
        expected=Expected.NOTE,
        limit=None,
        value=value,
        judged=Judged.NOTED if value else Judged.BLANK,
    )


def _checked(item: ReadingCheck, noted: Mapping[str, str]) -> ReadingCheck:
    value = noted.get(item.id, "")
    if not value:
        return item
    return replace(item, value=value, judged=_judged(item, value, noted))


def _judged(item: ReadingCheck, value: str, noted: Mapping[str, str]) -> Judged:
    match item.expected:
        case Expected.YES:
            return Judged.IN if value.lower() in ("yes", "y") else Judged.OUT
        case Expected.OHMS:
            return _within(value, item.limit)
        case Expected.VOLTS:
            return _near_voltage(value, item.limit)
        case Expected.STATIC:
            return _static(item.id, value, noted)
        case Expected.NOTE:
            return Judged.NOTED


def _within(value: str, limit: float | None) -> Judged:
    try:
        ohms = parse_ohms(value)
    except QuantityError:
        return Judged.OUT
    kept = limit is not None and ohms <= limit
    return Judged.IN if kept else Judged.OUT


def _near_voltage(value: str, limit: float | None) -> Judged:
    volts, wanted = _size(value), abs(limit or 0.0)
    if volts is None:
        return Judged.OUT
    near = abs(volts - wanted) <= VOLTAGE_SHARE * wanted
    return Judged.IN if near else Judged.OUT


def _static(key: str, value: str, noted: Mapping[str, str]) -> Judged:
    """Hold a reading after bonding against that before, whatever their units."""
    if not key.endswith("/after"):
        return Judged.NOTED
    after = _size(value)
    before = _size(noted.get(key.removesuffix("after") + "before", ""))
    if after is None or before is None:
        return Judged.NOTED
    return Judged.IN if after <= before else Judged.OUT


def _size(value: str) -> float | None:
    """Return how large a potential is [V], None where a text is none."""
    try:
        return abs(parse_voltage(value))
    except QuantityError:
        return None


def parse_ohms(text: str) -> float:
    """Read a resistance; a number without a unit is in ohms.

    Parameters
    ----------
    text : str
        What was written.

    Returns
    -------
    float
        Resistance [ohm], 0 or more.

    Raises
    ------
    QuantityError
        If the text is no resistance; "mohm" is none, for it may be meant either way.

    Examples
    --------
    >>> parse_ohms("0.4"), parse_ohms("1.5 kohm"), parse_ohms("2 megohm")
    (0.4, 1500.0, 2000000.0)
    """
    found = _NUMBER.fullmatch(text.replace("\N{OHM SIGN}", _OHM))
    unit = found[2] if found else ""
    scale = _OHMS.get(unit, None if unit.startswith("M") else _OHMS.get(unit.lower()))
    if found is None or scale is None:
        msg = f'"{text.strip()}" is not a resistance; write it like 0.4 or 1.5 kohm'
        raise QuantityError(msg)
    return float(found[1].replace(",", "")) * scale


def out_of_tolerance(barn: Barn, catalogue: Catalogue) -> tuple[str, ...]:
    """Return in words everything that was measured and is out of tolerance."""
    heights = [
        f"{item.run}, {item.support}: height"
        for item in height_checks(barn, catalogue)
        if item.judged is Judged.OUT
    ]
    readings = [
        f"{item.what}: {item.value}"
        for item in reading_checks(barn)
        if item.judged is Judged.OUT
    ]
    return (*heights, *readings)


def blanks(barn: Barn, catalogue: Catalogue) -> tuple[int, int]:
    """Return how many of the heights and readings are blank, and how many there are."""
    judged = [item.judged for item in height_checks(barn, catalogue)]
    judged += [item.judged for item in reading_checks(barn)]
    return judged.count(Judged.BLANK), len(judged)
