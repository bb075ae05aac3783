"""Several people entering findings at once, and losing power while they do."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from geometry.record.load import load_record
from geometry.spec.load import load_engine
from tests.geometry.record.bench_fixtures import DEMOS, tern, typed

ROOT = Path(__file__).parents[3]

# One process learns everything once and then forks writers, each of which enters readings until it is killed.
# A line on the output acknowledges a reading that is saved.
NURSERY = """
import os, signal, sys
from geometry.record.entries import set_entries
from geometry.spec.load import load_engine
signal.signal(signal.SIGCHLD, signal.SIG_IGN)
path, engine = sys.argv[1], load_engine("demo_engines/tern.toml")
set_entries(f"{path}.learnt", engine, "bore 1", ["deck=1um", "rod.way=correct"])  # models are built when first used
for line in sys.stdin:
    bore, first = line.split()
    child = os.fork()
    if child == 0:
        n = int(first)
        while True:
            set_entries(path, engine, f"bore {bore}", [f"deck={n}um", f"rod.way=correct", f"by=w{n}"])
            os.write(1, f"{bore} {n}\\n".encode())
            n += 1
    os.write(1, f"pid {child}\\n".encode())
"""

WRITER = """
import sys
from geometry.record.entries import set_entries
from geometry.spec.load import load_engine
path, name, bores = sys.argv[1], sys.argv[2], sys.argv[3].split(",")
engine = load_engine("demo_engines/tern.toml")
for bore in bores:
    set_entries(path, engine, f"bore {bore}", ["ring.top.gap", "go=18thou", "tight=19thou", f"by={name}"])
    set_entries(path, engine, "crank", ["end_play", "5thou", f"by={name}"])
"""


def test_people_at_different_bores_and_at_the_same_crank_lose_nothing(tmp_path):
    path = tmp_path / "shed.record.toml"
    shares = {"EH": "1,3,5,7", "MK": "2,4", "TB": "6,8"}
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(path), name, bores], cwd=ROOT)
        for name, bores in shares.items()
    ]
    assert [process.wait(timeout=120) for process in writers] == [0, 0, 0]
    record = load_record(path, tern())
    found = {bore: record.bore[bore].ring.top.gap.by for bore in record.bore}
    assert found == {bore: name for name, bores in shares.items() for bore in bores.split(",")}
    assert record.crank.end_play.by in shares


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="forks, and kills with a POSIX signal")
def test_a_hundred_power_cuts_lose_no_reading_that_was_acknowledged(tmp_path):
    path = tmp_path / "cut.record.toml"
    chance = random.Random(20260316)
    nursery = subprocess.Popen(
        [sys.executable, "-c", NURSERY, str(path)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT,
    )  # fmt: skip
    said: dict[str, int] = {}
    starts: dict[str, list[int]] = {}
    step = 0
    for cut in range(100):
        bore = str(1 + cut % 8)
        step = max([step, *said.values()]) + 1
        starts.setdefault(bore, []).append(step)
        nursery.stdin.write(f"{bore} {step}\n")
        nursery.stdin.flush()
        while (line := nursery.stdout.readline().split())[0] != "pid":
            said[line[0]] = int(line[1])
        time.sleep(chance.uniform(0.0, 0.12))
        os.kill(int(line[1]), signal.SIGKILL)
        if path.exists():
            load_record(path, tern())  # whole after every cut, or this raises
    rest, _ = nursery.communicate(timeout=60)
    said |= {bore: int(n) for bore, n in (line.split() for line in rest.splitlines())}
    record = load_record(path, tern())
    assert said
    for bore, acknowledged in said.items():
        found = record.bore[bore]
        # Numbers only grow. What was acknowledged is there, or what was saved after it without being acknowledged:
        # the next number of the same writer, or the first of a later one.
        number = round(found.deck.value_mm * 1000)
        assert number in (acknowledged, acknowledged + 1, *starts[bore])
        assert number >= acknowledged
        assert found.rod.way.value == "correct"


def test_a_record_of_another_engine_is_refused(tmp_path):
    typed(tmp_path, "bore 3: rod.way correct")
    with pytest.raises(ValueError, match='this is the build record of "Tern", not of "Dunlin"'):
        load_record(tmp_path / "bench.record.toml", load_engine(DEMOS / "dunlin.toml"))
