"""A GLB file stripped to its shape before anything in it is unpacked.

A picture of a few kilobytes may declare a size that takes gigabytes, and so may a list of numbers or a part placed
a million times. Nothing of a picture is needed here, so none is opened; what numbers and places declare is counted
first. Layout of the file: the glTF 2.0 specification of the Khronos Group, sections 4.4 (GLB) and 5 (properties).
"""

from __future__ import annotations

import json
import struct
from typing import Any, Final

_MAGIC: Final = 0x46546C67
_JSON: Final = 0x4E4F534A
_VERSION: Final = 2
_TRIANGLES: Final = 4
"""The mode of a primitive that lists its triangles one by one."""
_KEPT: Final = ("asset", "scene", "buffers", "bufferViews")
_PLACED: Final = ("mesh", "children", "matrix", "translation", "rotation", "scale", "name")
_LOOKS: Final = ("KHR_materials_", "KHR_texture_", "EXT_texture_", "KHR_lights_", "KHR_mesh_quantization")
"""Extensions without which the shape is still whole; any other that a file requires says how to unpack it."""


class NotBare(ValueError):
    """A file that is not unpacked: ``what`` is wrong with it, ``right`` would be right, ``huge`` for its numbers."""

    def __init__(self, what: str, right: str, huge: bool = False) -> None:
        super().__init__(what)
        self.what, self.right, self.huge = what, right, huge


def bare_glb(content: bytes, most_triangles: int) -> bytes:
    """The same file with its triangles, points and places alone.

    Parameters
    ----------
    content : of a GLB file
    most_triangles : how many it may have in all, every place of a part counted

    Raises
    ------
    NotBare
        When it declares more, or needs an extension to be unpacked.
    ValueError, KeyError, TypeError, IndexError, RecursionError, struct.error
        When it is no GLB file.
    """
    magic, version, _ = struct.unpack_from("<III", content)
    length, kind = struct.unpack_from("<II", content, 12)
    if (magic, version, kind) != (_MAGIC, _VERSION, _JSON):
        raise ValueError("no GLB file of version 2")
    described = json.loads(content[20 : 20 + length])
    needed = [name for name in described.get("extensionsRequired", []) if not name.startswith(_LOOKS)]
    if needed:
        raise NotBare(f"is packed by {needed[0]}, which is not read here", "export it without compression")
    document = json.dumps(_stripped(described, most_triangles)).encode("ascii")
    document += b" " * (-len(document) % 4)
    rest = content[20 + length :]
    head = struct.pack("<IIIII", _MAGIC, _VERSION, 20 + len(document) + len(rest), len(document), _JSON)
    return head + document + rest


def _stripped(described: dict[str, Any], most_triangles: int) -> dict[str, Any]:
    accessors = described.get("accessors", [])
    meshes = [
        {"primitives": [_primitive(one) for one in mesh["primitives"]]}
        for mesh in described.get("meshes", [])
    ]
    used = {number for mesh in meshes for one in mesh["primitives"] for number in _numbers(one)}
    for number in used:
        if accessors[number]["count"] > 3 * most_triangles:
            raise _too_many(accessors[number]["count"] // 3)
    sizes = [sum(_triangles(one, accessors) for one in mesh["primitives"]) for mesh in meshes]
    nodes = [{key: node[key] for key in _PLACED if key in node} for node in described.get("nodes", [])]
    _require_tree(nodes)
    placed = sum(sizes[node["mesh"]] for node in nodes if "mesh" in node)
    if placed > most_triangles:
        raise _too_many(placed)
    nothing = {"componentType": 5126, "count": 0, "type": "SCALAR"}
    return {key: described[key] for key in _KEPT if key in described} | {
        "accessors": [one if number in used else nothing for number, one in enumerate(accessors)],
        "meshes": meshes,
        "nodes": nodes,
        "scenes": [{"nodes": scene.get("nodes", [])} for scene in described.get("scenes", [])],
    }


def _primitive(one: dict[str, Any]) -> dict[str, Any]:
    """A primitive with its places and nothing of its looks."""
    kept = {key: one[key] for key in ("indices", "mode") if key in one}
    return kept | {"attributes": {key: n for key, n in one["attributes"].items() if key == "POSITION"}}


def _numbers(primitive: dict[str, Any]) -> list[int]:
    return [*primitive["attributes"].values(), *([primitive["indices"]] if "indices" in primitive else [])]


def _triangles(primitive: dict[str, Any], accessors: list[dict[str, Any]]) -> int:
    """How many triangles a primitive declares; in a strip or fan every point after the second makes one."""
    count = int(accessors[_numbers(primitive)[-1]]["count"])
    return count // 3 if primitive.get("mode", _TRIANGLES) == _TRIANGLES else count


def _require_tree(nodes: list[dict[str, Any]]) -> None:
    """Refuse places that hang on two others, or on themselves: they would be followed without end."""
    above: dict[int, int] = {}
    for number, node in enumerate(nodes):
        for child in node.get("children", []):
            if child in above or child == number:
                raise NotBare("hangs one part in two places or in itself", "export it as one mesh")
            above[child] = number
    done: set[int] = set()
    for start in above:
        chain, at = [], start
        while at in above and at not in done:
            chain.append(at)
            done.add(at)
            at = above[at]
        if at in chain:
            raise NotBare("hangs one part in two places or in itself", "export it as one mesh")


def _too_many(triangles: int) -> NotBare:
    return NotBare(f"has {triangles} triangles", "", huge=True)
