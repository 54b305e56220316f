"""The examples in the docstrings of this room run."""

import doctest
import importlib
import pkgutil

import pytest

import db

MODULES = sorted(module.name for module in pkgutil.walk_packages(db.__path__, "db."))


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_hold(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0
