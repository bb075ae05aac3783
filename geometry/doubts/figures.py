"""The figures of every check but the certified clearances, over all values within their doubt.

Only what a value can change is worked out again: the checks that read its key (``Check.reads``), of one bore of each
kind where bores are alike, and no bodies but those that are weighed or seen. What a value does to a weight is worked
out at its farther end and taken for a straight line, each value by itself; at the two ends of an answer every part
is weighed again.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from functools import cached_property, partial
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly, assemble
from geometry.built import Built, built_linkage
from geometry.checks.fasteners import figures_under, loads
from geometry.checks.inertia import Weights, weigh
from geometry.checks.section import (
    LINKAGE_KEYS,
    READ_BY_ALL,
    ROUNDING,
    Check,
    Figure,
    Severity,
    checks,
    gravest,
)
from geometry.doubts.answers import Doubtful, Leaning
from geometry.doubts.box import Coordinate, DoubtBox
from geometry.doubts.corners import AnswerKey, Point, Reading, answers_in_doubt
from geometry.errors import GeometryError, InputError
from geometry.kinematics.layout import BoreSite, Layout, build_layout
from geometry.parts.shapes.meshing import coarser

WEIGHED: Final = {
    "oil_ring": ("rings.oil", "rings.gap_bore", "block.bore."),
    "piston": ("piston.", "block.bore."),
    "piston_pin": ("piston.",),
    "ring": ("rings.top", "rings.second", "rings.gap_bore", "block.bore."),
    "rod": ("rod.", "piston.pin.diameter"),
}
"""Part types that are weighed or seen, with the beginnings of the keys that their shape follows from."""
LAYOUT_KEYS: Final = (*LINKAGE_KEYS, "block.", "crank.", "piston.pin.", "rod.big_end.width")
"""Beginnings of the keys that the layout follows from."""
GROOVE_KEYS: Final = ("piston.grooves", "piston.land_clearance")
WEIGHED_KEYS: Final = ("block.bore.", "piston.", "rings.", "rod.", *READ_BY_ALL)
WEIGHTS: Final = ("piston_kg", "riding_kg", "rod_kg", "rod_kg_mm")
COARSER: Final = 4
"""Facets for what a value does to a weight are so many times fewer than those of the eye's."""
FRACTIONS: Final = (0.83, 0.31, 0.59, 0.17, 0.71)
"""Places between nominal and highest, in turn, at which bores that are alike must still be alike."""
_BAD: Final = (GeometryError, InputError, ValueError, ArithmeticError)


def doubtful_figures(
    box: DoubtBox, without: Collection[str] = (), without_figures: Collection[tuple[str, str]] = ()
) -> tuple[Doubtful, ...]:
    """Every figure of every cheap check, in the order of the report and of the bores.

    Parameters
    ----------
    without : sections that are not asked for
    without_figures : the same of single figures, by section and name

    Raises
    ------
    GeometryError, InputError : nothing can be put together at nominal values
    """
    reader = FigureReader(box, without, without_figures)
    by_key = {}
    for one in answers_in_doubt(box, reader.read):
        key = (one.section, one.name, one.bore)
        weighed = one.section == "fasteners" and reader.weighs(one)
        by_key[key] = _weighed_again(reader, one) if weighed else one
    return tuple(
        replace(
            by_key[check.key, figure.name, reader.stands_for[figure.bore]],
            bore=figure.bore,
            severity=reader.severity.get((check.key, figure.name, reader.stands_for[figure.bore]), "note"),
        )
        for check, figures in reader.nominal
        for figure in figures
    )


def _weighed_again(reader: FigureReader, one: Doubtful) -> Doubtful:
    """Stretched to what is found at both whole corners with every part weighed there."""
    corners = [reader.corner(leanings, worst) for leanings in _leanings(one) for worst in (True, False)]
    found = [figure for corner in corners if (figure := reader.weighed_figure(one, corner)) is not None]
    lowest, highest = _stretched(one.lowest, one.highest, [figure.value for figure in found])
    one = replace(one, lowest=lowest, highest=highest)
    if one.margin_lowest is None or one.margin_highest is None:
        return one
    left = [figure.margin for figure in found if figure.margin is not None]
    lowest, highest = _stretched(one.margin_lowest, one.margin_highest, left)
    sides = []
    for place, side in enumerate(one.sides):
        low, high = _stretched(side.lowest, side.highest, [figure.margins[place][0] for figure in found])
        sides.append(replace(side, lowest=low, highest=high))
    return replace(one, margin_lowest=lowest, margin_highest=highest, sides=tuple(sides))


def _leanings(one: Doubtful) -> list[tuple[Leaning, ...]]:
    every = (one.leanings, one.margin_leanings, *(side.leanings for side in one.sides))
    return [leanings for leanings in every if leanings]


def _stretched(lowest: float, highest: float, found: Sequence[float]) -> tuple[float, float]:
    return min([lowest, *found]), max([highest, *found])


class FigureReader:
    """Works out figures at the points of a box, each thing once.

    Attributes
    ----------
    severity : how grave the worst is that was met, by answer
    """

    def __init__(
        self, box: DoubtBox, without: Collection[str] = (), without_figures: Collection[tuple[str, str]] = ()
    ) -> None:
        self.box = box
        self.without = without
        self.without_figures = without_figures
        self.severity: dict[AnswerKey, Severity] = {}
        self._sides = {side.key: side for side in box.coordinates}
        self._known: dict[tuple[str, tuple[tuple[str, float], ...]], Mapping[AnswerKey, Reading]] = {}
        self._read: dict[tuple[tuple[str, ...], str], bool] = {}
        self._layouts: dict[tuple[tuple[str, float], ...], Layout] = {}
        self._by_value: dict[tuple[str, int], Array] = {}
        self._weighed: dict[tuple[int | None, tuple[tuple[str, float], ...]], tuple[Figure, ...]] = {}
        self._ends: dict[str, list[Built]] = {}
        self._at_nominal: dict[int, Array] = {}

    @cached_property
    def checks(self) -> tuple[Check, ...]:
        """The checks whose figures are to be had without certifying anything."""
        return tuple(
            check for check in checks() if check.figures is not None and check.key not in self.without
        )

    @cached_property
    def nominal_assembly(self) -> Assembly:
        """The engine at nominal values, with the bodies that are weighed."""
        return assemble(self.box.spec_at({}), self.box.built_at({}), tuple(WEIGHED))

    @cached_property
    def nominal(self) -> tuple[tuple[Check, tuple[Figure, ...]], ...]:
        """Figures of all bores at nominal values, by check; without those checks that none are asked of."""
        every = ((c, self._asked_for(c, _figures(c, self.nominal_assembly, None))) for c in self.checks)
        return tuple((check, figures) for check, figures in every if figures or not self.without_figures)

    def _asked_for(self, check: Check, figures: tuple[Figure, ...]) -> tuple[Figure, ...]:
        if not self.without_figures:
            return figures
        return tuple(figure for figure in figures if (check.key, figure.name) not in self.without_figures)

    @cached_property
    def stands_for(self) -> dict[int | None, int | None]:
        """The bore whose figures are worked out in place of each."""
        sites = sorted(site.bore for site in self.nominal_assembly.layout.bores)
        fine: dict[int | None, list[object]] = {bore: [] for bore in sites}
        found = [figure for _, figures in self.nominal for figure in figures]
        try:
            afield = self._bare(self._between())
            cheap = (check for check, _ in self.nominal if not check.bodies)
            found += [f for c in cheap for f in self._asked_for(c, _figures(c, afield, None))]
        except _BAD:
            return {None: None, **{bore: bore for bore in sites}}
        for figure in found:
            numbers = (figure.value, figure.least, figure.most)
            alike = tuple(None if number is None else round(number, 9) for number in numbers)
            fine.setdefault(figure.bore, []).append((figure.name, alike))
        first: dict[tuple[object, ...], int | None] = {}
        return {None: None, **{bore: first.setdefault(tuple(fine[bore]), bore) for bore in sites}}

    def read(self, point: Point) -> Mapping[AnswerKey, Reading]:
        """The figures at a point, of one bore of each kind; what a check does not read is left where it is for it."""
        found: dict[AnswerKey, Reading] = {}
        for check, _ in self.nominal:
            part = {key: value for key, value in point.items() if self._reads(check.reads, key)}
            name = (check.key, tuple(sorted(part.items())))
            if name not in self._known:
                self._known[name] = self._worked_out(check, part)
            found |= self._known[name]
        return found

    def _reads(self, beginnings: tuple[str, ...], key: str) -> bool:
        if (beginnings, key) not in self._read:
            reading = self._sides[key].path is None
            beginning = key.startswith((*beginnings, *READ_BY_ALL))
            self._read[beginnings, key] = reading or not beginnings or beginning
        return self._read[beginnings, key]

    def _bare(self, point: Point) -> Assembly:
        """The engine at a point without its bodies."""
        spec, built = self.box.spec_at(point), self.box.built_at(point)
        moved = tuple(sorted(item for item in point.items() if self._reads(LAYOUT_KEYS, item[0])))
        if moved not in self._layouts:
            self._layouts[moved] = build_layout(spec) if moved else self.nominal_assembly.layout
        layout = self._layouts[moved]
        return Assembly(spec, layout, built, built_linkage(layout, built), ())

    def _worked_out(self, check: Check, point: Point) -> Mapping[AnswerKey, Reading]:
        only = sorted({bore for bore in self.stands_for.values() if bore is not None})
        try:
            made = self._bare(point)
            if check.key == "fasteners":
                figures = figures_under(made, loads(made, partial(self._weights, point)), only)
            else:
                bodied = self._with_bodies(made, point, check.bodies) if check.bodies else made
                figures = _figures(check, bodied, only)
        except _BAD:
            return self._without_grooves(check, point)
        figures = self._asked_for(check, figures)
        for figure in figures:
            key = (check.key, figure.name, figure.bore)
            outside = [grave for left, grave in figure.margins if left < 0.0]
            self.severity[key] = gravest((self.severity.get(key, "note"), *outside))
        return {(check.key, figure.name, figure.bore): _reading(figure) for figure in figures}

    def _without_grooves(self, check: Check, point: Point) -> Mapping[AnswerKey, Reading]:
        """What is left where rings do not go into their grooves: their end gaps, which ask for no groove."""
        kept = {key: value for key, value in point.items() if not key.startswith(GROOVE_KEYS)}
        if check.key != "rings" or len(kept) == len(point):
            return {}
        found = self._worked_out(check, kept)
        return {key: reading for key, reading in found.items() if "gap of" in key[1]}

    def _with_bodies(
        self, bare: Assembly, point: Point, kinds: Collection[str], nominal: Assembly | None = None
    ) -> Assembly:
        """Bodies that the point changes are made anew; the others, and with them what they weigh, are nominal's."""
        anew = {kind for kind in kinds if any(self._reads(WEIGHED[kind], key) for key in point)}
        made = assemble(bare.spec, bare.built, tuple(anew)).bodies if anew else ()
        names = {body.name for body in made}
        others = (nominal or self.nominal_assembly).bodies
        kept = (body for body in others if body.name not in names)
        return replace(bare, bodies=(*made, *kept))

    def _weights(self, point: Point, site: BoreSite) -> Weights:
        """What the solids weigh: each value changes it by itself, in a straight line to its farther end."""
        found = self._nominal_weights(site).copy()
        for key, value in point.items():
            side = self._sides[key]
            if side.path is not None and not key.startswith(WEIGHED_KEYS):
                continue
            if side.path is None and not self._touches(side, site.bore):
                continue
            below, above = side.lowest - side.nominal, side.highest - side.nominal
            reach = above if above >= -below else below
            if (key, site.bore) not in self._by_value:
                self._by_value[key, site.bore] = self._heavier({key: side.nominal + reach}, site)
            found += (value - side.nominal) / reach * self._by_value[key, site.bore]
        return Weights(*map(float, found))

    def _nominal_weights(self, site: BoreSite) -> Array:
        """What the solids of a bore weigh at nominal values."""
        if site.bore not in self._at_nominal:
            nominal = weigh(self.nominal_assembly, site)
            self._at_nominal[site.bore] = np.array([getattr(nominal, name) for name in WEIGHTS])
        return self._at_nominal[site.bore]

    def _touches(self, side: Coordinate, bore: int) -> bool:
        """Whether a reading changes how a bore is put together, which may hold parts of another one."""
        if side.key not in self._ends:
            self._ends[side.key] = [self.box.built_at({side.key: end}) for end in (side.lowest, side.highest)]
        nominal = self.nominal_assembly.built.bore(bore)
        moved = any(part is not None for part in (nominal.piston_from, nominal.rod_from, nominal.cap_from))
        return moved or any(built.bore(bore) != nominal for built in self._ends[side.key])

    def _heavier(self, there: Point, site: BoreSite) -> Array:
        """What the solids weigh more at a point than at nominal values, from coarser solids at both."""
        with coarser(COARSER):
            changed = self._with_bodies(self._bare(there), there, WEIGHED, self._coarse)
            more, less = weigh(changed, site), weigh(self._coarse, site)
        return np.array([getattr(more, name) - getattr(less, name) for name in WEIGHTS])

    @cached_property
    def _coarse(self) -> Assembly:
        """The engine at nominal values once more, for solids of its own."""
        return assemble(self.box.spec_at({}), self.box.built_at({}), tuple(WEIGHED))

    def weighs(self, one: Doubtful) -> bool:
        """Whether values in doubt change what a part weighs that this answer rests on."""
        return any(leaning.key.startswith(WEIGHED_KEYS) for leaning in one.leanings)

    def corner(self, leanings: Sequence[Leaning], worst: bool) -> dict[str, float]:
        """Every value at the end that makes the answer least, or most."""
        out = {}
        for leaning in leanings:
            side, sign = self._sides[leaning.key], 1.0 if worst else -1.0
            ends = (
                (sign * leaning.below, side.lowest),
                (0.0, side.nominal),
                (sign * leaning.above, side.highest),
            )
            out[leaning.key] = min(ends)[1]
        return out

    def weighed_figure(self, one: Doubtful, point: Point) -> Figure | None:
        """An answer at a point with every part weighed there; None where it is not to be had."""
        name = one.bore, tuple(sorted(point.items()))
        if name not in self._weighed:
            try:
                made = self._with_bodies(self._bare(point), point, WEIGHED)
                only = None if one.bore is None else [one.bore]
                self._weighed[name] = figures_under(made, loads(made), only)
            except _BAD:
                self._weighed[name] = ()
        found = (f for f in self._weighed[name] if (f.name, f.bore) == (one.name, one.bore))
        return next(found, None)

    def _between(self) -> dict[str, float]:
        return {
            side.key: side.nominal + FRACTIONS[place % len(FRACTIONS)] * (side.highest - side.nominal)
            for place, side in enumerate(self.box.coordinates)
        }


def _figures(check: Check, assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    assert check.figures is not None
    return check.figures(assembly, only)


def _reading(figure: Figure) -> Reading:
    """The figure with the limits that decide; one met exactly is kept, so it is let down by the rounding."""
    least = None if figure.least is None or figure.below == "note" else figure.least - ROUNDING
    most = None if figure.most is None or figure.above == "note" else figure.most + ROUNDING
    return Reading(figure.value, least, most, figure.dimension)
