"""Every layout over the whole range of engines that proportions are meant for: which filled engines do not fit.

    python -m tests.bench.bench_filled [LAYOUT ..]

Bore 55, 90 and 130 mm, stroke by bore 0.7 to 1.35, rod by stroke 1.45 to 2.1. What is outside its limit is printed. A
60 degree vee whose pins come nearer to the crank axis than about a bore at bottom dead centre cannot be built: the
skirts of both banks would meet. Those are told apart.
"""

import sys
import time
from itertools import product

from tests.geometry.spec.proportions.engines import LAYOUTS, few, filled
from tests.geometry.spec.proportions.test_fill import outside

BORES_MM = (55.0, 90.0, 130.0)
STROKE_BY_BORE = (0.7, 0.93, 1.35)
ROD_BY_STROKE = (1.45, 1.75, 2.1)
NARROW_VEE = 0.9
"""Least height of a pin above the crank axis at bottom dead centre, in bores, for a 60 degree vee."""


def main(layouts):
    """Go through the range and print what does not fit."""
    started, tried, wrong = time.perf_counter(), 0, 0
    for layout, bore, stroke, rod in product(layouts, BORES_MM, STROKE_BY_BORE, ROD_BY_STROKE):
        tried += 1
        found = outside(filled(few(layout, bore, stroke, rod)))
        if found:
            cannot = layout == "vee-six" and stroke * (rod - 0.5) < NARROW_VEE
            wrong += not cannot
            note = " (cannot be built)" if cannot else ""
            print(f"{layout} {bore:g} mm, stroke {stroke:g}, rod {rod:g}{note}:")  # noqa: T201
            for what in found[:3]:
                print(f"    {what}")  # noqa: T201
    print(f"{tried} engines, {wrong} wrong, {time.perf_counter() - started:.0f} s")  # noqa: T201
    return wrong > 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:] or list(LAYOUTS)))
