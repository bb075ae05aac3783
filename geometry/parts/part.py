"""What every part file gives: parts, the bodies made of them, and the registry that finds both.

To add a part: one file in ``geometry/parts`` with ``PART = PartType("name", bodies)`` at its end, where
``bodies(spec, layout, built)`` lists where the part stands; and one test file of the same name.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import Final

import geometry.parts
from geometry.arrays import Array
from geometry.built import Built
from geometry.errors import PartError
from geometry.feature import Feature, Fit, Group
from geometry.kinematics.layout import Layout
from geometry.registry import registered
from geometry.solids import IDENTITY, Mesh
from geometry.spec.engine import Engine

DENSITY_KG_M3: Final[dict[str, float]] = {
    "cast_iron": 7200.0, "ductile_iron": 7100.0, "steel": 7850.0, "aluminium": 2700.0, "cast_aluminium": 2690.0,
    "forged_aluminium": 2750.0, "bearing_metal": 8000.0, "gasket": 2000.0,
}  # fmt: skip
"""Usual densities, from memory. Bearing shells are steel with a thin lining, hence little above steel; the gasket is a
faced composite, roughly."""


@dataclass(frozen=True, eq=False)
class Part:
    """One solid part in its own frame.

    Attributes
    ----------
    kind : the part type in the trade's words, ``piston``, ``rod``, ``rod_cap``, ``crank``, ``block`` ...
    material : ``cast_iron``, ``steel``, ``aluminium``, ``bearing_metal``, ``gasket``: how it looks
    features : the exact convex pieces, by the place a builder would name
    build_mesh : makes the mesh for the eye; called once, on first use
    made_of : what it weighs by, a key of ``DENSITY_KG_M3``, where that is not how it looks
    """

    kind: str
    material: str
    features: tuple[Feature, ...]
    build_mesh: Callable[[], Mesh] = field(repr=False)
    made_of: str = ""

    @property
    def density_kg_m3(self) -> float:
        """For mass properties."""
        return DENSITY_KG_M3[self.made_of or self.material]

    @cached_property
    def mesh(self) -> Mesh:
        """The surface for the eye and for exchange, watertight, in the part's own frame."""
        return self.build_mesh()


@dataclass(frozen=True, eq=False)
class Body:
    """A part standing somewhere in the engine.

    Attributes
    ----------
    name : unique, such as ``rod_bolt 3 outer`` or ``crank``
    part : equal parts share one object
    frame : the frame it rides on: ``E`` (fixed), ``C`` (crank), ``cam``, ``P<bore>``, ``R<bore>``, ``V<bore>.<valve>``
    X_FA : (4, 4) pose of the part's frame A in that frame
    bore : the builder's number, None for parts that belong to no bore
    main : number of the main bearing from the front, None for parts that belong to none
    """

    name: str
    part: Part
    frame: str
    X_FA: Array = field(default_factory=lambda: IDENTITY)
    bore: int | None = None
    main: int | None = None

    def number_of(self, fit: Fit) -> int | None:
        """Which of several running fits of a kind is this body's own."""
        return self.main if fit is Fit.MAIN_BEARING else self.bore


Bodies = Callable[[Engine, Layout, Built], Sequence[Body]]


@dataclass(frozen=True, slots=True)
class PartType:
    """A kind of part and how to place it in an engine."""

    name: str
    bodies: Bodies

    def placed(self, spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
        """The bodies of this kind in an engine, each of their features complete.

        Raises
        ------
        PartError
            When a feature leaves out what decides about its clearances, or two of a body bear one name, so that
            an answer about one could be taken for the other's; names the part file.
        """
        found = self.bodies(spec, layout, built)
        for body in found:
            named = Counter((feature.name, feature.place, feature.part) for feature in body.part.features)
            if not named:
                raise self.lacks(f"body {body.name!r} has no features: nothing would be held against it")
            for feature in body.part.features:
                lack = _lack(body, feature)
                if named[feature.name, feature.place, feature.part] > 1:
                    lack = (
                        f"stands more than once at the place {feature.place!r}; give each a place of its own"
                    )
                if lack:
                    raise self.lacks(f"feature {feature.name!r} {lack}")
        return found

    def lacks(self, what: str) -> PartError:
        """What its file leaves out, in one line that names the file."""
        return PartError(f"{self.bodies.__module__.replace('.', '/')}.py: {what}")


def _lack(body: Body, feature: Feature) -> str:
    """What a feature leaves out; empty when it is complete."""
    if not isinstance(feature.group, Group):
        known = ", ".join(group.name for group in Group)
        said = "no group" if feature.group is None else f"the unknown group {feature.group!r}"
        return f"has {said}; give it group=Group.<one of {known}>"
    if not feature.pieces:
        return "has no pieces; give it exact convex pieces (geometry/solids.py) that cover its mesh"
    if feature.group in (Group.RING, Group.SHELL) and not feature.runs_in:
        return f"is a {feature.group.value} that runs in nothing; say in what by runs_in"
    for seat in feature.runs_in | feature.seat_of:
        if seat.number is None and body.number_of(seat.fit) is None:
            return f"leaves open which {seat.fit.name} is meant; number it, or give its body {body.name!r} a number"
    return ""


@cache
def part_types() -> tuple[PartType, ...]:
    """Every part type in the folder, by name."""
    found = registered(geometry.parts, "PART", PartType, lambda part: part.name)
    return tuple(found[name] for name in sorted(found))
