"""Savers killed while they save a reading, by the function that answers the page's request.

Each is a fork of one lean process that has read the engine, so that a kill costs milliseconds. Half of them kill
themselves at a step of the saving (each file read, written aside, flushed, renamed, taken away), before it or after it,
counted out in turn; the other half are killed from outside at a random moment. After each the record must be one that
can be read, with every reading that was acknowledged in it and nothing of anybody else's gone.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

KILLS = 100
"""Beside the 300 of the store itself; ``python -m tests.viewer.serve.killing RECORD 500`` takes half a minute."""


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="forks, and kills with a POSIX signal")
def test_kills_while_saving_lose_nothing_that_was_acknowledged(tmp_path):
    command = [
        sys.executable,
        "-m",
        "tests.viewer.serve.killing",
        str(tmp_path / "knot.record.toml"),
        str(KILLS),
    ]
    ran = subprocess.run(command, capture_output=True, text=True, check=False, cwd=Path(__file__).parents[3])
    assert ran.returncode == 0, ran.stderr
    killed, acknowledged = map(int, ran.stdout.split())
    assert killed > KILLS * 0.9
    assert acknowledged > KILLS * 0.1  # there was something to lose
