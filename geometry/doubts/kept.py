"""Engines at many points of a box, with only those parts built anew that a changed value goes into.

What a part file reads of the engine file is watched while it builds. The same values under everything that it read lead
it the same way to the same parts, whatever the rest of the file says; so its bodies are kept with what it read, and
taken again wherever no value differs that it asked for. No table says what shapes what.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from typing import Any, TypeAlias, TypeVar

import numpy as np
from pydantic import BaseModel

from geometry.assembly import Assembly
from geometry.built import Built, built_linkage
from geometry.doubts.box import DoubtBox
from geometry.kinematics.layout import Layout, build_layout
from geometry.parts.part import Body, PartType, part_types
from geometry.spec.engine import Engine
from geometry.spec.locate import Path

Point: TypeAlias = "Mapping[str, float]"
Made = TypeVar("Made")


class Reads:
    """What was asked for: paths of the engine file, and names of the arrangement's and the build's own data."""

    def __init__(self) -> None:
        self.paths: set[Path] = set()
        self.layout: set[str] = set()
        self.built: set[str] = set()


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
        self._assemblies: dict[tuple[tuple[str, float], ...], Assembly] = {}

    def assembly_at(self, point: Point) -> Assembly:
        """The engine at a point, put together.

        Raises
        ------
        GeometryError : it cannot be put together there
        """
        name = tuple(sorted(point.items()))
        if name not in self._assemblies:
            self._assemblies[name] = self._assembly(dict(point))
        return self._assemblies[name]

    def _assembly(self, point: dict[str, float]) -> Assembly:
        spec, built = self.box.spec_at(point), self.box.built_at(point)
        layout: Layout = self._layout(spec, point)
        bodies: dict[str, Body] = {}
        for kind in part_types():
            bodies.update({body.name: body for body in self._bodies(kind, spec, layout, built, point)})
        return Assembly(spec, layout, built, built_linkage(layout, built), tuple(bodies.values()))

    def _layout(self, spec: Engine, point: dict[str, float]) -> Layout:
        known = self._known("layout", point, None, self.box.built)
        if known is None:
            reads = Reads()
            made = build_layout(watched(spec, reads))
            known = self._keep("layout", _Kept(point, None, self.box.built, reads, made))
        layout: Layout = known.made
        return layout

    def _bodies(
        self, kind: PartType, spec: Engine, layout: Layout, built: Built, point: dict[str, float]
    ) -> tuple[Body, ...]:
        known = self._known(kind.name, point, layout, built)
        if known is None:
            reads = Reads()
            told = _Asked.of(layout, reads.layout), _Asked.of(built, reads.built)
            made = tuple(kind.placed(watched(spec, reads), *told))
            known = self._keep(kind.name, _Kept(point, layout, built, reads, made))
        bodies: tuple[Body, ...] = known.made
        return bodies

    def made_at(self, point: Point, what: Hashable, make: Callable[[Assembly], Made]) -> Made:
        """What a function makes of the engine's data at a point (bodies apart), kept as parts are."""
        assembly = self.assembly_at(point)
        known = self._known(what, point, assembly.layout, assembly.built)
        if known is None:
            reads = Reads()
            told = _Asked.of(assembly.layout, reads.layout), _Asked.of(assembly.built, reads.built)
            asked = Assembly(watched(assembly.spec, reads), *told, assembly.linkage, ())
            kept = _Kept(dict(point), assembly.layout, assembly.built, reads, make(asked))
            known = self._keep(what, kept)
        made: Made = known.made
        return made

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
            # an array may have been read as a whole
            if any(path[:n] in reads.paths for n in range(1, len(path) + 1)):
                return False
        return _agree(kept.layout, layout, reads.layout) and _agree(kept.built, built, reads.built)


def _agree(one: Any, other: Any, names: set[str]) -> bool:
    return one is other or all(_same(getattr(one, name), getattr(other, name)) for name in names)


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


def watched(model: Any, reads: Reads, path: Path = ()) -> Any:
    """A model of the engine file that remembers what is read of it, by path as the file has it."""
    plain: Any = type(model)
    inside = {name: _inner(value, reads, path, plain, name) for name, value in model.__dict__.items()}
    copy: Any = object.__new__(_watched_class(plain))
    object.__setattr__(copy, "__dict__", inside)
    object.__setattr__(copy, "__pydantic_fields_set__", model.__pydantic_fields_set__)
    object.__setattr__(copy, "__pydantic_extra__", None)
    object.__setattr__(copy, "__pydantic_private__", None)
    inside["_reads"], inside["_path"] = reads, path
    return copy


def _inner(value: Any, reads: Reads, path: Path, plain: Any, name: str) -> Any:
    if isinstance(value, BaseModel):
        return watched(value, reads, (*path, _alias(plain, name)))
    if isinstance(value, list) and value and all(isinstance(item, BaseModel) for item in value):
        here = (*path, _alias(plain, name))
        return [watched(item, reads, (*here, k)) for k, item in enumerate(value)]
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
            if not isinstance(found, BaseModel):
                own["_reads"].paths.add((*own["_path"], aliases[name]))
                if isinstance(found, list) and found and isinstance(found[0], BaseModel):
                    own["_reads"].paths.discard((*own["_path"], aliases[name]))
            return found
        return object.__getattribute__(self, name)

    # made outside pydantic: it is no model of its own, only another way to look at one
    body = {"__getattribute__": read, "__module__": plain.__module__}
    made: type = type.__new__(type(plain), plain.__name__, (plain,), body)
    return made
