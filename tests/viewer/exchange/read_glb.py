"""A reader of GLB files for the tests, written from the specification alone: lists of the document, and its arrays."""

import json
import struct

import numpy as np

TYPES = {5126: "<f4", 5123: "<u2", 5125: "<u4"}
WIDTHS = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}


class GlbFile:
    """What is in a file.

    Attributes
    ----------
    document : the JSON part
    """

    def __init__(self, data):
        magic, version, length = struct.unpack_from("<3I", data)
        assert (magic, version, length) == (0x46546C67, 2, len(data))
        size, kind = struct.unpack_from("<2I", data, 12)
        assert kind == 0x4E4F534A
        self.document = json.loads(data[20 : 20 + size])
        rest = 20 + size
        size, kind = struct.unpack_from("<2I", data, rest)
        assert kind == 0x004E4942
        assert rest + 8 + size == len(data)
        self._binary = data[rest + 8 :]

    def __getitem__(self, name):
        return self.document[name]

    def array(self, number):
        """The numbers of an accessor, (n,) or (n, k)."""
        accessor = self["accessors"][number]
        view, width = self["bufferViews"][accessor["bufferView"]], WIDTHS[accessor["type"]]
        kind = np.dtype(TYPES[accessor["componentType"]])
        found = np.frombuffer(self._binary, kind, accessor["count"] * width, view["byteOffset"])
        return found.reshape(-1, width) if width > 1 else found

    def node(self, name):
        """The one node of this name."""
        (found,) = [node for node in self["nodes"] if node["name"] == name]
        return found

    def triangles_mm(self, mesh):
        """Corners (m, 3, 3) of a mesh, all its surfaces together."""
        return np.concatenate([
            self.array(part["attributes"]["POSITION"]).astype(float)[self.array(part["indices"]).reshape(-1, 3)]
            for part in self["meshes"][mesh]["primitives"]
        ])  # fmt: skip

    def keys(self, name, path):
        """Times and values of what animates a node; None where nothing does."""
        number = self["nodes"].index(self.node(name))
        for channel in self["animations"][0]["channels"]:
            if channel["target"] == {"node": number, "path": path}:
                sampler = self["animations"][0]["samplers"][channel["sampler"]]
                return self.array(sampler["input"]).astype(float), self.array(sampler["output"]).astype(float)
        return None
