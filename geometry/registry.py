"""How a new file becomes a new part, check or mistake: every module of a folder is asked for what it registers."""

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
    """What the modules of a folder register under one attribute, by name, in the order of the modules.

    Two of one name stop the program: that is a slip of ours, not of the user's.
    """
    found: dict[str, T] = {}
    for module in sorted(entry.name for entry in pkgutil.iter_modules(package.__path__)):
        entry = getattr(importlib.import_module(f"{package.__name__}.{module}"), attribute, None)
        if entry is None:
            continue
        assert isinstance(entry, kind), f"{module}.{attribute} is no {kind.__name__}"
        assert name_of(entry) not in found, f"two {kind.__name__}s are called {name_of(entry)}"
        found[name_of(entry)] = entry
    return found
