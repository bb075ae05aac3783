"""Judging a clocking: how far apart the gaps are, and what each of them stands over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import combinations, pairwise
from typing import Final, Literal

from geometry.rings.angles import Arc, separation_deg, wrapped_deg
from geometry.rings.require import finite
from geometry.rings.schemes import RINGS_TURN_NOTE, ROLE_WORDS, ROLES, Scheme
from geometry.rings.source import LimitDeg, Source
from geometry.spec.rings import LEAST_SEPARATION_DEG

Rule = Literal["near", "expander_near_rail", "thrust_line", "pin_boss", "pocket", "expander_overlapped"]
Severity = Literal["stop", "look", "note"]

_TIGHT_DEG: Final = 1e-9
"""Rounding of angles that stand exactly on their limit; far below anything that can be set by hand."""

NEAR: Final = LimitDeg(
    LEAST_SEPARATION_DEG,
    Source(
        "the smallest distance between two ring gaps in the service manuals at hand: 45 degrees, rails of a "
        "two-piece oil ring, US Army TM 55-1905-221-14-3; as a limit for all gaps it is common practice, no "
        "source",
        "practice",
    ),
)
EXPANDER: Final = LimitDeg(
    30.0,
    Source("expander joint clear of the rail gaps: common practice, no source for the figure", "practice"),
)
THRUST: Final = LimitDeg(
    15.0,
    Source("no compression gap on a thrust face: from memory, no source for the figure", "memory"),
)
BOSS: Final = Source(
    "sources disagree whether gaps may stand over the pin bosses: common practice, no source", "practice"
)
POCKET: Final = Source("no valve pocket over the top ring's gap: common practice, no source", "practice")
OVERLAP: Final = Source(
    "expander ends butt and are never overlapped: US Army TM 55-1905-221-14-3", "published"
)


@dataclass(frozen=True, slots=True)
class ClockRules:
    """What a clocking must keep.

    Attributes
    ----------
    near : least distance between two ring gaps, centre to centre
    expander : least distance of the expander joint from a rail gap
    thrust : least distance from the thrust line, either side, of the rings in ``thrust_roles``
    thrust_roles, boss_roles, pocket_roles : rings that keep off the thrust line, the pin bosses, the valve
        pockets
    neighbours_only : keep only gaps of rings next to each other apart
    """

    near: LimitDeg = NEAR
    expander: LimitDeg = EXPANDER
    thrust: LimitDeg = THRUST
    thrust_roles: frozenset[str] = frozenset({"top", "second"})
    boss_roles: frozenset[str] = frozenset({"top", "second"})
    pocket_roles: frozenset[str] = frozenset({"top"})
    neighbours_only: bool = False


def rules_for(scheme: Scheme, near: LimitDeg = NEAR) -> ClockRules:
    """Give the rules that suit a scheme: what it does on purpose is not held against it."""
    usual = ClockRules()
    return ClockRules(
        near=near,
        boss_roles=usual.boss_roles - scheme.on_pin_axis,
        neighbours_only=scheme.neighbours_only,
    )


@dataclass(frozen=True, slots=True, eq=False)
class PistonPlaces:
    """What stands still on the piston while the gaps are turned.

    Attributes
    ----------
    thrust_deg : ring angle of the major thrust side
    bosses : pin bosses as the ring belt sees them
    pockets : valve pockets that come near the edge of the crown
    gap_deg : angle that each gap takes up, by ring; zero where not given
    """

    thrust_deg: float
    bosses: tuple[Arc, ...] = ()
    pockets: tuple[Arc, ...] = ()
    gap_deg: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ClockMargin:
    """One rule applied to one gap or pair of gaps.

    Attributes
    ----------
    rule : which rule
    roles : the ring, or the two rings
    place : what the gap keeps clear of, in words; empty for a pair
    value_deg : distance found, centre to centre; for a boss or pocket from the nearer end of the gap to its
        edge
    limit_deg : distance asked for
    source : where the limit comes from
    """

    rule: Rule
    roles: tuple[str, ...]
    place: str
    value_deg: float
    limit_deg: float
    source: Source

    @property
    def margin_deg(self) -> float:
        """How much further than asked for; below zero the rule is broken."""
        return self.value_deg - self.limit_deg

    @property
    def kept(self) -> bool:
        """Whether the rule is kept, the limit itself included."""
        return self.margin_deg >= -_TIGHT_DEG


@dataclass(frozen=True, slots=True)
class ClockFinding:
    """One thing to put right, or to know, about a clocking."""

    rule: Rule
    severity: Severity
    roles: tuple[str, ...]
    text: str
    remedy: str
    margin: ClockMargin | None
    source: Source

    @property
    def group(self) -> str:
        """What is wrong with which rings, as typed data: ``ring.near.top.second``."""
        return rule_group(self.rule, self.roles)


def rule_group(rule: str, roles: tuple[str, ...]) -> str:
    """The name of a rule broken by some rings, the same whoever tells of it."""
    return ".".join(("ring", rule, *roles))


@dataclass(frozen=True, slots=True)
class ClockVerdict:
    """A clocking, judged.

    Attributes
    ----------
    smallest_deg : smallest distance between two ring gaps, the expander joint left out; None with fewer than
        two
    smallest_pair : the rings of that pair
    margins : every rule applied, kept or not
    findings : what is wrong, worst first
    note : a reminder that rings turn in service
    """

    smallest_deg: float | None
    smallest_pair: tuple[str, str] | None
    margins: tuple[ClockMargin, ...]
    findings: tuple[ClockFinding, ...]
    note: str = RINGS_TURN_NOTE


@dataclass(frozen=True, slots=True)
class FixedPlace:
    """A place that a gap must keep clear of while the whole scheme is turned.

    Attributes
    ----------
    rule, role, label : which rule, which ring, and the place in words
    centre_deg : ring angle of the place
    half_deg : half of its width, the gap's own half width included
    limit_deg : distance to keep beyond that
    source : where the rule comes from
    """

    rule: Rule
    role: str
    label: str
    centre_deg: float
    half_deg: float
    limit_deg: float
    source: Source

    def margin(self, angle_deg: float) -> ClockMargin:
        """Apply the rule to a gap at this ring angle."""
        value = separation_deg(angle_deg, self.centre_deg) - self.half_deg
        return ClockMargin(self.rule, (self.role,), self.label, value, self.limit_deg, self.source)


def fixed_places(
    roles: Mapping[str, float], rules: ClockRules, places: PistonPlaces
) -> tuple[FixedPlace, ...]:
    """List every place that one of these rings must keep clear of.

    Parameters
    ----------
    roles : the rings, as keys
    rules : what must be kept
    places : the piston
    """
    opposite = wrapped_deg(places.thrust_deg + 180)
    lines = (("major thrust side", places.thrust_deg), ("minor thrust side", opposite))
    found = [
        FixedPlace("thrust_line", role, label, centre, 0.0, rules.thrust.deg, rules.thrust.source)
        for role in roles
        if role in rules.thrust_roles
        for label, centre in lines
    ]
    arcs: tuple[tuple[Rule, tuple[Arc, ...], frozenset[str], Source], ...] = (
        ("pin_boss", places.bosses, rules.boss_roles, BOSS),
        ("pocket", places.pockets, rules.pocket_roles, POCKET),
    )
    for rule, all_arcs, kept_by, source in arcs:
        for role in (role for role in roles if role in kept_by):
            half_gap = places.gap_deg.get(role, 0.0) / 2
            found += [
                FixedPlace(rule, role, arc.label, arc.centre_deg, arc.half_deg + half_gap, 0.0, source)
                for arc in all_arcs
            ]
    return tuple(found)


def pair_margins(angles_deg: Mapping[str, float], rules: ClockRules) -> tuple[ClockMargin, ...]:
    """Apply the rules between gaps; turning the whole scheme changes none of them.

    Parameters
    ----------
    angles_deg : ring angle per ring
    rules : what must be kept
    """
    rings = [role for role in ROLES if role in angles_deg and role != "expander"]
    pairs = pairwise(rings) if rules.neighbours_only else combinations(rings, 2)
    margins = [
        ClockMargin("near", pair, "", _apart(angles_deg, *pair), rules.near.deg, rules.near.source)
        for pair in pairs
    ]
    if "expander" in angles_deg:
        margins += [
            ClockMargin(
                "expander_near_rail", ("expander", rail), "", _apart(angles_deg, "expander", rail),
                rules.expander.deg, rules.expander.source,
            )
            for rail in ("upper_rail", "lower_rail")
            if rail in angles_deg
        ]  # fmt: skip
    return tuple(margins)


def _apart(angles_deg: Mapping[str, float], a: str, b: str) -> float:
    return separation_deg(angles_deg[a], angles_deg[b])


def judge(
    angles_deg: Mapping[str, float],
    rules: ClockRules,
    places: PistonPlaces,
    expander_overlapped: bool = False,
) -> ClockVerdict:
    """Judge a clocking, planned or as found.

    Parameters
    ----------
    angles_deg : ring angle per ring, degrees clockwise seen from above, 0 at the front; keys from ``ROLES``
    rules : what must be kept
    places : the piston that it is judged on
    expander_overlapped : whether the expander's ends lie over each other

    Returns
    -------
    Smallest separation and its pair, every margin, and the findings.

    Raises
    ------
    GeometryError : an angle that is no number
    """
    for role, angle in angles_deg.items():
        finite(f"clock.{role}", angle)
    fixed = fixed_places(angles_deg, rules, places)
    margins = (*pair_margins(angles_deg, rules), *(place.margin(angles_deg[place.role]) for place in fixed))
    findings = [_finding(margin, places.gap_deg) for margin in margins if not margin.kept]
    if expander_overlapped:
        findings.append(_overlapped())
    worst_first = sorted(findings, key=lambda finding: ("stop", "look", "note").index(finding.severity))
    pair = _closest_pair(angles_deg)
    return ClockVerdict(_apart(angles_deg, *pair) if pair else None, pair, margins, tuple(worst_first))


def _closest_pair(angles_deg: Mapping[str, float]) -> tuple[str, str] | None:
    rings = [role for role in ROLES if role in angles_deg and role != "expander"]
    return min(combinations(rings, 2), key=lambda pair: _apart(angles_deg, *pair), default=None)


def _overlapped() -> ClockFinding:
    return ClockFinding(
        "expander_overlapped",
        "stop",
        ("expander",),
        "The ends of the expander lie over each other: it is too short now, the rails hang loose and the "
        "engine burns oil.",
        "Take the rails off, let the ends butt, and look at the joint again after each rail is on.",
        None,
        OVERLAP,
    )


def _finding(margin: ClockMargin, gap_deg: Mapping[str, float]) -> ClockFinding:
    names = [ROLE_WORDS.get(role, role) for role in margin.roles]
    in_line = (
        margin.rule == "near" and margin.value_deg <= sum(gap_deg.get(role, 0.0) for role in margin.roles) / 2
    )
    severity: Severity = "look"
    if in_line:
        text = f"The gaps of {names[0]} and {names[1]} stand in line: a straight way through both."
        remedy, severity = "Turn one of them away.", "stop"
    elif margin.rule in ("near", "expander_near_rail"):
        text = (
            f"The gaps of {names[0]} and {names[1]} are {margin.value_deg:.0f} degrees apart; at least "
            f"{margin.limit_deg:.0f} is wanted."
        )
        remedy = "Turn one of them away."
    elif margin.rule == "thrust_line":
        text = (
            f"The gap of the {names[0]} is {margin.value_deg:.0f} degrees from the {margin.place}, where the "
            f"piston presses on the wall; at least {margin.limit_deg:.0f} is wanted."
        )
        remedy = "Turn the ring towards the pin axis."
    else:
        text = f"The gap of the {names[0]} stands at the {margin.place}."
        remedy = "Turn the ring until the gap is clear of it."
        severity = "note" if margin.rule == "pin_boss" else "look"
    return ClockFinding(margin.rule, severity, margin.roles, text, remedy, margin, margin.source)
