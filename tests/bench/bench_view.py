"""Times of the interactive view on the V8; run by hand: ``python tests/bench/bench_view.py``.

Frames are drawn off-screen at 1280 x 800 through the same code as the window's. Judge by ratios: machine, load and
renderer decide the seconds. Without a graphics card a plain three.js page of the same engine took 117 ms a frame at
its cheapest setting, which is what ``cranking`` is held against.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
YARDSTICK_MS = 117.0


def times_ms(work: Callable[[], object], count: int) -> list[float]:
    found = []
    for _ in range(count):
        began = time.perf_counter()
        work()
        found.append(1000.0 * (time.perf_counter() - began))
    return found


def told(name: str, found: list[float], against: float | None = None) -> None:
    middle, least = statistics.median(found), min(found)
    ratio = f"   {middle / against:5.2f} of {against:.0f} ms" if against else ""
    sys.stdout.write(f"{name:34} median {middle:8.1f} ms   least {least:8.1f} ms{ratio}\n")


def main() -> None:
    began = time.perf_counter()
    from viewer.job import read_job

    job = read_job(ROOT / "demo_engines" / "tern.toml")
    from viewer.window.loaded import Loaded
    from viewer.window.view import EngineWindow

    view = EngineWindow(Loaded(job.assembly, None, job.system), off_screen=True, quality="fast")
    told("first picture, from the import on", [1000.0 * (time.perf_counter() - began)])
    triangles = sum(b.fine.GetMapper().GetInput().GetNumberOfPolys() for b in view.stage._batches.values())
    view.press("Right")
    lean = sum(b.fast.GetMapper().GetInput().GetNumberOfPolys() for b in view.stage._batches.values())
    actors = len(view.stage._batches)
    sys.stdout.write(
        f"{actors} actors, {triangles} triangles at rest, {lean} while cranking, load {os.getloadavg()[0]:.1f}\n"
    )
    told("cranking", times_ms(lambda: view.press("Right"), 40), YARDSTICK_MS)
    view.press("j")
    view.press("Right")
    told("cranking, with curves", times_ms(lambda: view.press("Right"), 40), YARDSTICK_MS)
    view.rest()
    told("at rest, without smoothing", times_ms(view.render, 6))
    view.close()


if __name__ == "__main__":
    main()
