"""What is typed into the commissioning record, as it is kept in the barn file."""

from dataclasses import replace

from core.errors import QuantityError
from core.model.job import CommissioningRecord, HeightReading, Reading
from core.outputs.commissioning import Expected, ReadingCheck, parse_ohms
from core.quantities import parse_voltage

__all__ = ["read_entry", "with_height", "with_names", "with_reading"]

_NONE = CommissioningRecord()
_OPEN = frozenset({"open", "ol", "o.l.", "o.l"})
_ANSWERS = {"y": "yes", "yes": "yes", "n": "no", "no": "no"}


def read_entry(item: ReadingCheck, text: str) -> str:
    """Return what was typed for a reading as it is kept.

    Parameters
    ----------
    item : ReadingCheck
        What is read.
    text : str
        What was typed; nothing leaves the reading blank.

    Returns
    -------
    str
        `yes` or `no`, ohms with their unit or `open`, a potential with its unit, or
        the text itself where anything may be noted.

    Raises
    ------
    QuantityError
        If it is no such reading.

    Examples
    --------
    >>> rod = ReadingCheck(id="rod/1", what="", expected=Expected.OHMS, limit=25.0)
    >>> read_entry(rod, "12"), read_entry(rod, "OL")
    ('12 ohm', 'open')
    """
    text = text.strip()
    match item.expected if text else Expected.NOTE:
        case Expected.YES:
            return _answer(text)
        case Expected.OHMS:
            return _resistance(text)
        case Expected.VOLTS | Expected.STATIC:
            return _potential(text)
        case Expected.NOTE:
            return text


def _answer(text: str) -> str:
    answer = _ANSWERS.get(text.lower())
    if answer is None:
        msg = f'"{text}" is neither yes nor no; a remark goes into the note beside it'
        raise QuantityError(msg)
    return answer


def _resistance(text: str) -> str:
    if text.lower() in _OPEN:
        return "open"
    parse_ohms(text)
    return f"{text} ohm" if _is_bare(text) else text


def _potential(text: str) -> str:
    parse_voltage(text)
    if _is_bare(text):
        msg = f'"{text}" has no unit; write {text} V or {text} kV'
        raise QuantityError(msg)
    return text


def _is_bare(text: str) -> bool:
    """Tell whether a number ends a text, with no unit behind it."""
    return text[-1].isdigit() or text[-1] == "."


def with_height(
    record: CommissioningRecord | None, run: str, support: str, measured: float | None
) -> CommissioningRecord | None:
    """Return a record with another height at a support [in]; None takes it out.

    A record in which nothing is left is None.
    """
    record = record or _NONE
    heights = {(item.run, item.support): item for item in record.heights}
    heights.pop((run, support), None)
    if measured is not None:
        new = HeightReading(run=run, support=support, measured=measured)
        heights[run, support] = new
    return _kept(replace(record, heights=tuple(heights.values())))


def with_reading(
    record: CommissioningRecord | None,
    key: str,
    *,
    value: str | None = None,
    note: str | None = None,
) -> CommissioningRecord | None:
    """Return a record with another value or note of a reading; None leaves it as it is.

    A reading with neither value nor note goes, and a record in which nothing is left
    is None.
    """
    record = record or _NONE
    readings = {item.id: item for item in record.readings}
    old = readings.get(key, Reading(id=key, value=""))
    new = replace(
        old,
        value=old.value if value is None else value,
        note=old.note if note is None else note,
    )
    readings[key] = new
    if not new.value and not new.note:
        del readings[key]
    return _kept(replace(record, readings=tuple(readings.values())))


def with_names(
    record: CommissioningRecord | None,
    *,
    by: str | None = None,
    date: str | None = None,
) -> CommissioningRecord | None:
    """Return a record with other names or another date; None leaves them as they are.

    A record in which nothing is left is None.
    """
    record = record or _NONE
    return _kept(
        replace(
            record,
            by=record.by if by is None else by.strip(),
            date=record.date if date is None else date.strip(),
        )
    )


def _kept(record: CommissioningRecord) -> CommissioningRecord | None:
    return None if record == _NONE else record
