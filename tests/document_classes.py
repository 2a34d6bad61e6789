"""Every class of the document, found by its specs."""

from collections.abc import Iterator

from core.model.barn import Barn
from core.model.spec import (
    KindSpec,
    ListSpec,
    ObjectSpec,
    OptionalSpec,
    Spec,
    fields_of,
)

__all__ = ["document_classes"]


def document_classes() -> set[type]:
    """Return the barn's class and that of everything that can be in a barn."""
    return set(_within(ObjectSpec(cls=Barn)))


def _within(spec: Spec) -> Iterator[type]:
    match spec:
        case ObjectSpec(cls=cls):
            yield cls
            for field in fields_of(cls):
                yield from _within(field.spec)
        case KindSpec(kinds=kinds):
            for cls in kinds.values():
                yield from _within(ObjectSpec(cls=cls))
        case ListSpec(item=inner) | OptionalSpec(inner=inner):
            yield from _within(inner)
