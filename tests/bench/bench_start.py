"""What a cold ``check`` costs, from an empty process to the last line: start-up, load, assemble and every check.

Run in the project's environment: ``python tests/bench/bench_start.py``. Times are processor seconds of whole
processes, each the least of several, and drift with what else the machine does; beside each stands how many times
it takes what ``python -c "import numpy"`` takes in the same run, which counts more than the time. Compiled modules
are kept in a folder of the run's own, as an installed program has them.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

HOUSE = Path(__file__).parents[2]
ROUNDS = 5
ENGINES = {"single": "demo_engines/knot.toml", "V8": "demo_engines/tern.toml"}
SHARES = """
import contextlib, io, json, sys, time
shares, before = {}, 0.0
def share(name):
    global before
    now = time.process_time()
    shares[name] = shares.get(name, 0.0) + now - before
    before = now
share("python")
from geometry.assembly import assemble
from geometry.checks.section import checks
from geometry.parts.part import part_types
from geometry.spec.load import load_engine
from viewer import cli
from viewer.commands import check
from viewer.reports.tables import print_report
part_types(), checks()
share("imports")
spec = load_engine(sys.argv[1])
share("load")
engine = assemble(spec)
share("assemble")
sections = []
for each in checks():
    sections.append(each.run(engine, "in"))
    share(each.key)
with contextlib.redirect_stdout(io.StringIO()):
    print_report("", sections, "in")
share("tables")
print(json.dumps(shares))
"""


def least_s(command: list[str], env: dict[str, str]) -> float:
    """Processor seconds, user and system, of the quickest of several runs."""
    found = []
    for _ in range(ROUNDS):
        before = os.times()
        done = subprocess.run(command, capture_output=True, cwd=HOUSE, env=env, check=False)
        after = os.times()
        assert done.returncode in (0, 1), done.stderr.decode()
        found.append(
            after.children_user + after.children_system - before.children_user - before.children_system
        )
    return min(found)


def shares_of(engine: str, env: dict[str, str]) -> dict[str, float]:
    """Processor seconds by part of one process, each the least of several runs."""
    runs = []
    for _ in range(ROUNDS):
        done = subprocess.run(
            [sys.executable, "-c", SHARES, engine], capture_output=True, cwd=HOUSE, env=env, check=True
        )
        runs.append(json.loads(done.stdout))
    return {name: min(run[name] for run in runs) for name in runs[0]}


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")


def main() -> None:
    with tempfile.TemporaryDirectory() as kept:
        env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        env["PYTHONPYCACHEPREFIX"] = kept
        program = [sys.executable, "-c", "from viewer.cli import main; main()", "check"]
        measure = [sys.executable, "-c", "import numpy"]
        for command in (measure, [*program, ENGINES["single"]]):  # compiles
            subprocess.run(command, capture_output=True, cwd=HOUSE, env=env, check=False)
        unit = least_s(measure, env)
        say(f'python -c "import numpy": {unit:.3f} s')
        for name, engine in ENGINES.items():
            for options in ([], ["--json"]):
                took = least_s([*program, engine, *options], env)
                say(f"check {name} {' '.join(options):6} {took:6.3f} s  {took / unit:5.1f} times that")
            parts = sorted(shares_of(engine, env).items(), key=lambda item: -item[1])
            say("  " + ", ".join(f"{part} {took:.3f}" for part, took in parts if took >= 0.001))


if __name__ == "__main__":
    main()
