"""What overlaps, remedies and diagnoses cost: ratios within one run, processor time on one core.

Run in the project's environment: ``python tests/bench/bench_crowded.py``. A vee-sixteen made of the demo vee-eight
is certified as it is, and with banks so close and bores so long that hundreds of its pairs overlap.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import sys
import time
from copy import deepcopy
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from geometry.assembly import assemble
from geometry.checks import clearances
from geometry.clearance.full_turn import full_turn
from geometry.collision.certify import Memory
from geometry.diagnose.candidates import candidates
from geometry.spec.engine import Engine
from tests.geometry.fleet import assembly, raw

CROWDED = {
    "banks at 45 degrees": {"engine.bank_angle": "45 deg"},
    "and longer bores": {
        "engine.bank_angle": "45 deg", "block.bore.length": "6.2 in", "crank.counterweight.radius": "3.3 in",
    },
    "cam low, stroke long": {
        "engine.bank_angle": "60 deg", "crank.stroke": "3.6 in", "rod.length": "5.73 in",
        "block.bore.length": "6.2 in", "cam.up": "4.3 in", "crank.counterweight.radius": "3.3 in",
    },
}  # fmt: skip
LIMIT_RATIO, LIMIT_DIAGNOSE_S, LIMIT_REMEDIES = 3.0, 2.0, 4.0


def say(text):
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def seconds(task):
    started = time.process_time()
    answer = task()
    return time.process_time() - started, answer


def sixteen(changes):
    """The vee-eight with eight throws, and some keys of its file written anew."""
    data = deepcopy(raw("tern"))
    data["engine"]["numbering"] = {"left": list(range(1, 17, 2)), "right": list(range(2, 17, 2))}
    data["engine"].pop("firing_order", None)
    data["crank"]["throws"] = [f"{angle} deg" for angle in (0, 90, 180, 270, 270, 180, 90, 0)]
    for key, text in changes.items():
        *tables, last = key.split(".")
        table = data
        for step in tables:
            table = table[step]
        table[last] = text
    return assemble(Engine.model_validate(data))


def crowds():
    """Every clearance of sixteen bores, clear and crowded."""
    clear_engine = sixteen({})
    clear = min(seconds(lambda: full_turn(clear_engine))[0] for _ in range(2))
    say(f"16 bores, clear: {clear:.2f} s")
    worst = 0.0
    for words, changes in CROWDED.items():
        engine = sixteen(changes)
        took, turn = seconds(lambda e=engine: full_turn(e))
        wide = [n.approach.within_mm for n in turn.near if n.approach.min_mm < 0]
        worst = max(worst, took / clear)
        say(
            f"16 bores, {words}: {len(wide)} pairs overlap, {took:.2f} s, {took / clear:.1f} times a clear one; "
            f"half-widths: middle {sorted(wide)[len(wide) // 2]:.2f} mm, most {max(wide):.1f} mm"
        )
    return worst <= LIMIT_RATIO


def remedies():
    """What to do about a crank that does not clear, against finding that it does not."""
    engine, memory = assembly("tern_long_stroke"), Memory()
    found, _ = seconds(lambda: full_turn(engine, memory=memory))
    whole, section = seconds(lambda: clearances.run(engine, "in", Memory()))
    count = len({remedy.words for finding in section.findings for remedy in finding.remedies})
    say(
        f"tern_long_stroke: {found:.2f} s to certify, {whole - found:.2f} s more for {count} remedies that were tried"
    )
    return whole - found <= LIMIT_REMEDIES * found


def diagnoses():
    """Every mistake in every place of the vee-eight."""
    took, found = seconds(lambda: candidates(assembly("tern"), "in"))
    say(f"diagnose tern: {len(found)} mistakes in their places studied in {took:.2f} s")
    return took <= LIMIT_DIAGNOSE_S


def main():
    good = crowds()
    good &= remedies()
    good &= diagnoses()
    say("within limits" if good else "OUTSIDE limits")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
