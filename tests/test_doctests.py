"""The examples in docstrings are true."""

import doctest
import importlib
import pkgutil

import pytest

import exercises
import geokit

MODULES = [
    module.name
    for package in (exercises, geokit)
    for module in pkgutil.walk_packages(package.__path__, package.__name__ + ".")
    if not module.name.endswith(("__main__", "conftest"))
]


@pytest.mark.parametrize("name", MODULES)
def test_examples(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_some_examples_were_found():
    finder = doctest.DocTestFinder()
    found = [
        test
        for name in MODULES
        for test in finder.find(importlib.import_module(name))
        if test.examples
    ]
    assert found
