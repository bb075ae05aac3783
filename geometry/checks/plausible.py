"""Whether the sizes of an engine are usual beside each other: one line on the value most likely at fault."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from geometry.checks.section import Finding, Section
from geometry.spec.described import Described
from geometry.spec.plausible import suspect
from geometry.spec.suspect import Suspect
from geometry.units import System


def with_implausible(sections: Sequence[Section], described: Described, system: System) -> list[Section]:
    """The sections with that line in the first of them, which is that of the whole engine where that can be had."""
    found = implausible(described, system)
    if not found or not sections:
        return list(sections)
    first, *rest = sections
    return [replace(first, findings=(*found, *first.findings)), *rest]


def implausible(described: Described, system: System) -> tuple[Finding, ...]:
    """The finding that names that value; none where all are usual."""
    found = suspect_of(described)
    if found is None:
        return ()
    text = f"{found.key} {found.what(system)} (proportions of this project's engines, no source)"
    remedy = found.right(system)
    return (
        Finding("implausible", "look", None, text, remedy if found.slip else f"measure it again: {remedy}"),
    )


def suspect_of(described: Described) -> Suspect | None:
    """The value most likely at fault; what was filled in by proportion is neither suspected nor a witness."""
    data = described.spec.model_dump(by_alias=True, exclude_unset=True)
    for value in described.values:
        if value.origin == "filled":
            holder: Any = data
            for step in value.path[:-1]:
                holder = holder[step]
            if isinstance(holder, dict):
                holder.pop(value.path[-1], None)
    return suspect(data)
