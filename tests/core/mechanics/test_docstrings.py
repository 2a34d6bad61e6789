"""Every formula says where it holds and shows an example.

Units and sources are held by tests/core/test_docstrings.py.
"""

import importlib
import inspect
import pkgutil
import re

import pytest

import core.mechanics

NAMES = [found.name for found in pkgutil.iter_modules(core.mechanics.__path__)]
FORMULAS = [
    pytest.param(function, id=f"{name}.{function.__name__}")
    for name in NAMES
    if name != "ranges"
    for function in vars(importlib.import_module(f"core.mechanics.{name}")).values()
    if inspect.isfunction(function)
    and function.__module__ == f"core.mechanics.{name}"
    and not function.__name__.startswith("_")
]


@pytest.mark.parametrize("function", FORMULAS)
@pytest.mark.parametrize("title", ["Notes", "Examples"])
def test_section_is_there(function, title):
    text = inspect.getdoc(function) or ""
    assert re.search(rf"^{title}\n-+\n\S", text, re.MULTILINE)
