"""A cold ``check`` imports what it uses and nothing else: a slow library comes when it is needed."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

KNOT = Path(__file__).parents[2] / "demo_engines" / "knot.toml"
RUN = """
import json, sys
from viewer.cli import cli
for options in (["--json"], []):
    cli.main(["check", sys.argv[1], *options], standalone_mode=False)
    print(json.dumps(sorted(sys.modules)), file=sys.stderr)
"""


@pytest.fixture(scope="module")
def loaded() -> dict[str, set[str]]:
    """Modules that one process holds after ``check --json``, and after ``check`` on top."""
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(KNOT)],
        capture_output=True,
        text=True,
        timeout=120,
        cwd=KNOT.parents[1],
    )
    answers, tables = done.stderr.splitlines()
    return {"json": set(json.loads(answers)), "text": set(json.loads(tables))}


@pytest.mark.parametrize(
    "slow",
    [
        "pint", "scipy", "trimesh", "matplotlib", "pyvista", "vtkmodules", "tomlkit", "filelock", "fcl",
        "platformdirs", "numpy.ma", "rich._emoji_codes", "rich.traceback", "rich.markdown", "rich.syntax",
        "pydantic.v1",
    ],
)  # fmt: skip
def test_check_imports_no_library_that_it_does_not_use(loaded, slow):
    assert slow not in loaded["text"]


def test_only_tables_import_what_draws_tables(loaded):
    assert "rich" not in loaded["json"]
    assert "rich.table" in loaded["text"]


@pytest.mark.parametrize("room", ["diagnose", "mistakes", "record"])
def test_check_imports_no_room_that_it_does_not_enter(loaded, room):
    assert f"geometry.{room}" not in loaded["text"]
