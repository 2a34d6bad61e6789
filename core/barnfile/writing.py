"""The document as the text of a barn file, the same bytes for the same barn."""

import hashlib
import math
from dataclasses import dataclass
from typing import Any

from core.barnfile.jsontext import json_text
from core.barnfile.numbers import form_of, plain_number, written_number
from core.model.barn import SCHEMA_VERSION, Barn
from core.model.spec import (
    KindSpec,
    ListSpec,
    NumberSpec,
    ObjectSpec,
    OptionalSpec,
    Spec,
    TupleSpec,
    fields_of,
)
from core.quantities import LengthUnit

__all__ = ["SCHEMA_NAME", "barn_text", "digest"]

SCHEMA_NAME = "barn.schema.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Writer:
    """Turns values of the document into JSON values of one length unit."""

    unit: LengthUnit

    def value(self, value: Any, spec: Spec) -> object:
        """Write one value."""
        match spec:
            case NumberSpec():
                return self._number(value, spec)
            case ListSpec(item=item):
                return [self.value(each, item) for each in value]
            case TupleSpec(items=items):
                return [
                    self.value(each, s) for each, s in zip(value, items, strict=True)
                ]
            case ObjectSpec():
                return self.fields(value)
            case KindSpec():
                return {"kind": value.kind, **self.fields(value)}
            case OptionalSpec(inner=inner):
                return None if value is None else self.value(value, inner)
        return value

    def fields(self, item: Any) -> dict[str, object]:
        """Write the fields of an object, those at their default left out."""
        cls: type = type(item)
        return {
            field.name: self.value(getattr(item, field.name), field.spec)
            for field in fields_of(cls)
            if field.required or getattr(item, field.name) != field.default
        }

    def _number(self, value: float, spec: NumberSpec) -> float | str:
        """Write a number in the file's unit."""
        if not math.isfinite(value):
            msg = f"the barn holds {value}, which is no number"
            raise ValueError(msg)
        if spec.whole:
            return int(value)
        if spec.quantity is None:
            return plain_number(float(value))
        return written_number(float(value), form_of(spec.quantity, self.unit))


def barn_text(
    barn: Barn, *, unit: LengthUnit = LengthUnit.INCH, schema: str = SCHEMA_NAME
) -> str:
    """Write a barn as the text of a barn file.

    Parameters
    ----------
    barn : Barn
        The document.
    unit : LengthUnit
        Unit of the lengths in the file.
    schema : str
        Where an editor finds the JSON Schema, relative to the file.

    Returns
    -------
    str
        Keys in the order of the model, defaults left out; reading it gives the
        same barn to the last bit.

    Raises
    ------
    ValueError
        If a number of the barn is NaN or infinite.
    """
    head = {"$schema": schema, "liftlane": SCHEMA_VERSION, "unit": unit.value}
    return json_text({**head, **_Writer(unit=unit).fields(barn)})


def digest(barn: Barn) -> str:
    """Return a fingerprint of a barn that does not depend on its file's unit.

    Parameters
    ----------
    barn : Barn
        The document.

    Returns
    -------
    str
        64 hexadecimal digits, the SHA-256 of its text in inches.
    """
    return hashlib.sha256(barn_text(barn).encode()).hexdigest()
