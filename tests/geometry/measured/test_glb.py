"""Mesh files that declare more than they are: nothing is unpacked that is not needed, and nothing else is opened."""

import json
import os
import re
import struct
import subprocess
import sys
import zlib

import pytest

from geometry.measured.load import MeshSource, read_measured
from tests.geometry.test_measured import HIGH, LOW, a_box, refusal


def png(width, height):
    """A picture of a few bytes that declares a size."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * 64)), (b"IEND", b""))
    parts = (
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in chunks
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def glb(path, change=lambda document: None, picture=b""):
    """A box as GLB with its description changed, and a picture as its texture."""
    content = a_box().export(file_type="glb")
    (length,) = struct.unpack_from("<I", content, 12)
    document, rest = json.loads(content[20 : 20 + length]), content[28 + length :]
    if picture:
        document["bufferViews"].append({"buffer": 0, "byteOffset": len(rest), "byteLength": len(picture)})
        document["images"] = [{"bufferView": len(document["bufferViews"]) - 1, "mimeType": "image/png"}]
        document["textures"] = [{"source": 0}]
        document["materials"] = [{"pbrMetallicRoughness": {"baseColorTexture": {"index": 0}}}]
        document["meshes"][0]["primitives"][0]["material"] = 0
        rest += picture + b"\0" * (-len(picture) % 4)
        document["buffers"][0]["byteLength"] = len(rest)
    change(document)
    text = json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    total = 28 + len(text) + len(rest)
    head = struct.pack("<IIIII", 0x46546C67, 2, total, len(text), 0x4E4F534A)
    path.write_bytes(head + text + struct.pack("<II", len(rest), 0x004E4942) + rest)
    return path


READ_LEAN = """
import resource, sys
import numpy as np, trimesh
from PIL import Image
from geometry.measured.load import MeshSource, read_measured
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
mesh = read_measured(MeshSource("block.mesh", sys.argv[1]), np.zeros(3), np.array([100.0, 60.0, 40.0]))
print(len(mesh.triangles), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="the peak of memory is told in kilobytes")
def test_a_picture_in_a_file_is_never_unpacked(tmp_path, monkeypatch):
    path = glb(tmp_path / "part.glb", picture=png(13_000, 13_000))
    assert path.stat().st_size < 3000
    done = subprocess.run(
        [sys.executable, "-c", READ_LEAN, str(path)], capture_output=True, text=True, check=True, timeout=120
    )
    triangles, kilobytes = map(int, done.stdout.split())
    assert triangles == 12
    assert kilobytes < 60_000  # the picture takes 507 MB
    monkeypatch.setattr("PIL.Image.open", lambda *_, **__: pytest.fail("a picture was opened"))
    assert len(read_measured(MeshSource("block.mesh", str(path)), LOW, HIGH).triangles) == 12


def _huge_points(document):
    document["accessors"].append({"componentType": 5126, "count": 10**10, "type": "VEC3"})
    document["meshes"][0]["primitives"][0]["attributes"]["POSITION"] = len(document["accessors"]) - 1


def _huge_colours(document):
    document["accessors"].append({"componentType": 5126, "count": 10**10, "type": "VEC3"})
    document["meshes"][0]["primitives"][0]["attributes"]["COLOR_0"] = len(document["accessors"]) - 1


def _many_places(document):
    place = next(n for n, node in enumerate(document["nodes"]) if "mesh" in node)
    document["nodes"] += [dict(document["nodes"][place]) for _ in range(50_000)]


def _itself(document):
    document["nodes"][0]["children"] = [0]


def _round(document):
    document["nodes"] += [{"children": [len(document["nodes"]) + 1]}, {"children": [len(document["nodes"])]}]


def _packed(document):
    document["extensionsRequired"] = ["KHR_draco_mesh_compression"]


@pytest.mark.parametrize(
    "change, said",
    [
        (_huge_points, "has 3333333333 triangles; reduce it"),
        (_many_places, "has 600012 triangles; reduce it"),
        (_itself, "hangs one part in two places or in itself"),
        (_round, "hangs one part in two places or in itself"),
        (_packed, "is packed by KHR_draco_mesh_compression"),
        (lambda document: document.clear(), "cannot be read as GLB|holds no triangles"),
        (lambda document: document["meshes"][0].clear(), "cannot be read as GLB"),
        (lambda document: document["accessors"][0].clear(), "cannot be read as GLB"),
    ],
)
def test_what_a_file_declares_is_counted_before_it_is_unpacked(tmp_path, change, said):
    assert re.search(said, refusal(glb(tmp_path / "part.glb", change)))


def test_numbers_that_nobody_needs_are_not_unpacked(tmp_path):
    path = glb(tmp_path / "part.glb", _huge_colours)
    assert len(read_measured(MeshSource("block.mesh", str(path)), LOW, HIGH).triangles) == 12


def test_no_other_file_is_opened(tmp_path, monkeypatch):
    """Materials and textures that a model names stay closed: they may be anything on the disk."""
    lines = a_box().export(file_type="obj", include_normals=False).splitlines()
    (tmp_path / "part.obj").write_text("\n".join(["mtllib part.mtl", "usemtl a", *lines]))
    (tmp_path / "part.mtl").write_text("newmtl a\nmap_Kd part.png\n")
    (tmp_path / "part.png").write_bytes(png(13_000, 13_000))
    monkeypatch.setattr("PIL.Image.open", lambda *_, **__: pytest.fail("a picture was opened"))
    assert len(read_measured(MeshSource("block.mesh", str(tmp_path / "part.obj")), LOW, HIGH).triangles) == 12


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_not_read(tmp_path):
    os.mkfifo(tmp_path / "part.stl")
    assert "is not a file" in refusal(tmp_path / "part.stl")
