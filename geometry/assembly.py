"""Parts, layout and motion put together: bodies and where each stands at any crank angle."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array
from geometry.built import AS_DESIGNED, Built, built_linkage
from geometry.kinematics.layout import Layout, build_layout
from geometry.kinematics.poses import rot_x_deg, translation
from geometry.kinematics.slider_crank import Linkage, poses
from geometry.kinematics.valve_lift import frame_name, overlap_deg, valve_timings
from geometry.parts.part import Body, part_types
from geometry.spec.engine import Engine


@dataclass(frozen=True, eq=False)
class Assembly:
    """An engine ready to be turned.

    Attributes
    ----------
    spec : the engine file
    layout : where every bore, throw and web stands
    built : how it was put together, where that differs
    linkage : throws, rods and offsets of all bores, as put together
    bodies : everything that stands in it, each under a name of its own
    """

    spec: Engine
    layout: Layout
    built: Built
    linkage: Linkage
    bodies: tuple[Body, ...]

    def design(self, bore: int) -> Engine:
        """The engine file's say on what is in one bore: the engine as if every bore were that one."""
        return self.built.design(self.spec, bore)

    def body(self, name: str) -> Body:
        """The body of this name.

        Raises
        ------
        KeyError
            When there is none.
        """
        for body in self.bodies:
            if body.name == name:
                return body
        raise KeyError(name)

    def frame_poses(self, crank_deg: ArrayLike) -> dict[str, Array]:
        """Pose X_EF of every frame of the engine, by its name; (4, 4) at one crank angle, (m, 4, 4) at several.

        Parameters
        ----------
        crank_deg : () or (m,), deg in the running direction; any number of turns
        """
        angles = np.asarray(crank_deg, dtype=float)
        moved = poses(self.linkage, angles)
        fixed = np.broadcast_to(np.eye(4), (*angles.shape, 4, 4))
        found: dict[str, Array] = {"E": fixed, "C": moved.X_EC}
        for index, site in enumerate(self.layout.bores):
            found[f"P{site.bore}"] = moved.X_EP[..., index, :, :]
            found[f"R{site.bore}"] = moved.X_ER[..., index, :, :]
        cam = self.spec.cam
        if cam is not None:
            turn = cam.ratio * self.layout.sense * (1.0 if cam.turns == "with_crank" else -1.0)
            found["cam"] = translation([0.0, cam.across_mm, cam.up_mm]) @ rot_x_deg(turn * angles)
        if self.spec.head.valves:
            found |= self._valve_poses(angles)
        return found

    def _valve_poses(self, angles: Array) -> dict[str, Array]:
        """Pose X_EV of every valve's frame: that of its bore, moved down by the lift."""
        X_EB, overlaps = self._bore_poses
        found = {}
        for timing in valve_timings(self.spec):
            lift = timing.lift_mm(angles[..., None] - overlaps)
            X_EV = np.broadcast_to(X_EB, (*angles.shape, *X_EB.shape)).copy()
            X_EV[..., :3, 3] -= lift[..., None] * X_EB[:, :3, 2]
            for index, site in enumerate(self.layout.bores):
                found[frame_name(site.bore, timing.number)] = X_EV[..., index, :, :]
        return found

    @cached_property
    def _bore_poses(self) -> tuple[Array, Array]:
        """Poses X_EB (n, 4, 4) of all bores, and (n,) where each has its dead centre between exhaust and intake."""
        X_EB = np.stack([translation([s.x_mm, 0.0, 0.0]) @ rot_x_deg(s.bank_deg) for s in self.layout.bores])
        return X_EB, np.array([overlap_deg(self.layout, s.bore) for s in self.layout.bores])

    def pose(self, name: str, crank_deg: ArrayLike) -> Array:
        """Pose X_EA of one body: (4, 4) at one crank angle, (m, 4, 4) at several.

        Raises
        ------
        KeyError
            When there is no body of this name.
        """
        body = self.body(name)
        return self.frame_poses(crank_deg)[body.frame] @ body.X_FA


def assemble(spec: Engine, built: Built = AS_DESIGNED, kinds: Collection[str] | None = None) -> Assembly:
    """Build every part of the engine and put it in its place.

    Parameters
    ----------
    spec : the engine file
    built : how it was put together, where that differs
    kinds : names of the part types that are wanted; None: all

    Raises
    ------
    GeometryError
        When the parts cannot go together at all; its key names the entry of the engine file.
    PartError
        When a part file leaves out what every part must say; names the part file.
    """
    layout = build_layout(spec)
    empty = Assembly(spec, layout, built, built_linkage(layout, built), ())
    frames = empty.frame_poses(0.0)
    bodies: dict[str, Body] = {}
    for kind in part_types():
        if kinds is not None and kind.name not in kinds:
            continue
        for body in kind.placed(spec, layout, built):
            if body.name in bodies:
                raise kind.lacks(f"body {body.name!r} is there already; give it a name of its own")
            if body.frame not in frames:
                raise kind.lacks(f"body {body.name!r} rides on {body.frame!r}; it may be {', '.join(frames)}")
            bodies[body.name] = body
    return replace(empty, bodies=tuple(bodies.values()))
