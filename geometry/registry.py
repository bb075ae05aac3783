"""How a new file becomes a new part, check or mistake: every module below a folder is asked for what it registers."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from types import ModuleType
from typing import TypeVar

T = TypeVar("T")


def registered(
    package: ModuleType, attribute: str, kind: type[T], name_of: Callable[[T], str]
) -> dict[str, T]:
    """What the modules below a folder register under one attribute, by name, in the order of the modules' own names.

    Parameters
    ----------
    package : the folder; folders in it are searched too
    attribute : what a module calls the thing that it registers, such as ``PART``; one without it registers nothing
    kind : what that must be
    name_of : its name

    Raises
    ------
    AssertionError
        When it is of another kind, or two are of one name: a slip of ours, not of the user's.
    """
    found: dict[str, T] = {}
    modules = (each.name for each in pkgutil.walk_packages(package.__path__, package.__name__ + "."))
    for module in sorted(modules, key=lambda name: name.rpartition(".")[2]):
        entry = getattr(importlib.import_module(module), attribute, None)
        if entry is None:
            continue
        assert isinstance(entry, kind), f"{module}.{attribute} is not a {kind.__name__}"
        assert name_of(entry) not in found, f"two {kind.__name__}s are called {name_of(entry)}"
        found[name_of(entry)] = entry
    return found
