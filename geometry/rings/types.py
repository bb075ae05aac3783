"""Ring types by the terms of ISO 6621-1: which side is up, why, and what happens when it is not.

The terms are those of the standard; the single definitions behind them, and the usual use of each type, are
from memory. Whether a section is the same both ways up, and which way it twists, is not written down here but
worked out from its outline.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, get_args

import numpy as np

from geometry.rings.section import outline, twist_ratio, upside_down
from geometry.rings.source import Source
from geometry.spec.rings import Face, Inside

Mark = Literal["none", "dot", "word"]
Twist = Literal["positive", "negative", "none"]
SideUp = Literal["either", "mark", "section"]

TERMS_SOURCE: Final = Source(
    "terms of ISO 6621-1, letters of ISO 6622-1; the single definitions are from memory, not from the text",
    "memory",
)

_NO_TWIST: Final = 0.01
"""Below this ratio the twist is lost in the clearance of the groove: a taper face alone stays below it."""

_HEIGHT_MM, _WALL_MM = 1.5, 4.0
"""A usual ring, for telling which way a type twists. Only where a hook or a sloping flank pulls one way and a
lower inner bevel or step the other does the sign depend on the proportions."""


@dataclass(frozen=True, slots=True)
class SectionFeature:
    """What makes one running face, or one inner edge, what it is.

    Attributes
    ----------
    term : the standard's term, with its letter where there is one
    is_it : what it looks like, from memory
    up : how to tell the upper side without a mark; empty where both are alike
    why : what the right way up is for; empty where both are alike
    wrong : what happens upside down; empty where both are alike
    """

    term: str
    is_it: str
    up: str = ""
    why: str = ""
    wrong: str = ""


_SCRAPES_DOWN: Final = "the lower edge scrapes oil down and slides over it on the way up"
_PUMPS_OIL: Final = (
    "The scraping edge points up: every up-stroke carries oil to the chamber; the engine smokes."
)
_HOOK: Final = (
    "the hook faces down, away from the crown",
    "the hook scrapes oil down and gives it room under the edge",
    "The hook faces up, catches oil and carries it to the chamber with every up-stroke; the engine smokes at once.",
)

FACE_FEATURES: Final[dict[Face, SectionFeature]] = {
    "rectangular": SectionFeature(
        "straight-faced rectangular ring (R)", "a plain rectangle with a flat face"
    ),
    "barrel": SectionFeature("barrel-faced rectangular ring (B)", "a face rounded the same above and below"),
    "barrel_asymmetric": SectionFeature(
        "asymmetrical barrel-faced rectangular ring (BA)",
        "a rounded face whose highest line lies below the middle",
        "the bright running line lies nearer the lower side",
        "the oil film carries the ring over the oil on the way up and lets it wipe on the way down",
        "The running line sits high: the ring wipes oil upward and the engine uses oil.",
    ),
    "taper": SectionFeature(
        "taper-faced rectangular ring (M)",
        "a face leaning about one degree, the lower edge standing out",
        "the sharp edge that stands out is the lower one",
        _SCRAPES_DOWN,
        _PUMPS_OIL,
    ),
    "napier": SectionFeature(
        "Napier ring (undercut step)",
        "a hook under the face: a recess with an undercut edge at the lower side",
        *_HOOK,
    ),
    "taper_napier": SectionFeature(
        "taper-faced Napier ring (undercut step)",
        "a leaning face over a hook at the lower side",
        *_HOOK,
    ),
    "scraper": SectionFeature(
        "scraper ring (stepped)",
        "a square step out of the lower edge of the face",
        "the step faces down, away from the crown",
        _SCRAPES_DOWN,
        _PUMPS_OIL,
    ),
    "keystone": SectionFeature(
        "keystone ring", "both flanks slope, so that the ring frees itself of carbon in its groove"
    ),
    "half_keystone": SectionFeature(
        "half keystone ring",
        "the upper flank slopes, the lower one is square",
        "the sloping flank faces up",
        "the square flank seals on the bottom of the groove, the sloping one shakes carbon off",
        "The slope lies on the flat bottom of the groove and wedges in the sloping top: the ring cannot seat "
        "and may stick.",
    ),
}

INSIDE_FEATURES: Final[dict[Inside, SectionFeature]] = {
    "plain": SectionFeature("plain inner edge", "a square inner edge"),
    "bevel_top": SectionFeature(
        "internal bevel, top side",
        "a bevel round the upper inner edge",
        "the bevel faces up, towards the crown",
    ),
    "bevel_bottom": SectionFeature(
        "internal bevel, bottom side",
        "a bevel round the lower inner edge",
        "the bevel faces down, away from the crown",
    ),
    "step_top": SectionFeature(
        "internal step, top side",
        "a step round the upper inner edge",
        "the step faces up, towards the crown",
    ),
    "step_bottom": SectionFeature(
        "internal step, bottom side",
        "a step round the lower inner edge",
        "the step faces down, away from the crown",
    ),
}


_TWIST_WHY: Final[dict[Twist, str]] = {
    "positive": "in the bore it twists and its lower edge touches the wall, until gas pressure lays it flat",
    "negative": "in the bore it twists and closes the groove below at its outer, above at its inner edge",
    "none": "",
}
_TWIST_WRONG: Final[dict[Twist, str]] = {
    "positive": "It twists the wrong way: its upper edge touches the wall and wipes oil up.",
    "negative": "It twists the wrong way: oil gets behind it in the groove and is pumped up past it.",
    "none": "",
}


@dataclass(frozen=True, slots=True)
class WayUp:
    """All that a builder asks about one ring before it goes on.

    Attributes
    ----------
    term : the standard's terms for it
    is_it : what it looks like
    symmetric : whether the section is the same both ways up
    side_up : decided by nothing (``either``), by the ``mark``, or by the ``section`` where there is no mark
    how : how to put it, in one sentence
    why : why; empty where it does not matter
    twist, twist_upside_down : which way it leans in the bore, fitted right and fitted wrong
    upside_down : what happens when it is fitted upside down
    source : where the terms come from
    """

    term: str
    is_it: str
    symmetric: bool
    side_up: SideUp
    how: str
    why: str
    twist: Twist
    twist_upside_down: Twist
    upside_down: str
    source: Source


def is_symmetric(face: Face, inside: Inside) -> bool:
    """Tell from the outline whether a ring is the same both ways up."""
    right = outline(face, inside, _HEIGHT_MM, _WALL_MM)
    over = upside_down(right, _HEIGHT_MM)
    nearest = np.abs(right[:, None, :] - over[None, :, :]).max(axis=2).min(axis=1)
    return bool(nearest.max() < 1e-9)


def twist_of(face: Face, inside: Inside, fitted_right: bool = True) -> Twist:
    """Tell from the outline which way a ring leans when it is closed into the bore.

    Parameters
    ----------
    face, inside : running face and inner edge
    fitted_right : False for a ring fitted upside down

    Returns
    -------
    ``positive``: the lower edge of the face presses on the wall; ``negative``: the upper one; ``none``.
    """
    section = outline(face, inside, _HEIGHT_MM, _WALL_MM)
    ratio = twist_ratio(section if fitted_right else upside_down(section, _HEIGHT_MM))
    if abs(ratio) < _NO_TWIST:
        return "none"
    return "positive" if ratio > 0 else "negative"


def way_up(face: Face, inside: Inside, mark: Mark = "none") -> WayUp:
    """Say which side of a ring is up.

    Parameters
    ----------
    face, inside : running face and inner edge
    mark : a dot, or a word such as TOP, on one side; or none
    """
    same, twist = is_symmetric(face, inside), twist_of(face, inside)
    features = [FACE_FEATURES[face]] + ([INSIDE_FEATURES[inside]] if inside != "plain" else [])
    tells = [feature.up for feature in features if feature.up]
    side_up: SideUp = "mark" if mark != "none" else "either" if same else "section"
    return WayUp(
        term=", ".join(feature.term for feature in features),
        is_it="; ".join(feature.is_it for feature in features),
        symmetric=same,
        side_up=side_up,
        how=_how(side_up, mark, tells),
        why="; ".join(filter(None, (FACE_FEATURES[face].why, _TWIST_WHY[twist]))) or _mark_only(mark),
        twist=twist,
        twist_upside_down=twist_of(face, inside, fitted_right=False),
        upside_down=" ".join(filter(None, (FACE_FEATURES[face].wrong, _TWIST_WRONG[twist])))
        or _harmless(mark),
        source=TERMS_SOURCE,
    )


def _how(side_up: SideUp, mark: Mark, tells: list[str]) -> str:
    if side_up == "either":
        return "Either way up."
    seen = "; ".join(tells)
    if side_up == "section":
        return f"No mark: {seen}."
    marked = (
        "The dot goes up, towards the crown" if mark == "dot" else "The word (TOP) goes up, towards the crown"
    )
    return f"{marked}; {seen}." if seen else f"{marked}."


def _mark_only(mark: Mark) -> str:
    return (
        "the maker marks a side, and a difference too small to see may be behind it" if mark != "none" else ""
    )


def _harmless(mark: Mark) -> str:
    if mark == "none":
        return "Nothing: both sides are alike."
    return (
        "The section looks alike both ways up, but the maker's mark says that it is not: turn the ring over."
    )


OIL_RING_WORDS: Final[dict[str, SectionFeature]] = {
    "three_piece": SectionFeature(
        "expander/segment oil-control ring",
        "two steel rails held apart and pressed out by an expander",
        "",
        "rails go either way up unless marked; the expander's ends butt, both of them in sight",
        "Expander ends that lie over each other leave the rails without pressure: the engine burns oil from "
        "the start.",
    ),
    "slotted": SectionFeature(
        "slotted oil-control ring",
        "one piece with two lands and drain slots between them",
        "",
        "the same both ways up unless bevelled lands or a mark say otherwise: bevels towards the crown",
        "With bevelled lands upside down the ring rides over the oil going down and wipes it up.",
    ),
}
"""Oil rings of more or fewer pieces, in the same words; which bevels go up is from memory."""

if set(FACE_FEATURES) != set(get_args(Face)) or set(INSIDE_FEATURES) != set(get_args(Inside)):
    raise AssertionError("every running face and inner edge needs its words")
