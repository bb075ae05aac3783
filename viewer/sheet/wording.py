"""The words of the build sheet: one file, by page and key."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def _all() -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = tomllib.loads(
        files("viewer.sheet").joinpath("words.toml").read_text(encoding="utf-8")
    )
    return found


def say(page: str, key: str, **values: Any) -> str:
    """Words of the sheet with values filled in.

    Raises
    ------
    KeyError
        No such words, or a value that they name is not given: a mistake in the program.
    """
    return _all()[page][key].format(**values)
