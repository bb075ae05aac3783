"""The house rules that a reader relies on: imports run one way, drawing stays out of geometry."""

import ast
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]

# Lower may not import higher. Each entry: package or module prefix under geometry/, in order.
FLOORS = [
    ("errors", "files", "registry", "units", "arrays", "solids"),
    ("spec",),
    (
        "kinematics.poses",
        "kinematics.slider_crank",
        "kinematics.speeds",
        "kinematics.firing",
        "kinematics.lift_curve",
        "kinematics.laws",
        "capacity",
        "fillet",
        "joint",
    ),
    ("collision",),
    ("kinematics",),
    ("built", "stack"),
    ("rings",),
    ("trade",),
    ("parts", "measured"),
    ("assembly",),
    ("clearance",),
    ("checks",),
    ("record",),
    ("mistakes",),
    ("diagnose",),
]


def floor_of(name):
    """Number of the floor that a module below geometry/ stands on; the longest matching prefix wins."""
    best = (-1, -1)
    for level, prefixes in enumerate(FLOORS):
        for prefix in prefixes:
            if (name == prefix or name.startswith(prefix + ".")) and len(prefix) > best[0]:
                best = (len(prefix), level)
    return best[1]


def geometry_files():
    return sorted((ROOT / "geometry").rglob("*.py"))


def imported(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def module_name(path):
    parts = path.relative_to(ROOT).with_suffix("").parts[1:]
    return ".".join(part for part in parts if part != "__init__")


def test_every_module_of_geometry_has_a_floor():
    lost = [module_name(p) for p in geometry_files() if module_name(p) and floor_of(module_name(p)) < 0]
    assert lost == []


def test_imports_run_one_way():
    wrong = []
    for path in geometry_files():
        here = module_name(path)
        for name in imported(path):
            if name.startswith("geometry.") and here:
                there = floor_of(name.removeprefix("geometry."))
                if there > floor_of(here):
                    wrong.append(f"{here} imports {name}")
    assert wrong == []


def test_geometry_never_draws():
    drawing = ("pyvista", "vtk", "vtkmodules", "viewer", "matplotlib")
    wrong = [
        f"{path.name}: {name}"
        for path in geometry_files()
        for name in imported(path)
        if name.split(".")[0] in drawing
    ]
    assert wrong == []


def test_geometry_runs_without_the_drawing_libraries():
    code = (
        "import sys\n"
        "for name in ('pyvista', 'vtk', 'vtkmodules', 'matplotlib'): sys.modules[name] = None\n"
        "from geometry.spec.load import load_engine\n"
        "from geometry.assembly import assemble\n"
        "assembly = assemble(load_engine('demo_engines/tern.toml'))\n"
        "assert assembly.frame_poses([0.0, 10.0])['C'].shape == (2, 4, 4)\n"
        "assert 'viewer' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)


def test_no_file_is_longer_than_a_reader_can_hold():
    long = [
        str(path.relative_to(ROOT))
        for folder in ("geometry", "viewer", "tests")
        for path in (ROOT / folder).rglob("*.py")
        if len(path.read_text(encoding="utf-8").splitlines()) > 420
    ]
    assert long == []


def test_top_level_holds_nothing_else():
    known = {"README.md", "DEVELOPERS.md", "pyproject.toml", "viewer", "geometry", "tests", "demo_engines"}
    tracked = subprocess.run(
        ["git", "ls-files"], capture_output=True, text=True, check=False, cwd=ROOT
    ).stdout
    tops = {line.split("/")[0] for line in tracked.splitlines()}
    assert {top for top in tops if not top.startswith(".")} <= known
