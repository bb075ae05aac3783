"""The question turned round: what is wanted of an engine, and which one value of it may be changed for that."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Final, Literal, TypeAlias

from geometry.assembly import Assembly
from geometry.built import AS_DESIGNED, Built, built_linkage
from geometry.checks.section import Check, checks
from geometry.clearance.named import called, typed_name
from geometry.clearance.pairs import Listing, Pair, listed
from geometry.collision.certify import certify_all
from geometry.errors import refused
from geometry.kinematics.layout import build_layout
from geometry.spec.base import quantity_of
from geometry.spec.engine import Engine
from geometry.spec.known import look_up
from geometry.spec.locate import Path, read_written
from geometry.units import UnitError, parse

Relation: TypeAlias = Literal["=", ">=", "<="]

ALIASES: Final = {
    "cr": "compression ratio", "squish": "to head", "quench": "to head", "piston to head": "to head",
    "oil clearance": "rod oil clearance", "bearing clearance": "rod oil clearance",
    "piston to wall": "skirt clearance", "capacity": "displacement", "side": "side clearance",
}  # fmt: skip
"""What else a builder may call a figure."""
FAR_MM: Final = 100.0
"""Places farther apart than this count as so far apart."""
CERTIFIED_MM: Final = 0.001
"""Half-width of the certificates by which a distance is held to what is wanted."""
_WANT: Final = re.compile(r"(?P<name>[^<>=]+?)\s*(?P<relation>>=|<=|=)\s*(?P<value>.+)")
_OF_BORE: Final = re.compile(r"(?P<name>.+?)\s+(?:of\s+)?(?:bore\s+)?(?P<bore>\d{1,2})")


@dataclass(frozen=True, slots=True)
class Want:
    """One answer and what it is to be.

    Attributes
    ----------
    name : a figure's, or two features: ``rod_bolt : pan_rail``
    bore : the builder's number; None: of several bores the least, or the most where that is held
    relation : ``=``, or at least, or at most; a distance between places is always at least
    value, dimension : in the house unit
    read : works the answer out; needs the bodies where ``bodies`` says so
    section : of the check that answers it
    places : what the two places of a distance are called; empty for a figure
    """

    name: str
    bore: int | None
    relation: Relation
    value: float
    dimension: str
    read: Callable[[Assembly], float]
    bodies: bool
    section: str = ""
    places: tuple[str, ...] = ()

    def about(self, pair: Pair) -> bool:
        """Whether it is the distance of these two places, either way round."""
        a, b = self.places
        return (called(pair.a, a) and called(pair.b, b)) or (called(pair.b, a) and called(pair.a, b))

    def met_by(self, answer: float, close: float = 1e-9) -> bool:
        """Whether an answer is at least or at most what is wanted; where just so much is wanted, whether it is that."""
        if self.relation == "=":
            return abs(answer - self.value) <= close
        return answer >= self.value - close if self.relation == ">=" else answer <= self.value + close


def bare(spec: Engine, built: Built = AS_DESIGNED) -> Assembly:
    """The engine laid out, without its bodies: enough for figures that need none."""
    layout = build_layout(spec)
    return Assembly(spec, layout, built, built_linkage(layout, built), ())


def wanted_names(assembly: Assembly) -> dict[str, tuple[Check, str]]:
    """Every figure that can be wanted of this engine, with the check that works it out and its dimension.

    Parameters
    ----------
    assembly : with its bodies; every bore has the figures of the first
    """
    first = min(site.bore for site in assembly.layout.bores)
    return {
        figure.name: (check, figure.dimension)
        for check in checks()
        if check.figures is not None
        for figure in check.figures(assembly, (first,))
    }


def read_want(text: str, assembly: Assembly) -> Want:
    """Read ``compression=10``, ``deck 3="0.010 in"``, ``'gap of top'>="18 thou"`` or ``'rod_bolt : pan_rail'="2 mm"``.

    Parameters
    ----------
    assembly : the engine as it is, with its bodies

    Raises
    ------
    InputError : it is no such thing, or nothing of that name can be wanted of this engine
    """
    found = _WANT.fullmatch(text.strip())
    if found is None:
        raise refused("--want", text, "is not NAME=VALUE", 'write compression=10 or deck="0.010 in"')
    name, value = found["name"].strip(" '\""), found["value"].strip(" '\"")
    relation: Relation = ">=" if found["relation"] == ">=" else "<=" if found["relation"] == "<=" else "="
    if ":" in name:
        return _distance(name, value, relation, assembly)
    names = wanted_names(assembly)
    name, bore = _known(name, names)
    if bore is not None:
        assembly.layout.site(bore)
    check, dimension = names[name]

    def answer(engine: Assembly) -> float:
        assert check.figures is not None
        figures = check.figures(engine, None if bore is None else (bore,))
        every = [figure.value for figure in figures if figure.name == name]
        if not every:
            raise ValueError(f"there is no {name} then")
        return max(every) if relation == "<=" else min(every)

    number, bodies = _number(value, dimension), bool(check.bodies)
    return Want(name, bore, relation, number, dimension, answer, bodies, check.key)


def _known(text: str, names: Mapping[str, object]) -> tuple[str, int | None]:
    """The figure that is meant, by its name, another word for it or its beginning, and the bore."""
    lower = " ".join(text.lower().replace("_", " ").split())
    numbered = _OF_BORE.fullmatch(lower)
    for name, bore in ((lower, None), *([(numbered["name"], int(numbered["bore"]))] if numbered else [])):
        meant = ALIASES.get(name, name)
        begun = [known for known in names if known == meant] or [k for k in names if k.startswith(meant)]
        if len(begun) == 1:
            return begun[0], bore
        if begun:
            raise refused("--want", text, "may mean several things", f"one of: {', '.join(begun)}")
    known = ", ".join(names)
    raise refused(
        "--want", text, "cannot be wanted", f"one of: {known}; or two places: 'rod_bolt : pan_rail'"
    )


def _number(text: str, dimension: str) -> float:
    if dimension != "ratio":
        try:
            return parse(text, dimension)
        except UnitError as bad:
            raise refused("--want", text, bad.what, bad.right) from None
    try:
        number = float(text)
    except ValueError:
        number = float("nan")
    if not isfinite(number):
        raise refused("--want", text, "is not a number", "write compression=10")
    return number


def _distance(name: str, value: str, relation: Relation, assembly: Assembly) -> Want:
    """The least distance of two places over the turn, of all that are called so."""
    sides = [side.strip() for side in name.split(":")]
    if len(sides) != 2 or not all(sides):
        raise refused("--want", name, "does not name two places", "write 'rod_bolt : pan_rail'=\"0.060 in\"")
    if relation == "<=":
        raise refused("--want", name, "a distance is kept at least, not at most", "write it with =")
    first = listed(assembly)
    shown, sides = sides, [typed_name(first.places, side, "--want") for side in sides]
    if not any(_so_called(first, sides)):
        raise refused("--want", name, "these two are joined", "`check --pairs` says how")

    def answer(engine: Assembly) -> float:
        listing = listed(engine)
        pairs = [listing.pair(row) for row in _so_called(listing, sides)]
        found = certify_all(
            [(pair.a, pair.b) for pair in pairs], [pair.period_deg for pair in pairs], CERTIFIED_MM, FAR_MM
        )
        return min((near.min_mm - near.within_mm for near in found if not near.bound_only), default=FAR_MM)

    wanted = _number(value, "length")
    return Want(" : ".join(shown), None, ">=", wanted, "length", answer, True, "clearances", tuple(sides))


def _so_called(listing: Listing, sides: list[str]) -> Iterator[int]:
    """Rows of the pairs whose two places are called so, either way round."""
    one, other = ([called(place, side) for place in listing.places] for side in sides)
    for row, (i, j) in enumerate(listing.wanted.tolist()):
        if (one[i] and other[j]) or (one[j] and other[i]):
            yield row


@dataclass(frozen=True, slots=True)
class Varied:
    """The value that is solved for.

    Attributes
    ----------
    key, path, dimension : as in ``KnownValue``
    now : the present value, in its house unit
    limits : least and most that the key allows
    """

    key: str
    path: Path
    dimension: str
    now: float
    limits: tuple[float, float]


def read_varied(key: str, spec: Engine) -> Varied:
    """Read the key of a quantity that the engine has.

    Raises
    ------
    InputError : no such key, no quantity, or the engine does not have it
    """
    path = read_written(key)
    field = None if path is None else look_up(Engine, path)[0]
    if path is None or field is None:
        raise refused(
            "--by", key, "is not a known key", "write it as gasket.thickness or piston.grooves[2].root"
        )
    quantity = quantity_of(field.annotation, field.metadata)
    if quantity is None:
        raise refused("--by", key, "is not a quantity that can be varied", "a length, an angle, a volume ..")
    path = tuple(step - 1 if isinstance(step, int) else step for step in path)
    found: object = spec.model_dump(by_alias=True)
    for step in path:
        try:
            found = found[step]  # type: ignore[index]
        except (KeyError, IndexError, TypeError):
            found = None
    if not isinstance(found, int | float):
        raise refused("--by", key, "this engine does not have it", "write it in the file first, or --set it")
    return Varied(key, path, quantity.dimension, float(found), (quantity.least, quantity.most))
