"""An engine with other values: what it takes to try a change of the engine file, and what else the change would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any, Final, TypeAlias

import numpy as np
from pydantic import ValidationError

from geometry.assembly import Assembly, assemble
from geometry.built import built_linkage
from geometry.checks.departures import Departure, put_right
from geometry.checks.section import Finding, checks
from geometry.clearance.full_turn import FullTurn, Near
from geometry.clearance.limits import limit_for
from geometry.clearance.pairs import Pair, law_of, over_crowns, placed, places
from geometry.clearance.place import Place
from geometry.clearance.words import ordered, place_words
from geometry.collision.certify import TOLERANCE_MM, Memory, certify_all
from geometry.collision.distance_curve import distance_curve
from geometry.collision.mover import Mover
from geometry.errors import GeometryError, InputError
from geometry.kinematics.layout import build_layout
from geometry.parts.part import Body, part_types
from geometry.solids import Piece
from geometry.spec.engine import Engine
from geometry.spec.load import apply_overrides
from geometry.spec.locate import read_written
from geometry.spec.refusals import problems_of
from geometry.units import System, show_fine

CLEAR_MM: Final = 2.0
"""Beyond its limit by so much, how far no longer matters to a search."""
WORSE_MM: Final = 0.02
"""What another clearance that misses its limit already may lose before that is said."""
STANDING: Final = frozenset({"block", "head", "gasket"})
STANDING_KEYS: Final = ("block.", "gasket.", "head.", "cam.")
"""Part types that take long to build, and the tables of the engine file that shape them."""

Name: TypeAlias = tuple[str, str, str]
"""Body, feature and place: the same in a changed engine."""


class TrialRefused(Exception):
    """Why a change cannot be made, is not enough, or does harm."""


@dataclass(eq=False)
class Trials:
    """Where changes to one engine are tried; what was built and certified once is kept.

    Attributes
    ----------
    assembly, turn : the engine, and all its clearances as certified
    system : units of the words
    memory : of the certificates of ``turn``
    """

    assembly: Assembly
    turn: FullTurn
    system: System
    memory: Memory
    _tried: dict[tuple[tuple[str, str], ...], Assembly] = field(default_factory=dict)
    _right: dict[tuple[Departure, ...], Assembly] = field(default_factory=dict)
    _places: dict[Assembly, dict[Name, Mover | None]] = field(default_factory=dict)
    _crowns: dict[Assembly, dict[tuple[Name, Name], Pair]] = field(default_factory=dict)

    @cached_property
    def _data(self) -> dict[str, Any]:
        return self.assembly.spec.model_dump(by_alias=True, exclude_none=True)

    @cached_property
    def _said(self) -> set[tuple[str, str, int | None]]:
        return {(f.id, f.severity, f.bore) for f in _findings(self.assembly, self.system)}

    def value(self, key: str) -> Any:
        """What the engine has under a key, mm; None where the file leaves it out."""
        found: Any = self._data
        for step in read_written(key) or ():
            try:
                found = found[step - 1 if isinstance(step, int) else step]
            except (KeyError, IndexError):
                return None
        return found

    def trial(self, settings: Mapping[str, str]) -> Assembly:
        """The engine with other values; what stands still is built anew only where they shape it.

        Raises
        ------
        Refused
            The parts cannot be so.
        """
        key = tuple(settings.items())
        if key not in self._tried:
            self._tried[key] = self._built(self._spec(settings), settings)
        return self._tried[key]

    def as_put_right(self, wrong: tuple[Departure, ...]) -> Assembly:
        """The engine with some departures from the design put right.

        Raises
        ------
        TrialRefused
            The parts cannot be so.
        """
        if wrong not in self._right:
            built = put_right(self.assembly.built, wrong)
            try:
                self._right[wrong] = assemble(self.assembly.spec, built)
            except GeometryError as bad:
                raise TrialRefused(bad.what) from None
        return self._right[wrong]

    def _spec(self, settings: Mapping[str, str]) -> Engine:
        data = deepcopy(self._data)
        try:
            apply_overrides(Engine, data, settings)
            return Engine.model_validate(data)
        except InputError as bad:
            raise TrialRefused(bad.problems[0].what) from None
        except ValidationError as bad:
            raise TrialRefused(problems_of(bad, Engine, data, "", {}, self.system)[0].what) from None

    def _built(self, spec: Engine, settings: Mapping[str, str]) -> Assembly:
        try:
            layout, built = build_layout(spec), self.assembly.built
            anew = any(key.startswith(STANDING_KEYS) for key in settings)
            anew = anew or layout.main_x_mm != self.assembly.layout.main_x_mm
            bodies: dict[str, Body] = {body.name: body for body in self.assembly.bodies}
            for kind in part_types():
                if anew or kind.name not in STANDING:
                    bodies.update({body.name: body for body in kind.bodies(spec, layout, built)})
            if all(key.startswith(STANDING_KEYS) for key in settings):
                # parts that move are the same ones: what was worked out from their meshes is kept with them
                bodies.update({b.name: b for b in self.assembly.bodies if _same_body(b, bodies[b.name])})
            return Assembly(spec, layout, built, built_linkage(layout, built), tuple(bodies.values()))
        except GeometryError as bad:
            raise TrialRefused(bad.what) from None

    def least_mm(self, pair: Pair) -> float:
        """The limit that a pair is held to."""
        return limit_for(self.assembly.spec, pair.limit).least_mm

    def margin_mm(
        self, assembly: Assembly, pairs: Sequence[Pair], tolerance_mm: float, clear_mm: float = CLEAR_MM
    ) -> float:
        """Proved least distance less limit of some pairs in a changed engine, the least of all.

        How far beyond ``clear_mm`` it lies is not told.
        """
        found = (margin for _, margin in self._margins(assembly, pairs, tolerance_mm, clear_mm))
        return min(found, default=clear_mm)

    def _margins(
        self, assembly: Assembly, pairs: Sequence[Pair], tolerance_mm: float, clear_mm: float
    ) -> list[tuple[Pair, float]]:
        far = max((self.least_mm(pair) for pair in pairs), default=0.0) + clear_mm
        there = [(pair, self._movers(assembly, pair)) for pair in pairs]
        asked = [(pair, movers) for pair, movers in there if movers is not None]
        found = certify_all(
            [movers for _, movers in asked],
            [pair.period_deg for pair, _ in asked],
            tolerance_mm,
            far,
            self.memory,
            floors_only=True,
        )
        return [(pair, a.floor_mm - self.least_mm(pair)) for (pair, _), a in zip(asked, found, strict=True)]

    def still_mm(self, assembly: Assembly, near: Near) -> float:
        """Distance less limit of a pair in a changed engine, at the one angle at which it was nearest.

        One angle does not prove that a change is enough, but it can prove that it is not.
        """
        movers = self._movers(assembly, near.pair)
        if movers is None:
            return CLEAR_MM
        there = distance_curve(*movers, near.approach.crank_deg, TOLERANCE_MM).distance_mm
        return float(there[0]) - self.least_mm(near.pair)

    def _movers(self, assembly: Assembly, pair: Pair) -> tuple[Mover, Mover] | None:
        """The two places as they are in a changed engine; None where one is gone."""
        if not all(_own_feature(place) for place in (pair.a, pair.b)):
            there = self._crowns_of(assembly).get(_names(pair))
            return None if there is None else (there.a, there.b)
        known = self._places.setdefault(assembly, {})
        found = []
        for place, name in zip((pair.a, pair.b), _names(pair), strict=True):
            if name not in known:
                known[name] = _mover(assembly, place)
            found.append(known[name])
        a, b = found
        return None if a is None or b is None else (a, b)

    def _crowns_of(self, assembly: Assembly) -> dict[tuple[Name, Name], Pair]:
        """The valves of a changed engine with what stands in for the crowns under them."""
        if assembly not in self._crowns:
            bodies = [body for body in assembly.bodies if body.frame[0] in "PV"]
            pairs = over_crowns(assembly, places(assembly, bodies))
            self._crowns[assembly] = {_names(pair): pair for pair in pairs}
        return self._crowns[assembly]

    def altered(self, assembly: Assembly, pair: Pair) -> bool:
        """Whether either place of a pair has another shape or another path in a changed engine."""
        movers = self._movers(assembly, pair)
        return movers is None or not (_same(movers[0], pair.a) and _same(movers[1], pair.b))

    def harm(self, whole: Assembly, pairs: Sequence[Pair], moved_mm: float) -> str:
        """What else is to be looked at with a change that was made for some pairs, in words.

        Parameters
        ----------
        whole : the changed engine
        moved_mm : how far the change moves a surface

        Raises
        ------
        Refused
            It brings something else past its limit.
        """
        mine = {_names(pair) for pair in pairs}
        had = {_names(n.pair): n.approach.floor_mm - self.least_mm(n.pair) for n in self.turn.near}
        for pair, margin in self._margins(
            whole, self._altered(whole, mine, moved_mm), TOLERANCE_MM, WORSE_MM
        ):
            before = had.get(_names(pair), 0.0)
            if margin < 0 and (before >= 0 or margin < before - WORSE_MM):
                raise TrialRefused(f"then {self._nearness(pair, margin + self.least_mm(pair))}")
        return self._other_findings(whole)

    def _altered(self, whole: Assembly, mine: set[tuple[Name, Name]], moved_mm: float) -> list[Pair]:
        """Every other pair that the change has altered and that may miss its limit now."""
        # No surface moves by more than twice the change: what was farther off than that and its limit stays clear.
        others = [n for n in self.turn.near if _names(n.pair) not in mine]
        near = [n.pair for n in others if n.approach.floor_mm < self.least_mm(n.pair) + 2 * moved_mm]
        most = max((self.least_mm(n.pair) for n in others), default=0.0) + 2 * moved_mm
        far = [far.pair for far in self.turn.far_within(most)]
        return [pair for pair in (*near, *far) if self.altered(whole, pair)]

    def _nearness(self, pair: Pair, distance_mm: float) -> str:
        a, b = (place_words(place) for place in ordered(pair))
        if distance_mm <= 0:
            return f"{a} meets the {b}"
        return f"{a} comes within {show_fine(distance_mm, self.system)} of the {b}"

    def _other_findings(self, whole: Assembly) -> str:
        """What the other checks say of the changed engine that they do not say of this one."""
        new = [f for f in _findings(whole, self.system) if (f.id, f.severity, f.bore) not in self._said]
        for finding in new:
            if finding.severity == "stop":
                raise TrialRefused(f"then {finding.text}")
        return "; ".join(dict.fromkeys(f"then {f.text}" for f in new if f.severity == "look"))


def _findings(assembly: Assembly, system: System) -> list[Finding]:
    """What every check but that of the clearances says."""
    return [f for c in checks() if c.key != "clearances" for f in c.run(assembly, system).findings]


def _own_feature(place: Place) -> bool:
    """Whether a place is a feature of its body, and not one that stands in for it."""
    return any((f.name, f.place) == (place.feature, place.place) for f in place.body.part.features)


def _names(pair: Pair) -> tuple[Name, Name]:
    a, b = ((p.body.name, p.feature, p.place) for p in (pair.a, pair.b))
    return a, b


def _same(one: Mover, other: Mover) -> bool:
    """Whether two movers have the same path and the same pieces, to the last bit."""
    return (
        one.law == other.law
        and len(one.pieces) == len(other.pieces)
        and all(_alike(a, b) for a, b in zip(one.pieces, other.pieces, strict=True))
    )


def _same_body(one: Body, other: Body) -> bool:
    """Whether two bodies stand alike on one frame and have the same pieces under the same names."""
    mine, its = one.part.features, other.part.features
    return (
        (one.frame, one.part.kind, len(mine)) == (other.frame, other.part.kind, len(its))
        and np.array_equal(one.X_FA, other.X_FA)
        and all(
            (a.name, a.place, len(a.pieces)) == (b.name, b.place, len(b.pieces))
            and all(_alike(p, q) for p, q in zip(a.pieces, b.pieces, strict=True))
            for a, b in zip(mine, its, strict=True)
        )
    )


def _alike(one: Piece, other: Piece) -> bool:
    return type(one) is type(other) and all(
        np.array_equal(getattr(one, f.name), getattr(other, f.name)) for f in fields(one)
    )


def _mover(assembly: Assembly, place: Place) -> Mover | None:
    """A place in a changed engine."""
    body = next((b for b in assembly.bodies if b.name == place.body.name), None)
    features = () if body is None else body.part.features
    for feature in features:
        if (feature.name, feature.place) == (place.feature, place.place):
            assert body is not None
            pieces = tuple(placed(piece, body) for piece in feature.pieces)
            return Mover(place.name, law_of(assembly, body.frame), pieces)
    return None
