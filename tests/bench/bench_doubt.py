"""What doubt costs: every clearance of the vee-eight over 40 values in doubt, against a plain check in the same run.

Run in the project's environment: ``python tests/bench/bench_doubt.py``. Processor seconds, each the least of several
rounds; the contenders take turns. Every round uses other values, so that nothing is kept from the one before.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import sys
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from geometry.assembly import assemble
from geometry.checks.section import checks
from geometry.clearance.full_turn import full_turn
from geometry.doubts.whole import doubtful_clearances
from tests.bench.doubt_box import doubted, say

ROUNDS, VALUES, LIMIT_RATIO = 3, 40, 3.0


def seconds(task):
    """Processor time of a task, and what it gives."""
    started = time.process_time()
    answer = task()
    return time.process_time() - started, answer


def main():
    """Time and tell."""
    plain, doubt = [], []
    for turn in range(ROUNDS):
        box = doubted("tern", VALUES, seed=3 + turn, share=0.003 + 1e-5 * turn)
        # a spec that no cache has seen: the stroke is another by a hair
        crank = box.described.spec.crank
        spec = box.described.spec.model_copy(
            update={"crank": crank.model_copy(update={"stroke_mm": crank.stroke_mm + 1e-4 * (turn + 1)})}
        )
        box = replace(box, described=replace(box.described, spec=spec))

        def check(spec=spec):
            engine = assemble(spec)
            return [one.run(engine, "in") for one in checks()]

        plain.append(seconds(check)[0])
        engine = assemble(spec)
        turned = full_turn(engine)
        took, answers = seconds(
            lambda box=box, engine=engine, turned=turned: doubtful_clearances(box, engine, turned)
        )
        doubt.append(took)
        open_ = sum(answer.settled == "open" for answer in answers)
        say(f"{len(answers)} rows, {open_} open: plain check {plain[-1]:.2f} s, bounds {took:.2f} s more")
    ratio = 1.0 + min(doubt) / min(plain)
    say(f"check with bounds of all clearances: {ratio:.2f} times a plain check (at most {LIMIT_RATIO:g})")
    return 0 if ratio <= LIMIT_RATIO else 1


if __name__ == "__main__":
    sys.exit(main())
