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
        self._assemblies: dict[tuple[tuple[str, float], ...], Assembly] = {}
        self._compared: dict[tuple[int, int, str], tuple[Any, Any, bool]] = {}
        """By who they are: two arrangements or builds, which are kept so that they stay who they are, and what of them
        is the same."""

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
        tape = Tape()
        asked = watched(spec, tape)
        layout: Layout = self._layout(asked, tape, point)
        bodies: dict[str, Body] = {}
        for kind in part_types():
            found = self._bodies(kind, (asked, tape), layout, built, point)
            bodies.update({body.name: body for body in found})
        return Assembly(spec, layout, built, built_linkage(layout, built), tuple(bodies.values()))

    def _layout(self, asked: Engine, tape: Tape, point: dict[str, float]) -> Layout:
        known = self._known("layout", point, None, self.box.built)
        if known is None:
            reads = Reads()
            tape.paths = reads.paths
            made = build_layout(asked)
            known = self._keep("layout", _Kept(point, None, self.box.built, reads, made))
        layout: Layout = known.made
        return layout

    def _bodies(
        self, kind: PartType, spec: tuple[Engine, Tape], layout: Layout, built: Built, point: dict[str, float]
    ) -> tuple[Body, ...]:
        known = self._known(kind.name, point, layout, built)
        if known is None:
            reads = Reads()
            asked, tape = spec
            tape.paths = reads.paths
            told = _Asked.of(layout, reads.layout), _Asked.of(built, reads.built)
            made = tuple(kind.placed(asked, *told))
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
            tape = Tape()
            tape.paths = reads.paths
            asked = Assembly(watched(assembly.spec, tape), *told, assembly.linkage, ())
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
