"""Public functions of the formulas say the unit of every number they take."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest

# Formulas: each number has its unit in the Parameters section. Geometry knows one
# unit, the inch: there a function without that section is held to nothing.
CHECKED = ("core.electrics", "core.geometry", "core.mechanics", "core.quantities")
FORMULAS = ("core.electrics", "core.mechanics")
INCHES_ONLY = "core.geometry"
INNER = "core.geometry.kernels"  # offered to core.geometry alone

Function = Callable[..., object]

_NUMBER = re.compile(r"\bfloat\b|float64")
_UNIT = re.compile(r"\[[^\]\s][^\]]*\]")
_ENTRY = re.compile(r"(?P<names>\*{0,2}\w+(?:, \*{0,2}\w+)*) : (?P<kind>.+)")


def module_names() -> Iterator[str]:
    for name in CHECKED:
        yield name
        path = getattr(importlib.import_module(name), "__path__", [])
        found = (each.name for each in pkgutil.walk_packages(path, f"{name}."))
        yield from (each for each in found if not each.startswith(INNER))


def public_functions(module: ModuleType) -> Iterator[tuple[str, Function]]:
    """Yield the functions and methods that a module offers, with their names."""
    for name in getattr(module, "__all__", ()):
        offered = getattr(module, name)
        if getattr(offered, "__module__", None) != module.__name__:
            continue
        if inspect.isfunction(offered):
            yield name, offered
        elif inspect.isclass(offered):
            yield from methods(name, offered)


def methods(path: str, owner: type) -> Iterator[tuple[str, Function]]:
    for name, value in vars(owner).items():
        function = value.__func__ if isinstance(value, classmethod) else value
        if inspect.isfunction(function) and not name.startswith("_"):
            yield f"{path}.{name}", function


def missing_sections(function: Function) -> list[str]:
    """List the sections that the docstring of a formula lacks.

    A check that returns nothing and a method of a record are no formulas.
    """
    gives_nothing = inspect.signature(function).return_annotation is None
    if gives_nothing or "." in function.__qualname__:
        return []
    text = inspect.getdoc(function) or ""
    return [
        name
        for name in ("Returns", "References")
        if not re.search(rf"^{name}\n-+\n\S", text, re.M)
    ]


def documented(function: Function) -> dict[str, str]:
    """Return the Parameters section: name to type and description."""
    text = inspect.getdoc(function) or ""
    section = re.search(
        r"^Parameters\n-+\n(.*?)(?=^\w[^\n]*\n-+$|\Z)", text, re.M | re.S
    )
    entries: dict[str, str] = {}
    names: list[str] = []
    for line in section[1].splitlines() if section else []:
        head = _ENTRY.fullmatch(line)
        if head:
            names = [name.strip(" *") for name in head["names"].split(",")]
            entries.update(dict.fromkeys(names, head["kind"]))
        else:
            entries.update({name: f"{entries[name]} {line.strip()}" for name in names})
    return entries


def faults(function: Function) -> list[str]:
    """List what the Parameters section of one function lacks.

    A function that takes no numbers, or only inches, may do without the section.
    """
    parameters = {
        name: parameter
        for name, parameter in inspect.signature(function).parameters.items()
        if name not in {"self", "cls"}
    }
    numbers = [
        name
        for name, parameter in parameters.items()
        if _NUMBER.search(inspect.formatannotation(parameter.annotation))
    ]
    entries = documented(function)
    inches_only = function.__module__.startswith(INCHES_ONLY)
    if not entries and (inches_only or not numbers):
        return []
    if set(entries) != set(parameters):
        return [f"documents {list(entries)}, takes {list(parameters)}"]
    return [
        f"{name} has no unit in brackets"
        for name in numbers
        if not _UNIT.search(entries[name])
    ]


@pytest.mark.parametrize("name", list(module_names()))
def test_every_number_has_its_unit(name: str) -> None:
    module = importlib.import_module(name)
    found = {path: faults(function) for path, function in public_functions(module)}
    assert {path: lacks for path, lacks in found.items() if lacks} == {}


@pytest.mark.parametrize("name", list(module_names()))
def test_every_formula_says_what_it_gives_and_where_it_is_from(name: str) -> None:
    module = importlib.import_module(name)
    lacking = {
        path: lacks
        for path, function in public_functions(module)
        if name.startswith(FORMULAS) and (lacks := missing_sections(function))
    }
    assert lacking == {}


@pytest.mark.parametrize("name", CHECKED)
def test_every_package_offers_functions(name: str) -> None:
    """A walk that finds nothing would pass in silence."""
    inside = [each for each in module_names() if each.startswith(name)]
    offered = [public_functions(importlib.import_module(each)) for each in inside]
    assert sum(len(list(functions)) for functions in offered) >= 8


def _good(length: float, *, count: int) -> None:
    """Do.

    Parameters
    ----------
    length : float
        Length [in].
    count : int
        Count.

    Returns
    -------
    None
    """


def _unitless(length: float) -> None:
    """Do.

    Parameters
    ----------
    length : float
        Length in inches.
    """


def _renamed(length: float) -> None:
    """Do.

    Parameters
    ----------
    size : float
        Length [in].
    """


def _bare(length: float) -> None:
    """Do."""


def _sourceless(length: float) -> float:
    """Do.

    Returns
    -------

    References
    ----------
    """
    return length


def _shared(low: float, high: float) -> None:
    """Do.

    Parameters
    ----------
    low, high : float
        Ends of the range,
        in order [in].

    Raises
    ------
    ValueError
        Never.
    """


def test_the_check_itself() -> None:
    assert faults(_good) == []
    assert faults(_shared) == []
    assert faults(_unitless) == ["length has no unit in brackets"]
    assert faults(_renamed) == ["documents ['size'], takes ['length']"]
    assert faults(_bare) == ["documents [], takes ['length']"]
    assert missing_sections(_good) == []
    assert missing_sections(_sourceless) == ["Returns", "References"]
