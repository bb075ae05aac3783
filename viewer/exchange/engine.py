"""The engine as glTF: shapes once each, a node for everything that moves as one, its parts under it, and the motion.

glTF is in metres with y up and the front towards +z; the engine frame E is in mm with z up and x to the rear. The root
node holds that change, a turn and a scale, so that every other number is the engine's own and nothing is mirrored.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from scipy.spatial.transform import Rotation

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.solids import IDENTITY, Mesh
from viewer.exchange.binary import CORNERS, INDICES, Buffer, Json, glb
from viewer.exchange.moves import KEY_EVERY_DEG, Deviation, Keys, Motion, deviation, motion_of
from viewer.looks import look_of, machined_look
from viewer.output import program_version
from viewer.scene import Item, ViewOptions, build_scene
from viewer.scene.build import CAUTION, title_of
from viewer.scene.groups import ENCLOSING, MARK
from viewer.scene.shading import shaded

GLASS, GLASS_OPACITY = "glass", 0.2
"""What stands round the moving parts; a little less clear than in a picture, which draws its edges as well."""
ROOT: Final[Json] = {"rotation": [-0.5, 0.5, 0.5, 0.5], "scale": [0.001, 0.001, 0.001]}
"""+x of E to -z, +y to -x, +z to +y; mm to metres."""
NEAREST_FLAT = 1e-6
"""Normals shorter than this have no direction."""
WIDE = 65_535
"""Vertices that 16 bits can number: the last number of them is kept for other uses."""


@dataclass(frozen=True, slots=True)
class Exchange:
    """A file to write, and what is said of it.

    Attributes
    ----------
    data : the GLB file
    parts, shapes, triangles : nodes with a part, distinct shapes among them, triangles of those
    cycle_deg, seconds : crank angle of one round of the animation, and how long that takes
    off : the animation against the exact motion
    """

    data: bytes
    parts: int
    shapes: int
    triangles: int
    cycle_deg: float
    seconds: float
    off: Deviation


def exchange_of(assembly: Assembly, assumed: str = "") -> Exchange:
    """Every part of an engine with its looks and its motion, as one GLB file.

    Parameters
    ----------
    assumed : how many values of the engine are assumed, in words; empty where none is
    """
    scene = build_scene(assembly, ViewOptions(hidden=frozenset(), labels=False, callouts=False))
    items = [item for item in scene.items if item.group != MARK and len(item.mesh.triangles)]
    by_frame: dict[str, list[Item]] = {}
    for item in items:
        by_frame.setdefault(item.frame, []).append(item)
    motion = motion_of(assembly)
    off = deviation(assembly, motion, {frame: _reach_mm(found) for frame, found in by_frame.items()})
    file = _File(title_of(assembly))
    for frame, found in by_frame.items():
        file.add_frame(frame, motion.frames[frame], found)
    file.animate(motion)
    seconds, cycle = float(motion.times_s[-1]), float(motion.crank_deg[-1])
    extras = {
        "engine": title_of(assembly), "assumed": assumed, "caution": CAUTION, "cycle_deg": cycle, "seconds": seconds,
        "key_every_deg": KEY_EVERY_DEG, "off_by_at_most_mm": off.point_mm, "off_by_at_most_deg": off.angle_deg,
    }  # fmt: skip
    triangles = sum(len(mesh.triangles) for mesh, _ in file.shapes.values())
    return Exchange(file.written(extras), len(items), len(file.shapes), triangles, cycle, seconds, off)


def _reach_mm(items: Sequence[Item]) -> float:
    """How far the parts of one frame reach from its x axis."""
    return max(
        float(np.linalg.norm((item.mesh.vertices @ item.X_FA[:3, :3].T + item.X_FA[:3, 3])[:, 1:], axis=1).max())
        for item in items
    )  # fmt: skip


def part_words(name: str) -> str:
    """A body's name as a builder says it: ``rod bolt 3 outer``."""
    return name.replace("_", " ")


def frame_words(frame: str, first: str) -> str:
    """What moves as one, by the name of its frame and of the first of its parts."""
    fixed = {"E": "standing still", "C": "turning with the crank", "cam": "turning with the cam"}
    led = {"P": f"piston {frame[1:]}", "R": f"rod {frame[1:]}"}
    return fixed.get(frame) or f"moving with {led.get(frame[0], part_words(first))}"


@dataclass(slots=True)
class _Lists:
    """The lists of a glTF document."""

    nodes: list[Json] = field(default_factory=list)
    meshes: list[Json] = field(default_factory=list)
    materials: list[Json] = field(default_factory=list)


class _File:
    """A document as it grows.

    Parameters
    ----------
    title : of the engine; the root node bears it
    """

    def __init__(self, title: str) -> None:
        self.shapes: dict[tuple[int, str], tuple[Mesh, int]] = {}
        self._title, self._buffer, self._made = title, Buffer(), _Lists()
        self._looks: dict[str, int] = {}
        self._made.nodes.append({"name": title, "children": [], **ROOT})
        self._moved: list[tuple[int, Keys]] = []

    def add_frame(self, frame: str, keys: Keys, items: Sequence[Item]) -> None:
        """A node for what moves as one, where it stands at crank angle zero, and a node under it for each part."""
        nodes = self._made.nodes
        node: Json = {"name": frame_words(frame, items[0].name), "children": []}
        node |= _placed(keys.shift_mm[0], keys.turn[0])
        self._moved.append((len(nodes), keys))
        nodes[0]["children"].append(len(nodes))
        nodes.append(node)
        for item in items:
            node["children"].append(len(nodes))
            nodes.append({"name": part_words(item.name), "mesh": self._mesh(item), **_standing(item.X_FA)})

    def _mesh(self, item: Item) -> int:
        """Number of the mesh of an item; equal parts share one."""
        look = GLASS if item.group in ENCLOSING else item.look
        key = (id(item.mesh), look)
        if key not in self.shapes:
            self.shapes[key] = item.mesh, len(self._made.meshes)
            parts = self._primitives(item.mesh, look)
            self._made.meshes.append({"name": part_words(item.name), "primitives": parts})
        return self.shapes[key][1]

    def _primitives(self, mesh: Mesh, look: str) -> list[Json]:
        """The surface in its look, and what of it is bored, turned or ground in the look of that."""
        part = shaded(mesh)
        length = np.linalg.norm(part.normals, axis=1, keepdims=True)
        normals = np.where(
            length > NEAREST_FLAT, part.normals / np.maximum(length, NEAREST_FLAT), (0.0, 0.0, 1.0)
        )
        corners = {
            "POSITION": self._buffer.add(part.vertices.astype("<f4"), CORNERS, limits=True),
            "NORMAL": self._buffer.add(normals.astype("<f4"), CORNERS),
        }
        kind = "<u2" if len(part.vertices) <= WIDE else "<u4"
        turned = part.turned[part.triangles[:, 0]] & (machined_look(look) != look)
        found = []
        for chosen, name in ((~turned, look), (turned, machined_look(look))):
            if chosen.any():
                numbers = self._buffer.add(part.triangles[chosen].ravel().astype(kind), INDICES)
                found.append({"attributes": corners, "indices": numbers, "material": self._material(name)})
        return found

    def _material(self, look: str) -> int:
        if look not in self._looks:
            self._looks[look] = len(self._made.materials)
            self._made.materials.append(material(look))
        return self._looks[look]

    def animate(self, motion: Motion) -> None:
        """Channels for all that changes; the nodes stand as at the first key."""
        samplers: list[Json] = []
        channels: list[Json] = []
        times = self._buffer.add(motion.times_s, limits=True)
        for node, keys in self._moved:
            for path, moves, values in (
                ("translation", keys.shifts, keys.shift_mm),
                ("rotation", keys.turns, keys.turn),
            ):
                if moves:
                    channels.append({"sampler": len(samplers), "target": {"node": node, "path": path}})
                    samplers.append({"input": times, "output": self._buffer.add(values)})
        self._animation = {"name": "full cycle", "samplers": samplers, "channels": channels}

    def written(self, extras: Mapping[str, Any]) -> bytes:
        """The whole file."""
        made = self._made
        document = {
            "asset": {"version": "2.0", "generator": f"fullturn {program_version()}", "extras": dict(extras)},
            "scene": 0, "scenes": [{"name": self._title, "nodes": [0]}], "nodes": made.nodes,
            "meshes": made.meshes, "materials": made.materials, "animations": [self._animation],
        }  # fmt: skip
        return glb(document, self._buffer)


def material(look: str) -> Json:
    """A look of the physically based model; colours there are linear, those of ``looks`` are sRGB."""
    surface = look_of(look)
    clear = look == GLASS
    colour = [*map(linear, surface.colour), GLASS_OPACITY if clear else 1.0]
    made: Json = {
        "name": part_words(look),
        "pbrMetallicRoughness": {
            "baseColorFactor": colour, "metallicFactor": surface.metallic, "roughnessFactor": surface.roughness,
        },
    }  # fmt: skip
    return made | ({"alphaMode": "BLEND"} if clear else {})


def linear(share: float) -> float:
    """A share of a colour from sRGB to linear light; source: IEC 61966-2-1."""
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def _standing(X_FA: Array) -> Json:
    """Where a part stands in its frame."""
    if np.array_equal(X_FA, IDENTITY):
        return {}
    return _placed(X_FA[:3, 3], Rotation.from_matrix(X_FA[:3, :3]).as_quat())


def _placed(shift_mm: Array, turn: Array) -> Json:
    """Shift and turn of a node, written where they are any."""
    found: Json = {}
    if np.any(shift_mm):
        found["translation"] = [float(v) for v in shift_mm]
    if np.any(turn[:3]):
        found["rotation"] = [float(v) for v in turn]
    return found
