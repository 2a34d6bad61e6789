"""The JSON Schema of the barn file, made from the model.

`python -m core.barnfile.schema` writes it beside this module, from where every
sample names it and an editor completes and checks by it.
"""

import inspect
import math
import re
from pathlib import Path
from typing import Any

from core.barnfile.jsontext import json_text
from core.barnfile.numbers import form_of, plain_number
from core.barnfile.writing import SCHEMA_NAME
from core.model.barn import SCHEMA_VERSION, Barn
from core.model.fields import Angle, Gap, Length, Quantity, Size, Weight
from core.model.spec import (
    ChoiceSpec,
    FieldSpec,
    FlagSpec,
    KindSpec,
    ListSpec,
    NumberSpec,
    ObjectSpec,
    OptionalSpec,
    Spec,
    TextSpec,
    TupleSpec,
    fields_of,
    kinds_of,
    spec_of,
)
from core.quantities import LengthUnit, format_exact

__all__ = ["SCHEMA_PATH", "schema_text"]

SCHEMA_PATH = Path(__file__).with_name(SCHEMA_NAME)

Json = dict[str, Any]
# A sign, a digit or a vulgar fraction, then what `core.quantities` makes of it.
_QUANTITY_PATTERN = r"^\s*[-+\u2010-\u2013\u2212]?\s*[.\d\u00bc-\u00be\u2150-\u215e]"
_SHARED = {
    name: spec
    for name, spec in (
        ("length", spec_of(Length)),
        ("size", spec_of(Size)),
        ("gap", spec_of(Gap)),
        ("angle", spec_of(Angle)),
        ("weight", spec_of(Weight)),
    )
    if isinstance(spec, NumberSpec)
}


def schema_text() -> str:
    """Write the JSON Schema of this program's version of the barn file.

    Returns
    -------
    str
        Draft 2020-12, with a line break at the end.
    """
    classes: dict[str, type] = {}
    root = _object(Barn, classes)
    head: Json = {
        "$schema": {"type": "string"},
        "liftlane": {"const": SCHEMA_VERSION, "description": "version of the file"},
        "unit": {
            "enum": [unit.value for unit in LengthUnit],
            "description": "unit of every length that is a number",
        },
    }
    root["properties"] = {**head, **root["properties"]}
    root["required"] = ["liftlane", "unit", *root["required"]]
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Barn file",
        **root,
        "$defs": {
            **{name: _quantity(spec) for name, spec in _SHARED.items()},
            **_definitions(classes),
        },
    }
    return json_text(schema)


def _definitions(classes: dict[str, type]) -> Json:
    """Describe every class met, and those met in them."""
    done: Json = {}
    while waiting := [name for name in classes if name not in done]:
        for name in waiting:
            done[name] = _object(classes[name], classes)
    return dict(sorted(done.items()))


def _object(cls: type, classes: dict[str, type]) -> Json:
    """Describe a class."""
    kinds = kinds_of(cls)
    properties: Json = {"kind": {"enum": list(kinds)}} if kinds else {}
    for field in fields_of(cls):
        properties[field.name] = _field(field, classes)
    required = [field.name for field in fields_of(cls) if field.required]
    return {
        "type": "object",
        "description": _description(cls),
        "properties": properties,
        "required": ["kind", *required] if kinds else required,
        "additionalProperties": False,
    }


def _field(field: FieldSpec, classes: dict[str, type]) -> Json:
    """Describe a field with its default, where that is one value."""
    shape = _shape(field.spec, classes)
    if field.required or isinstance(field.default, tuple) or field.default is None:
        return shape
    if isinstance(field.spec, NumberSpec):
        return {**shape, "default": _default_number(field.spec, field.default)}
    plain = isinstance(field.default, str | bool)
    return {**shape, "default": field.default} if plain else shape


def _default_number(spec: NumberSpec, default: Any) -> float | str:
    """Write a default number; a length as text, since the file's unit is open."""
    if spec.quantity is Quantity.LENGTH:
        return format_exact(default)
    return plain_number(float(form_of(spec.quantity, LengthUnit.INCH).to_file(default)))


def _shape(spec: Spec, classes: dict[str, type]) -> Json:
    """Describe what a spec allows."""
    match spec:
        case NumberSpec():
            return _number(spec)
        case TextSpec(shortest=shortest):
            return {"type": "string", **({"minLength": shortest} if shortest else {})}
        case FlagSpec():
            return {"type": "boolean"}
        case ChoiceSpec(choices=choices):
            return {"enum": list(choices)}
        case ListSpec(item=item, shortest=shortest):
            least = {"minItems": shortest} if shortest else {}
            return {"type": "array", "items": _shape(item, classes), **least}
        case TupleSpec(items=items):
            return _tuple(items, classes)
        case ObjectSpec(cls=cls):
            return _reference(cls, classes)
        case KindSpec(kinds=kinds):
            options = dict.fromkeys(kinds.values())
            return {"oneOf": [_reference(cls, classes) for cls in options]}
        case OptionalSpec(inner=inner):
            return {"anyOf": [_shape(inner, classes), {"type": "null"}]}


def _tuple(items: tuple[Spec, ...], classes: dict[str, type]) -> Json:
    """Describe a point."""
    return {
        "type": "array",
        "prefixItems": [_shape(item, classes) for item in items],
        "minItems": len(items),
        "maxItems": len(items),
    }


def _number(spec: NumberSpec) -> Json:
    """Describe a number, or a text with a unit where that is read."""
    form = form_of(spec.quantity, LengthUnit.INCH)
    if form.parse is None:
        return _bare_number(spec)
    if spec in _SHARED.values():
        name = next(name for name, shared in _SHARED.items() if shared == spec)
        return {"$ref": f"#/$defs/{name}"}
    return _quantity(spec)


def _bare_number(spec: NumberSpec) -> Json:
    """Describe a number with its limits, in the file's unit."""
    form = form_of(spec.quantity, LengthUnit.INCH)
    limits = {
        "exclusiveMinimum": spec.above,
        "minimum": spec.least,
        "maximum": spec.most,
    }
    return {
        "type": "integer" if spec.whole else "number",
        **{
            word: plain_number(float(form.to_file(limit)))
            for word, limit in limits.items()
            if math.isfinite(limit)
        },
    }


def _quantity(spec: NumberSpec) -> Json:
    """Describe a number that may be a text with a unit as well."""
    text = {"type": "string", "pattern": _QUANTITY_PATTERN}
    return {"anyOf": [_bare_number(spec), text], "description": _quantity_words(spec)}


def _quantity_words(spec: NumberSpec) -> str:
    """Say what a number stands for and how it is written."""
    form = form_of(spec.quantity, LengthUnit.INCH)
    unit = "the file's unit" if spec.quantity is Quantity.LENGTH else form.unit
    return f"{form.noun}: a number in {unit}, or text like {form.example}"


def _reference(cls: type, classes: dict[str, type]) -> Json:
    """Refer to a class; remember to describe it."""
    classes[cls.__name__] = cls
    return {"$ref": f"#/$defs/{cls.__name__}"}


def _description(cls: type) -> str:
    """Return the first paragraph of a class's docstring."""
    first = (inspect.getdoc(cls) or "").split("\n\n")[0]
    return re.sub(r"\s+", " ", first)


if __name__ == "__main__":
    SCHEMA_PATH.write_text(schema_text(), encoding="utf-8", newline="\n")
