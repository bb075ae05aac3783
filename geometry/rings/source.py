"""Where a figure comes from, and how far it can be trusted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Certainty = Literal["published", "secondary", "derived", "memory", "practice", "illustrative", "stated"]
"""How the figure is known.

``published`` read in the named text; ``secondary`` read where somebody quotes the named text; ``derived``
worked out by formula; ``memory`` not confirmed by any text; ``practice`` common in the trade, no source;
``illustrative`` made up to be edited; ``stated`` given by the builder or the maker of this very part.
"""


@dataclass(frozen=True, slots=True)
class Source:
    """The origin of a figure, in words for the person who asks why.

    Attributes
    ----------
    text : what it is and where it comes from
    certainty : how it is known
    """

    text: str
    certainty: Certainty

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class LimitDeg:
    """A limit on an angle with its origin.

    Attributes
    ----------
    deg : the limit, degrees
    source : where it comes from
    """

    deg: float
    source: Source
