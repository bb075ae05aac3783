"""Real key and mouse events in a real window, on a display of its own."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from geometry.errors import InputError
from viewer.window.open import has_display, open_view

HERE = Path(__file__).parent
ROOT = HERE.parents[2]


@pytest.fixture(scope="module")
def display():
    """A virtual display that ends with the tests."""
    if shutil.which("Xvfb") is None or shutil.which("xdotool") is None:
        pytest.skip("needs Xvfb and xdotool for a display and a hand on it")
    read, write = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", "1024x768x24"],
        pass_fds=[write],
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    with os.fdopen(read) as said:
        number = said.readline().strip()
    yield f":{number}"
    server.terminate()
    server.wait(10)


@pytest.mark.display
def test_keys_and_mouse_reach_the_crank(display, tmp_path):
    done = subprocess.run(
        [sys.executable, str(HERE / "drive_window.py"), str(ROOT / "demo_engines" / "knot.toml"), str(tmp_path)],
        env={**os.environ, "DISPLAY": display, "PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    assert done.stderr == ""  # nor anything as it closes
    assert len(done.stdout.splitlines()) == 1
    seen = json.loads(done.stdout.splitlines()[-1])
    assert seen.pop("class") != "vtkEGLRenderWindow"
    assert all(seen.values()), seen
    assert len(seen) == 25


def test_without_a_display_it_says_what_to_do_instead(monkeypatch):
    monkeypatch.delenv("DISPLAY", raising=False)
    if has_display():
        pytest.skip("this system always has a display")
    with pytest.raises(InputError, match="no display to open a window on; `fullturn still"):
        open_view(lambda: None, [], "mm")
