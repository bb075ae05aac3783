"""The container of glTF 2.0: arrays in one buffer, and buffer and document in one GLB file.

Source: the Khronos Group's glTF 2.0 specification, sections 3.6 (buffers, accessors) and 4 (GLB).
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Json = dict[str, Any]
COMPONENTS: Final = {np.dtype("<f4"): 5126, np.dtype("<u2"): 5123, np.dtype("<u4"): 5125}
SHAPES: Final = {(): "SCALAR", (3,): "VEC3", (4,): "VEC4"}
CORNERS, INDICES = 34962, 34963
"""What an array is for, where a mesh is drawn of it."""
MAGIC, VERSION, JSON_CHUNK, BINARY_CHUNK = 0x46546C67, 2, 0x4E4F534A, 0x004E4942


@dataclass(slots=True)
class Buffer:
    """Arrays one behind the other, each with its accessor."""

    accessors: list[Json] = field(default_factory=list)
    views: list[Json] = field(default_factory=list)
    _parts: list[bytes] = field(default_factory=list)
    _length: int = 0

    def add(self, values: NDArray[Any], target: int | None = None, limits: bool = False) -> int:
        """Lay an array behind the others; answers with the number of its accessor.

        Parameters
        ----------
        values : (n,), (n, 3) or (n, 4), of a type in ``COMPONENTS``
        target : ``CORNERS`` or ``INDICES``; None: neither
        limits : whether lowest and highest values are written beside it, as positions and times must have
        """
        data = np.ascontiguousarray(values).tobytes()
        view: Json = {"buffer": 0, "byteOffset": self._length, "byteLength": len(data)}
        self.views.append(view if target is None else {**view, "target": target})
        accessor: Json = {
            "bufferView": len(self.views) - 1, "componentType": COMPONENTS[values.dtype], "count": len(values),
            "type": SHAPES[values.shape[1:]],
        }  # fmt: skip
        if limits:
            low, high = np.atleast_1d(values.min(axis=0)), np.atleast_1d(values.max(axis=0))
            accessor |= {"min": low.tolist(), "max": high.tolist()}
        self.accessors.append(accessor)
        padded = data + b"\0" * (-len(data) % 4)
        self._parts.append(padded)
        self._length += len(padded)
        return len(self.accessors) - 1

    @property
    def data(self) -> bytes:
        """All of it."""
        return b"".join(self._parts)


def glb(document: Mapping[str, Any], buffer: Buffer) -> bytes:
    """A whole file.

    Parameters
    ----------
    document : everything of the glTF document but buffers, views and accessors
    """
    data = buffer.data
    whole = {
        **document, "buffers": [{"byteLength": len(data)}], "bufferViews": buffer.views,
        "accessors": buffer.accessors,
    }  # fmt: skip
    text = json.dumps(whole, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    chunks = _chunk(JSON_CHUNK, text) + _chunk(BINARY_CHUNK, data)
    return struct.pack("<3I", MAGIC, VERSION, 12 + len(chunks)) + chunks


def _chunk(kind: int, data: bytes) -> bytes:
    return struct.pack("<2I", len(data), kind) + data
