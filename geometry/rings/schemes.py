"""Clocking schemes as data: where the gap of every ring stands, and on whose word.

Trade sources differ, above all on the pin axis, which some use and others avoid; so several schemes are
offered and none is forced. All are worded here for this program.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal, get_args

from geometry.rings.angles import hand, wrapped_deg
from geometry.rings.source import Source

Role = Literal["top", "second", "upper_rail", "expander", "lower_rail"]
ROLES: Final[tuple[Role, ...]] = get_args(Role)
ROLE_WORDS: Final[dict[str, str]] = {
    "top": "top ring",
    "second": "second ring",
    "upper_rail": "upper rail",
    "expander": "expander joint",
    "lower_rail": "lower rail",
}

Datum = Literal["front", "thrust", "pin"]
Turning = Literal["with_thrust", "clockwise"]

RINGS_TURN_NOTE: Final = (
    "Rings creep round in their grooves while the engine runs, so the gaps do not stay where they were put. "
    "Clocking keeps them apart for assembly, for the first start and for the wait until the rings have "
    "bedded in; a gap found elsewhere at strip-down is no proof of bad work."
)


@dataclass(frozen=True, slots=True)
class Placement:
    """Where one gap stands.

    Attributes
    ----------
    datum : ``front`` mark, ``thrust`` side (major), or front end of the ``pin`` axis
    angle_deg : from the datum; which way round is for the scheme to say
    """

    datum: Datum
    angle_deg: float


@dataclass(frozen=True, slots=True, eq=False)
class Scheme:
    """A way to set the gaps.

    Attributes
    ----------
    key : the word in the engine file
    words : what it does, for the builder
    places : one placement per ring; a ring that the piston lacks is left out
    turning : ``with_thrust``: angles grow from the front by way of the major thrust side to the rear, so that
        an engine running the other way gets the mirror image; ``clockwise``: always clockwise seen from above
    source : whose practice it is
    on_pin_axis : rings whose gaps this scheme puts on the pin axis on purpose
    neighbours_only : whether only gaps of rings next to each other are kept apart
    """

    key: str
    words: str
    places: Mapping[str, Placement]
    turning: Turning
    source: Source
    on_pin_axis: frozenset[str] = field(default=frozenset())
    neighbours_only: bool = False


def resolve(scheme: Scheme, thrust_deg: float, roles: Collection[str] = ROLES) -> dict[str, float]:
    """Turn a scheme into ring angles for one piston.

    Parameters
    ----------
    scheme : where the gaps stand
    thrust_deg : ring angle of the major thrust side, 90 or 270
    roles : the rings that this piston has

    Returns
    -------
    Ring angle per ring, 0 to 360, in the order of ``ROLES``.

    Raises
    ------
    GeometryError : the thrust side is not square to the pin axis
    """
    thrust_hand = hand(thrust_deg)
    turn = thrust_hand if scheme.turning == "with_thrust" else 1
    start = {"front": 0.0, "pin": 0.0, "thrust": thrust_deg}
    return {
        role: wrapped_deg(start[scheme.places[role].datum] + turn * scheme.places[role].angle_deg)
        for role in ROLES
        if role in scheme.places and role in roles
    }


def own_scheme(datum: Datum, angles_deg: Mapping[str, float]) -> Scheme:
    """Make a scheme of the builder's own: ring angles from one datum, clockwise seen from above.

    Parameters
    ----------
    datum : what the angles count from
    angles_deg : per ring, degrees
    """
    placed = {role: Placement(datum, angle) for role, angle in angles_deg.items()}
    source = Source("written in the engine file", "stated")
    return Scheme("own", "the builder's own clocking", placed, "clockwise", source)


def _places(
    top_deg: float, second_deg: float, upper_deg: float, lower_deg: float, expander: Datum = "thrust"
) -> dict[str, Placement]:
    """Rings by their angles from the pin axis; the expander joint stands at its datum."""
    angles = {"top": top_deg, "second": second_deg, "upper_rail": upper_deg, "lower_rail": lower_deg}
    return {role: Placement("pin", deg) for role, deg in angles.items()} | {
        "expander": Placement(expander, 0)
    }


def _practice(what: str) -> Source:
    return Source(f"common practice, no source: {what}", "practice")


SCHEMES: Final[dict[str, Scheme]] = {
    scheme.key: scheme
    for scheme in (
        Scheme(
            "thirds",
            "The two rails on the pin axis, one at each end; the expander joint on the thrust side; the "
            "second ring a third of a turn from the upper rail, the top ring a third of a turn further.",
            _places(240, 120, 0, 180),
            "with_thrust",
            Source(
                "a maker's 2002 service manual, ring gap orientation; on which side the second ring and the "
                "expander stand is in a figure that was not seen, and the thrust side is assumed here",
                "published",
            ),
            on_pin_axis=frozenset({"upper_rail", "lower_rail"}),
        ),
        Scheme(
            "opposed",
            "Top and second ring half a turn apart, 30 degrees off the pin axis; the rails half a turn apart "
            "on the other diagonal; the expander joint on the thrust side.",
            _places(30, 210, -30, 150),
            "with_thrust",
            _practice("compression gaps opposed, clear of the pin bosses and of the thrust faces"),
        ),
        Scheme(
            "quarters",
            "Four gaps a quarter of a turn from each other, each midway between pin axis and thrust line: "
            "top and second ring opposed, the rails opposed; the expander joint on the thrust side.",
            _places(315, 135, 45, 225),
            "with_thrust",
            _practice("four gaps evenly spread, none on the thrust line or the pin axis"),
        ),
        Scheme(
            "alternating",
            "Every gap on the pin axis, front and rear in turn from the top ring down; the expander joint a "
            "quarter of a turn away, on the thrust side.",
            _places(0, 180, 0, 180),
            "with_thrust",
            Source(
                "US Army TM 5-3825-225-14&P for the alternation along the pin axis; a piston maker's "
                "installation sheet for the expander joint, about 90 degrees from the pin axis",
                "published",
            ),
            on_pin_axis=frozenset({"top", "second", "upper_rail", "lower_rail"}),
            neighbours_only=True,
        ),
        Scheme(
            "two_piece_oil",
            "Upper oil rail opposite the expander joint, lower rail 45 degrees from the upper; top and "
            "second ring a third of a turn apart on the other side, clear of both.",
            _places(300, 60, 180, 135, "pin"),
            "with_thrust",
            Source(
                "US Army TM 55-1905-221-14-3 for expander and rails; it only says that the compression gaps "
                "are staggered, and where they and the whole stand on the piston is chosen here",
                "published",
            ),
            on_pin_axis=frozenset({"upper_rail", "expander"}),
        ),
    )
}  # fmt: skip
"""Shipped schemes, by the word in the engine file."""
