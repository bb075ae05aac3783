"""The command line and its streams: readers that go away, disks that are full, terminals that know few letters."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

DEMOS = Path(__file__).parents[2] / "demo_engines"
KNOT = str(DEMOS / "knot.toml")
PROGRAM = "import sys; from viewer.cli import main; sys.argv[0] = 'fullturn'; main()"
HAS_FULL_DEVICE = Path("/dev/full").exists()


def program(*words, **options):
    """Run a command line in a process of its own."""
    return subprocess.run(
        [sys.executable, "-c", PROGRAM, *map(str, words)],
        cwd=DEMOS.parent,
        timeout=60,
        check=False,
        **options,
    )


def test_a_reader_that_goes_away_is_no_failure():
    for words in ((KNOT,), (KNOT, "--json")):
        running = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, "check", *words],
            cwd=DEMOS.parent, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip
        running.stdout.close()
        assert running.stderr.read() == b""
        running.stderr.close()
        assert running.wait(60) == 0


@pytest.mark.skipif(not HAS_FULL_DEVICE, reason="needs /dev/full")
def test_a_disk_that_is_full_is_said_in_one_line():
    with open("/dev/full", "w") as full:
        done = program("check", KNOT, stdout=full, stderr=subprocess.PIPE, text=True)
    assert done.returncode == 2
    (line,) = done.stderr.splitlines()
    assert line.startswith("the output cannot be written")


def test_an_output_that_cannot_show_degrees_shows_question_marks():
    done = program(
        "check", KNOT, capture_output=True, env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"?" in done.stdout
