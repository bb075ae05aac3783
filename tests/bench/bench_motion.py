"""Motion of 16 bores at 7200 crank angles, against what one would write without the closed form in arrays.

Run in the project's environment: ``python tests/bench/bench_motion.py``. Times drift with what else the machine
does, so each is the least of several rounds, the contenders take turns, and the ratio counts more than the time.
"""

import math
import sys
import time
from collections.abc import Callable

import numpy as np
from scipy.optimize import fsolve

from geometry.kinematics.slider_crank import Linkage, poses, state
from geometry.kinematics.speeds import peak_acceleration, peak_speed

BORES, ANGLES, ROUNDS = 16, 7200, 5
LIMIT_S = 0.020
SOLVED_SHARE = 200
"""The root finder is timed on one angle in this many and multiplied up; it would take minutes."""


def sixteen_bores() -> Linkage:
    bank = np.tile([22.5, -22.5], BORES // 2)
    pin = np.repeat([0.0, 90.0, 180.0, 270.0, 270.0, 180.0, 90.0, 0.0], 2)
    same = np.ones(BORES)
    return Linkage(np.arange(BORES) * 60.0, bank, pin, 44.0 * same, 150.0 * same, 0.8 * same, 1)


def loop_state(linkage: Linkage, angles: np.ndarray) -> list[float]:
    """Pin heights one by one with the math module, as a formula in a spreadsheet would have it."""
    heights = []
    for angle in angles:
        for bore in range(BORES):
            phi = math.radians(linkage.pin_deg[bore] - linkage.bank_deg[bore] + angle)
            r, rod, d = linkage.throw_mm[bore], linkage.rod_mm[bore], linkage.offset_mm[bore]
            heights.append(r * math.cos(phi) + math.sqrt(rod**2 - (d + r * math.sin(phi)) ** 2))
    return heights


def solved_state(linkage: Linkage, angles: np.ndarray) -> list[float]:
    """Pin heights by scipy's ``fsolve`` on the two closure equations, one triangle at a time."""
    heights = []
    for angle in angles:
        for bore in range(BORES):
            phi = math.radians(linkage.pin_deg[bore] - linkage.bank_deg[bore] + angle)
            r, rod, d = linkage.throw_mm[bore], linkage.rod_mm[bore], linkage.offset_mm[bore]

            def gap(unknown: np.ndarray, phi=phi, r=r, rod=rod, d=d) -> list[float]:
                height, lean = unknown
                return [
                    -r * math.sin(phi) - rod * math.sin(lean) - d,
                    r * math.cos(phi) + rod * math.cos(lean) - height,
                ]

            heights.append(fsolve(gap, [rod, 0.0])[0])
    return heights


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> int:
    linkage = sixteen_bores()
    angles = np.linspace(0.0, 720.0, ANGLES, endpoint=False)
    few = angles[::SOLVED_SHARE]
    contenders: dict[str, tuple[Callable[[], object], int]] = {
        "state": (lambda: state(linkage, angles), 1),
        "python loop, height only": (lambda: loop_state(linkage, angles), 1),
        "scipy fsolve, height only": (lambda: solved_state(linkage, few), SOLVED_SHARE),
        "poses": (lambda: poses(linkage, angles), 1),
        "peaks": (lambda: (peak_speed(linkage), peak_acceleration(linkage)), 1),
    }
    best = dict.fromkeys(contenders, math.inf)
    for _ in range(ROUNDS):
        for name, (work, share) in contenders.items():
            best[name] = min(best[name], share * seconds(work))
    print(f"{BORES} bores x {ANGLES} angles, least of {ROUNDS} rounds")  # noqa: T201
    for name, taken in best.items():
        print(f"{name:28s} {1e3 * taken:10.2f} ms   {taken / best['state']:10.1f} x state")  # noqa: T201
    within = best["state"] <= LIMIT_S
    print(f"limit for state {1e3 * LIMIT_S:.0f} ms: {'met' if within else 'MISSED'}")  # noqa: T201
    return 0 if within else 1


if __name__ == "__main__":
    sys.exit(main())
