"""Parts, layout and motion put together: bodies and where each stands at any crank angle."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from geometry.built import AS_DESIGNED, Built, built_linkage
from geometry.layout import Layout, build_layout
from geometry.motion import Linkage, poses
from geometry.parts.part import Body, part_types
from geometry.parts.solids import Array
from geometry.poses import rot_x_deg, translation
from geometry.spec.engine import Engine


@dataclass(frozen=True, eq=False)
class Assembly:
    """An engine ready to be turned."""

    spec: Engine
    layout: Layout
    built: Built
    linkage: Linkage
    bodies: tuple[Body, ...]

    @cached_property
    def frames(self) -> tuple[str, ...]:
        """Names of the frames that bodies ride on, in order of first use."""
        return tuple(dict.fromkeys(body.frame for body in self.bodies))

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
        """Pose X_EF of every frame at one crank angle () -> (4, 4) or several (m,) -> (m, 4, 4)."""
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
        return found

    def pose(self, name: str, crank_deg: ArrayLike) -> Array:
        """Pose X_EA of one body: (4, 4) at one angle, (m, 4, 4) at several."""
        body = self.body(name)
        return self.frame_poses(crank_deg)[body.frame] @ body.X_FA


def assemble(spec: Engine, built: Built = AS_DESIGNED) -> Assembly:
    """Build every part of the engine and put it in its place.

    Raises
    ------
    GeometryError
        When the parts cannot go together at all; its key names the entry of the engine file.
    """
    layout = build_layout(spec)
    bodies = [body for kind in part_types() for body in kind.placed(spec, layout, built)]
    return Assembly(spec, layout, built, built_linkage(layout, built), tuple(bodies))
