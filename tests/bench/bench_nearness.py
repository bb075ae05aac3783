"""Time of the colours of closest approach on the V8; run by hand: ``python tests/bench/bench_nearness.py``.

Processor time, held against that of a full turn of clearances in the same process, since machine and load decide the
seconds. Before points were asked in heaps, one rod took 9.8 s and its rod, cap and bolts together 12.7 s.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
BEFORE_S = {"one rod": 9.8, "rod, cap and bolts of one bore": 12.7}


def main() -> None:
    from geometry.assembly import assemble
    from geometry.clearance.full_turn import full_turn
    from geometry.clearance.nearness import forget, nearness_of
    from geometry.spec.load import load_engine

    tern = assemble(load_engine(ROOT / "demo_engines" / "tern.toml"))
    nearness_of(tern, ["rod_bolt 1 major"])  # libraries are loaded once
    began = time.process_time()
    full_turn(tern)
    turn = time.process_time() - began
    kinds = ("rod", "rod_cap", "rod_bolt")
    asked = {
        "one rod": [b.name for b in tern.bodies if b.name == "rod 1"],
        "rod, cap and bolts of one bore": [
            b.name for b in tern.bodies if b.bore == 1 and b.part.kind in kinds
        ],
        "all rods, caps and bolts": [b.name for b in tern.bodies if b.part.kind in kinds],
        "one piston": ["piston 1"],
    }
    sys.stdout.write(f"{'a full turn of clearances':34} {turn:6.2f} s\n")
    for name, bodies in asked.items():
        forget()
        began = time.process_time()
        nearness_of(tern, bodies)
        spent = time.process_time() - began
        before = f"   {BEFORE_S[name] / spent:5.1f} times as fast as before" if name in BEFORE_S else ""
        sys.stdout.write(f"{name:34} {spent:6.2f} s   {spent / turn:5.2f} turns{before}\n")


if __name__ == "__main__":
    main()
