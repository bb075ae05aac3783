"""The house rules that a reader relies on: imports run one way, drawing stays out of geometry."""

import ast
import subprocess
import sys
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_imports_run_one_way():
    """The contracts stand in pyproject.toml; what breaks one is printed with the line that does.

    In a process of its own: the tool switches off every logger that it finds, and later tests listen to ours.
    """
    code = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT)
    assert told.returncode == 0, told.stdout + told.stderr


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


def test_one_class_name_has_one_meaning():
    named = Counter(
        node.name
        for folder in ("geometry", "viewer")
        for path in (ROOT / folder).rglob("*.py")
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert [name for name, times in named.items() if times > 1] == []


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
