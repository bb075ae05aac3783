"""The value most likely at fault, put before all that the rules say of those that do not go with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from geometry.doubt import read_doubtful
from geometry.errors import Problem
from geometry.spec.locate import Path, line_of, lines_of_keys, read_written
from geometry.spec.plausible import suspect
from geometry.units import System, UnitError


def most_likely_first(
    problems: Sequence[Problem], data: dict[str, Any], file: str, text: str, system: System
) -> list[Problem]:
    """The problems of an engine file, and before them the value that is far from the usual, where there is one.

    A wrong size is blamed by the rules on all that it does not go with; where the rules themselves name it, they are
    put first and say what may have been meant.

    Parameters
    ----------
    problems : what the rules say
    data, file, text : the file as read, its name, and its text
    system : the units that it is written in
    """
    found = suspect(data)
    if found is None:
        return list(problems)
    steps = tuple(step - 1 if isinstance(step, int) else step for step in read_written(found.key) or ())
    written = _text_at(data, steps)
    try:
        read_doubtful(written, found.dimension)
    except UnitError:  # it was only guessed at
        return list(problems)
    right = found.right(system, written)
    own = [problem for problem in problems if problem.key == found.key]
    rest = [problem for problem in problems if problem.key != found.key]
    if own:
        return [replace(one, right=f"{one.right}; {right}" if one.right else right) for one in own] + rest
    line = line_of(steps, lines_of_keys(text))
    return [Problem(file, line, found.key, found.what(system, written), right), *rest]


def _text_at(data: Any, path: Path) -> str:
    """What stands in the data at a path; empty where it is no text, or where nothing stands."""
    for step in path:
        if isinstance(data, list) and isinstance(step, int) and step < len(data):
            data = data[step]
        else:
            data = data.get(step) if isinstance(data, dict) else None
    return data if isinstance(data, str) else ""
