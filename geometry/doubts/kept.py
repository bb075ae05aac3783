"""Engines at many points of a box, with only those parts built anew that a changed value goes into.

What a part file reads of the engine file is watched while it builds. The same values under everything that it read lead
it the same way to the same parts, whatever the rest of the file says; so its bodies are kept with what it read, and
taken again wherever no value differs that it asked for. No table says what shapes what.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache, cached_property
from typing import Any, Final, TypeAlias, TypeVar

import numpy as np
from pydantic import BaseModel

from geometry.assembly import Assembly
from geometry.built import Built, built_linkage
from geometry.clearance.pairs import law_of
from geometry.doubts.box import DoubtBox
from geometry.kinematics.laws import Law
from geometry.kinematics.layout import Layout, build_layout
from geometry.parts.part import Body, PartType, part_types
from geometry.parts.shapes.meshing import coarser
from geometry.spec.engine import Engine
from geometry.spec.locate import Path

COARSER: Final = 4
"""Facets of a mesh that is only made to see what it is made of are so many times fewer."""
Point: TypeAlias = "Mapping[str, float]"
Made = TypeVar("Made")


class Reads:
    """What was asked for: paths of the engine file, and names of the arrangement's and the build's own data."""

    def __init__(self) -> None:
        self.paths: set[Path] = set()
        self.layout: set[str] = set()
        self.built: set[str] = set()
        self._hangs: dict[Path, bool] = {}

    def has(self, path: Path) -> bool:
        """Whether a value was read, or an array that it stands in; asked once all has been read."""
        if path not in self._hangs:
            self._hangs[path] = any(path[:n] in self.paths for n in range(1, len(path) + 1))
        return self._hangs[path]


class Tape:
    """Where the models of one engine file write down what is read of them now."""

    def __init__(self) -> None:
        self.paths: set[Path] = set()


@dataclass(frozen=True, slots=True)
class _Kept:
    """What was built once: at which point, from which arrangement and build, and what was read for it."""

    point: Mapping[str, float]
    layout: Layout | None
    built: Built
    reads: Reads
    made: Any


class Workshop:
    """Puts the engine together at any point of a box; what was built once is kept."""

    def __init__(self, box: DoubtBox) -> None:
        self.box = box
        self._paths = {side.key: side.path for side in box.coordinates if side.path is not None}
        self._kept: dict[Hashable, list[_Kept]] = {}
        self._stands: dict[tuple[tuple[str, float], ...], Stand] = {}
        self._compared: dict[tuple[int, int, str], tuple[Any, Any, bool]] = {}
        """By who they are: two arrangements or builds, which are kept so that they stay who they are, and what of them
        is the same."""

    def assembly_at(self, point: Point) -> Assembly:
        """The engine at a point, put together.

        Raises
        ------
        GeometryError : it cannot be put together there
        """
        return self.at(point).whole

    def at(self, point: Point) -> Stand:
        """The engine at a point, of which only those parts are built that are asked for.

        Raises
        ------
        GeometryError : its arrangement cannot be
        """
        name = tuple(sorted(point.items()))
        if name not in self._stands:
            self._stands[name] = Stand(self, dict(point))
        return self._stands[name]

    @cached_property
    def kinds(self) -> dict[str, PartType]:
        """The part type of every body that there is at nominal values."""
        nominal = self.at({})
        return {name: kind for kind in part_types() for name in nominal.bodies_of(kind)}

    def layout_of(self, asked: Engine, tape: Tape, point: Point) -> Layout:
        """The arrangement at a point."""
        known = self._known("layout", point, None, self.box.built)
        if known is None:
            reads = Reads()
            tape.paths = reads.paths
            made = build_layout(asked)
            known = self._keep("layout", _Kept(point, None, self.box.built, reads, made))
        layout: Layout = known.made
        return layout

    def made_at(self, point: Point, what: Hashable, make: Callable[[Engine, Layout, Built], Made]) -> Made:
        """What a function makes of the engine's data at a point; kept, and taken again where it reads the same."""
        stand = self.at(point)
        known = self._known(what, point, stand.bare.layout, stand.bare.built)
        if known is None:
            reads = Reads()
            stand.tape.paths = reads.paths
            told = _Asked.of(stand.bare.layout, reads.layout), _Asked.of(stand.bare.built, reads.built)
            made = make(stand.asked, *told)
            known = self._keep(what, _Kept(stand.point, stand.bare.layout, stand.bare.built, reads, made))
        found: Made = known.made
        return found

    def _keep(self, what: Hashable, kept: _Kept) -> _Kept:
        self._kept.setdefault(what, []).append(kept)
        return kept

    def _known(self, what: Hashable, point: Point, layout: Layout | None, built: Built) -> _Kept | None:
        return next(
            (kept for kept in self._kept.get(what, ()) if self._fits(kept, point, layout, built)), None
        )

    def _fits(self, kept: _Kept, point: Point, layout: Layout | None, built: Built) -> bool:
        """Whether nothing differs that was read."""
        reads = kept.reads
        for key in {*point, *kept.point}:
            path = self._paths.get(key)
            if path is None or point.get(key) == kept.point.get(key):
                continue
            if reads.has(path):
                return False
        return self._agree(kept.layout, layout, reads.layout) and self._agree(kept.built, built, reads.built)

    def _agree(self, one: Any, other: Any, names: set[str]) -> bool:
        return one is other or all(self._alike(one, other, name) for name in names)

    def _alike(self, one: Any, other: Any, name: str) -> bool:
        key = id(one), id(other), name
        if key not in self._compared:
            self._compared[key] = (one, other, _same(getattr(one, name), getattr(other, name)))
        return self._compared[key][2]


class Stand:
    """The engine at one point, built part type by part type as it is asked for."""

    def __init__(self, workshop: Workshop, point: dict[str, float]) -> None:
        self.workshop, self.point = workshop, point
        spec, built = workshop.box.spec_at(point), workshop.box.built_at(point)
        self.tape = Tape()
        self.asked: Engine = watched(spec, self.tape)
        layout = workshop.layout_of(self.asked, self.tape, point)
        self.bare = Assembly(spec, layout, built, built_linkage(layout, built), ())
        self._bodies: dict[str, dict[str, Body]] = {}
        self._laws: dict[str, Law] = {}

    def bodies_of(self, kind: PartType) -> dict[str, Body]:
        """The bodies of one part type by name."""
        if kind.name not in self._bodies:
            found = self.workshop.made_at(
                self.point, kind.name, lambda *engine: {body.name: body for body in kind.placed(*engine)}
            )
            self._bodies[kind.name] = found
        return self._bodies[kind.name]

    def body(self, name: str) -> Body | None:
        """One body by its name; None where there is none."""
        kind = self.workshop.kinds.get(name)
        return None if kind is None else self.bodies_of(kind).get(name)

    def law(self, frame: str) -> Law:
        """How a frame moves."""
        if frame not in self._laws:
            self._laws[frame] = law_of(self.bare, frame)
        return self._laws[frame]

    @cached_property
    def whole(self) -> Assembly:
        """All of it."""
        bodies: dict[str, Body] = {}
        for kind in part_types():
            bodies.update(self.bodies_of(kind))
        return replace(self.bare, bodies=tuple(bodies.values()))


class Shaping:
    """What each part file reads for its bodies and for their meshes, so that those of another engine can be taken over.

    Parameters
    ----------
    assembly : the engine whose bodies are kept
    """

    def __init__(self, assembly: Assembly) -> None:
        self.assembly = assembly
        self._reads: dict[str, tuple[Reads, set[str]]] = {}
        for kind in part_types():
            reads, tape = Reads(), Tape()
            tape.paths = reads.paths
            told = _Asked.of(assembly.layout, reads.layout), _Asked.of(assembly.built, reads.built)
            with coarser(COARSER):  # only what is read counts
                bodies = kind.placed(watched(assembly.spec, tape), *told)
                for part in {id(body.part): body.part for body in bodies}.values():
                    _ = part.mesh
            self._reads[kind.name] = reads, {body.name for body in bodies}

    def taken_over(self, other: Assembly, changed: Collection[Path]) -> Assembly:
        """Another engine with the bodies of this one wherever nothing differs that their part file read.

        Parameters
        ----------
        changed : paths of all values of the engine file that differ
        """
        mine = {body.name: body for body in self.assembly.bodies}
        alike = {
            name
            for reads, names in self._reads.values()
            if not any(reads.has(path) for path in changed)
            and _agree(self.assembly.layout, other.layout, reads.layout)
            and _agree(self.assembly.built, other.built, reads.built)
            for name in names
        }
        bodies = tuple(
            mine[body.name] if body.name in alike and body.name in mine else body for body in other.bodies
        )
        return replace(other, bodies=bodies)


def _agree(one: Any, other: Any, names: set[str]) -> bool:
    return all(_same(getattr(one, name), getattr(other, name)) for name in names)


def _same(one: Any, other: Any) -> bool:
    """Whether two pieces of data hold the same numbers."""
    if one is other:
        return True
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other)
    if is_dataclass(one) and type(one) is type(other):
        return all(_same(getattr(one, f.name), getattr(other, f.name)) for f in fields(one))
    if isinstance(one, tuple | list) and isinstance(other, tuple | list):
        return len(one) == len(other) and all(_same(a, b) for a, b in zip(one, other, strict=True))
    return bool(one == other)


class _Asked:
    """Plain data that remembers by name what is asked of it."""

    @staticmethod
    def of(data: Any, names: set[str]) -> Any:
        """The same data, watched."""
        plain: Any = type(data)
        copy: Any = object.__new__(_asked_class(plain))
        for field in fields(data):
            object.__setattr__(copy, field.name, getattr(data, field.name))
        object.__setattr__(copy, "_names", names)
        return copy


@cache
def _asked_class(plain: Any) -> type:
    own = {field.name for field in fields(plain)}

    def asked(self: Any, name: str) -> Any:
        if name in own:
            object.__getattribute__(self, "_names").add(name)
        return object.__getattribute__(self, name)

    return type(plain.__name__, (plain,), {"__getattribute__": asked})


def watched(model: Any, tape: Tape, path: Path = ()) -> Any:
    """A model of the engine file that remembers what is read of it, by path as the file has it."""
    plain: Any = type(model)
    inside = {name: _inner(value, tape, path, plain, name) for name, value in model.__dict__.items()}
    copy: Any = object.__new__(_watched_class(plain))
    object.__setattr__(copy, "__dict__", inside)
    object.__setattr__(copy, "__pydantic_fields_set__", model.__pydantic_fields_set__)
    object.__setattr__(copy, "__pydantic_extra__", None)
    object.__setattr__(copy, "__pydantic_private__", None)
    inside["_tape"], inside["_path"] = tape, path
    return copy


def _inner(value: Any, tape: Tape, path: Path, plain: Any, name: str) -> Any:
    if isinstance(value, BaseModel):
        return watched(value, tape, (*path, _alias(plain, name)))
    if isinstance(value, list) and value and all(isinstance(item, BaseModel) for item in value):
        here = (*path, _alias(plain, name))
        return [watched(item, tape, (*here, k)) for k, item in enumerate(value)]
    return value


@cache
def _alias(plain: Any, name: str) -> str:
    field = plain.model_fields.get(name)
    return name if field is None else field.alias or name


@cache
def _watched_class(plain: Any) -> type:
    aliases = {name: field.alias or name for name, field in plain.model_fields.items()}

    def read(self: Any, name: str) -> Any:
        if name in aliases:
            own = object.__getattribute__(self, "__dict__")
            found = own[name]
            several = isinstance(found, list) and found and isinstance(found[0], BaseModel)
            if not several and not isinstance(found, BaseModel):
                own["_tape"].paths.add((*own["_path"], aliases[name]))
            return found
        return object.__getattribute__(self, name)

    # made outside pydantic: it is no model of its own, only another way to look at one
    body = {"__getattribute__": read, "__module__": plain.__module__}
    made: type = type.__new__(type(plain), plain.__name__, (plain,), body)
    return made
