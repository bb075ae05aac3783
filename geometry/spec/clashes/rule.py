"""What a rule is, and the shares of a size that no engine comes near."""

from __future__ import annotations

from typing import Final, TypeAlias

Rule: TypeAlias = tuple[str, bool, str, str]
"""Key as the user writes it (arrays from 0), whether it is broken, what is wrong, what would be right."""

MOST_CLEARANCE: Final = 0.02
"""Clearances of piston and bearing, and ovality, as a share of the diameter: twenty times the usual thousandth."""
