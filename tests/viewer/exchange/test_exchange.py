"""The engine as glTF: read back by a second library and by Khronos's validator, played and held against the motion."""

import io
import json
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation, Slerp

from geometry.clearance.pairs import law_of
from tests.viewer.exchange.read_glb import GlbFile
from viewer.exchange.engine import exchange_of, linear, material
from viewer.exchange.moves import deviation, motion_of
from viewer.looks import LOOKS

ROOT = Path(__file__).parents[3]
KNOT = ROOT / "demo_engines" / "knot.toml"
MOVES = {
    "C": "turning with the crank", "P1": "moving with piston 1", "R1": "moving with rod 1",
    "cam": "turning with the cam", "V1.1": "moving with intake valve 1", "V1.2": "moving with exhaust valve 1",
}  # fmt: skip
STEP_RAD = np.radians(1.0)
X_GE = np.array([[0, -1, 0, 0], [0, 0, 1, 0], [-1, 0, 0, 0], [0, 0, 0, 1.0]]) @ np.diag(
    [1e-3, 1e-3, 1e-3, 1.0]
)
"""By hand: rear is -z, right as seen from the rear is -x, up is +y; mm to metres."""


@pytest.fixture(scope="module")
def single(knot):
    """The single, which turns the other way round, written and read back."""
    made = exchange_of(knot)
    return made, GlbFile(made.data)


@pytest.fixture(scope="module")
def eight(tern):
    """The V8."""
    made = exchange_of(tern)
    return made, GlbFile(made.data)


def volume_mm3(corners):
    """Signed volume inside triangles (m, 3, 3), by the divergence theorem."""
    return np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6.0


@pytest.mark.parametrize("engine", ["single", "eight"])
def test_every_shape_is_closed_and_of_the_volume_of_its_part(request, engine):
    made, file = request.getfixturevalue(engine)
    assembly = request.getfixturevalue({"single": "knot", "eight": "tern"}[engine])
    meshes = {node["name"]: node["mesh"] for node in file["nodes"] if "mesh" in node}
    assert made.parts == len(meshes) == len(assembly.bodies)
    volumes = [volume_mm3(file.triangles_mm(number)) for number in range(len(file["meshes"]))]
    assert min(volumes) > 0.0
    for body in assembly.bodies:
        mesh = body.part.mesh
        assert volumes[meshes[body.name.replace("_", " ")]] == pytest.approx(
            volume_mm3(mesh.vertices[mesh.triangles]), rel=1e-5
        )
    assert all(closed(file.triangles_mm(number)) for number in range(len(file["meshes"])))


def closed(corners):
    """Whether triangles (m, 3, 3) have every edge as often one way as the other; corners are one where equal."""
    bits = (
        (corners + 0.0).astype("<f4").view("<u4").astype(np.uint64)
    )  # + 0.0, so that no zero is a negative one
    mixed = bits @ np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)
    start = np.unique(mixed, return_inverse=True)[1].reshape(-1, 3).astype(np.int64)
    end = np.roll(start, -1, axis=1)
    ways = [np.sort((a * (start.max() + 1) + b).ravel()) for a, b in ((start, end), (end, start))]
    return np.array_equal(*ways)


def test_equal_parts_share_their_shape(eight):
    _, file = eight
    rods = {file.node(f"rod {bore}")["mesh"] for bore in range(1, 9)}
    assert len(rods) == 1
    assert len(file["meshes"]) < 30 < 100 < sum("mesh" in node for node in file["nodes"])


def test_another_library_finds_every_part_where_it_stands_at_zero(eight, tern):
    made, _ = eight
    scene = trimesh.load(io.BytesIO(made.data), file_type="glb", merge_primitives=True)
    assert set(scene.graph.nodes_geometry) == {body.name.replace("_", " ") for body in tern.bodies}
    for body in tern.bodies:
        pose, shape = scene.graph[body.name.replace("_", " ")]
        assert pose == pytest.approx(X_GE @ tern.pose(body.name, 0.0), abs=1e-8)
        inside = scene.geometry[shape].volume
        mesh = body.part.mesh
        assert inside == pytest.approx(volume_mm3(mesh.vertices[mesh.triangles]), rel=1e-4)
        assert np.linalg.det(pose[:3, :3]) == pytest.approx(1e-9)  # not mirrored


def test_front_is_towards_z_and_the_engines_left_towards_x(eight):
    _, file = eight
    root = file["nodes"][0]
    turn = Rotation.from_quat(root["rotation"])
    assert turn.apply([-1.0, 0.0, 0.0]) == pytest.approx([0.0, 0.0, 1.0])
    assert turn.apply([0.0, -1.0, 0.0]) == pytest.approx([1.0, 0.0, 0.0])
    assert turn.apply([0.0, 0.0, 1.0]) == pytest.approx([0.0, 1.0, 0.0])
    assert root["scale"] == [0.001] * 3


def played(file, name, at_s):
    """Origin and turn of a node at times, by the other library's own slerp."""
    node, shift, turn = file.node(name), file.keys(name, "translation"), file.keys(name, "rotation")
    if shift is None:
        origin = np.tile(node.get("translation", [0.0, 0.0, 0.0]), (len(at_s), 1))
    else:
        origin = np.column_stack([np.interp(at_s, shift[0], shift[1][:, k]) for k in range(3)])
    if turn is None:
        return origin, Rotation.from_quat(np.tile(node.get("rotation", [0.0, 0.0, 0.0, 1.0]), (len(at_s), 1)))
    return origin, Slerp(turn[0], Rotation.from_quat(turn[1]))(at_s)


def test_the_stated_error_is_that_of_the_file_as_played(single, knot):
    made, file = single
    at_deg = np.arange(0.0, 720.01, 0.25)
    most_mm = most_deg = 0.0
    for frame, name in MOVES.items():
        origin, turn = played(file, name, at_deg / 60.0)  # 12 s for 720 degrees
        exact = law_of(knot, frame).poses(at_deg)
        off = (turn * Rotation.from_matrix(exact[:, :3, :3]).inv()).magnitude()
        most_deg = max(most_deg, np.degrees(off.max()))
        for child in file.node(name)["children"]:
            part = file["nodes"][child]
            points = file.triangles_mm(part["mesh"]).reshape(-1, 3)[::97]
            turned = Rotation.from_quat(part.get("rotation", [0, 0, 0, 1])).apply(points)
            placed = turned + part.get("translation", [0, 0, 0])
            for k in range(0, len(at_deg), 331):
                seen = origin[k] + turn[k].apply(placed)
                true = placed @ exact[k, :3, :3].T + exact[k, :3, 3]
                assert np.linalg.norm(seen - true, axis=1).max() <= made.off.point_mm + 1e-9
        most_mm = max(most_mm, np.linalg.norm(origin - exact[:, :3, 3], axis=1).max())
    assert most_deg == pytest.approx(made.off.angle_deg, rel=1e-3)
    assert most_mm <= made.off.point_mm + 1e-9 < 1.1 * most_mm
    extras = file["asset"]["extras"]
    assert (extras["off_by_at_most_mm"], extras["off_by_at_most_deg"]) == (
        made.off.point_mm,
        made.off.angle_deg,
    )
    assert (extras["cycle_deg"], extras["seconds"], extras["key_every_deg"]) == (720.0, 12.0, 1.0)


def test_between_keys_the_error_is_that_of_a_chord(knot):
    """A curve leaves its chord by its second derivative times the step squared by eight.

    Without an offset the piston's is greatest at the top, r (1 + r / l), and the rod's lean's in mid-throw,
    (r / l) / sqrt(1 - (r / l)^2): Heywood, Internal Combustion Engine Fundamentals, section 2.2.
    """
    motion, linkage = motion_of(knot), knot.linkage
    assert linkage.offset_mm[0] == 0.0
    throw, rod = float(linkage.throw_mm[0]), float(linkage.rod_mm[0])
    up = deviation(knot, motion, {"P1": 0.0}).point_mm
    assert up == pytest.approx(throw * (1 + throw / rod) * STEP_RAD**2 / 8, rel=5e-3)
    lean = deviation(knot, motion, {"R1": 0.0})
    assert lean.point_mm == pytest.approx(throw * STEP_RAD**2 / 8, rel=5e-3)
    assert lean.angle_deg == pytest.approx(
        np.degrees(throw / np.sqrt(rod**2 - throw**2) * STEP_RAD**2 / 8), rel=5e-3
    )
    # a point on the rod as far from the big end as the other end is off by its share of the lean as well
    far = deviation(knot, motion, {"R1": rod}).point_mm
    assert lean.point_mm < far <= lean.point_mm + rod * np.radians(lean.angle_deg) * 1.001
    assert deviation(knot, motion, {"C": 100.0, "cam": 100.0}).point_mm < 1e-4  # slerp is exact there


def test_an_engine_that_runs_the_other_way_does_so_in_the_file(single, knot):
    """Seen from the front counter-clockwise, a crankpin that starts at the top is at the engine's right a quarter
    turn on: +y in E."""
    _, file = single
    assert knot.layout.sense == -1
    _, turn = file.keys(MOVES["C"], "rotation")
    assert turn[90] == pytest.approx([-np.sqrt(0.5), 0.0, 0.0, np.sqrt(0.5)], abs=1e-6)
    _, shift = file.keys(MOVES["R1"], "translation")
    r = float(knot.linkage.throw_mm[0])
    assert shift[0][1:] == pytest.approx([0.0, r], abs=1e-4)
    assert shift[90][1:] == pytest.approx([r, 0.0], abs=1e-4)


def test_no_turn_jumps_from_key_to_key_and_the_round_closes(eight):
    _, file = eight
    moved = 0
    for sampler in file["animations"][0]["samplers"]:
        times, values = file.array(sampler["input"]), file.array(sampler["output"]).astype(float)
        assert len(times) == len(values) == 721
        assert (np.diff(times) > 0).all()
        if values.shape[1] == 4:
            assert np.linalg.norm(values, axis=1) == pytest.approx(np.ones(721), abs=1e-6)
            # turned by at most a degree and a little from key to key: no sign changes
            assert np.einsum("ij,ij->i", values[1:], values[:-1]).min() > np.cos(np.radians(1.0))
            assert abs(values[0] @ values[-1]) == pytest.approx(1.0)
            moved += 1
        else:
            assert values[0] == pytest.approx(values[-1], abs=1e-4)
    assert moved == 8 + 2  # rods, crank and cam; nothing else turns


def test_one_turn_is_a_round_where_nothing_takes_two(knot):
    spec = knot.spec
    still = spec.model_copy(update={"cam": None, "head": spec.head.model_copy(update={"valves": ()})})
    motion = motion_of(replace(knot, spec=still))
    assert (motion.crank_deg[-1], len(motion.crank_deg)) == (360.0, 361)
    assert motion.times_s[-1] == 6.0
    assert not {"cam", "V1.1"} & set(motion.frames)


def test_looks_are_those_of_the_pictures_and_what_encloses_is_glass(single, knot):
    _, file = single
    looks = {node["name"]: {file["materials"][part["material"]]["name"]
                            for part in file["meshes"][node["mesh"]]["primitives"]}
             for node in file["nodes"] if "mesh" in node}  # fmt: skip
    for name in ("block", "head", "gasket", "pan"):
        assert looks[name] == {"glass"}
    for body in knot.bodies:
        if body.name not in ("block", "head", "gasket", "pan"):
            found = {look.removeprefix("machined ") for look in looks[body.name.replace("_", " ")]}
            assert found == {body.part.material.replace("_", " ")}
    assert looks["crank"] == {"steel", "machined steel"}
    (glass,) = [m for m in file["materials"] if m["name"] == "glass"]
    assert glass["alphaMode"] == "BLEND"
    assert glass["pbrMetallicRoughness"]["baseColorFactor"][3] < 0.5
    assert sum(m.get("alphaMode") == "BLEND" for m in file["materials"]) == 1
    # middle grey of sRGB is a little over a fifth of the light (0.2140, IEC 61966-2-1)
    assert linear(0.5) == pytest.approx(0.2140, abs=1e-4)
    steel = material("steel")["pbrMetallicRoughness"]
    assert (steel["metallicFactor"], steel["roughnessFactor"]) == (
        LOOKS["steel"].metallic,
        LOOKS["steel"].roughness,
    )


@pytest.mark.node
def test_khronoss_validator_has_nothing_to_say(single, eight, tmp_path):
    node, tool = shutil.which("node"), ROOT / ".ci" / "node_modules" / "gltf-validator"
    if node is None or not tool.exists():
        pytest.skip("no node, or no gltf-validator: npm ci in .ci")
    paths = []
    for name, (made, _) in {"single": single, "eight": eight}.items():
        paths.append(tmp_path / f"{name}.glb")
        paths[-1].write_bytes(made.data)
    words = [node, str(ROOT / ".ci" / "gltf_validate.mjs"), *map(str, paths)]
    said = subprocess.run(words, capture_output=True, text=True, check=True, timeout=60).stdout.splitlines()
    assert [json.loads(line)["messages"] for line in said] == [[], []]
    assert json.loads(said[0])["info"]["animationCount"] == 1


def test_the_command_writes_and_says_what_and_how_exact(call, tmp_path):
    target = tmp_path / "x.glb"
    code, out, said = call("glb", KNOT, "-o", target, "--set", "crank.stroke=80 mm")
    assert (code, said) == (0, [])
    file = GlbFile(target.read_bytes())
    off = file["asset"]["extras"]["off_by_at_most_mm"]
    assert f"no point is more than {off:.4f} mm" in out
    assert "720 degrees in 12 s" in out
    assert "never replaces a physical check" in out
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize(
    "name, said", [("x.gltf", "cannot be written as GLB"), ("no/x.glb", "there is no such folder")]
)
def test_what_cannot_be_written_is_refused_in_one_line(call, tmp_path, name, said):
    code, out, lines = call("glb", KNOT, "-o", tmp_path / name)
    assert (code, out, len(lines)) == (2, "", 1)
    assert said in lines[0]
    assert not list(tmp_path.iterdir())
