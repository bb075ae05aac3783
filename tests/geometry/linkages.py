"""Linkages for tests: one bore, named layouts, and a hypothesis strategy over all layouts."""

import numpy as np
from hypothesis import strategies as st

from geometry.kinematics.slider_crank import Linkage


def one_bore(throw_mm, rod_mm, offset_mm=0.0, sense=1, bank_deg=0.0, pin_deg=0.0):
    """A single bore at x = 0, its throw straight up at crank angle zero unless told otherwise."""
    numbers = (0.0, bank_deg, pin_deg, throw_mm, rod_mm, offset_mm)
    return Linkage(*(np.array([float(number)]) for number in numbers), sense)


def engine(bank_deg, pin_deg, throw_mm=44.0, rod_mm=150.0, offset_mm=0.0, pitch_mm=55.0, sense=1):
    """Bores at even pitch, front to rear, with the given banks and crankpin angles."""
    count = len(bank_deg)
    same = np.ones(count)
    return Linkage(
        pitch_mm * np.arange(1.0, count + 1.0),
        np.array(bank_deg, dtype=float),
        np.array(pin_deg, dtype=float),
        throw_mm * same,
        rod_mm * same,
        offset_mm * same,
        sense,
    )


# Crankpin angles are from +z about +x. In a vee the left bank (bank positive) comes first on each pin.
LAYOUTS = {
    "single": ([0], [0]),
    "inline-four": ([0] * 4, [0, 180, 180, 0]),
    "inline-six": ([0] * 6, [0, 120, 240, 240, 120, 0]),
    "slant-four": ([30] * 4, [30, 210, 210, 30]),
    "cross-plane V8": ([45, -45] * 4, [45, 45, 135, 135, 315, 315, 225, 225]),
    "60 degree V6, split pins": ([30, -30] * 3, [30, -30, 150, 90, 270, 210]),
    "flat four": ([90, -90] * 2, [90, 270, 270, 90]),
    "V16": ([22.5, -22.5] * 8, np.repeat([0, 90, 180, 270, 270, 180, 90, 0], 2)),
}


@st.composite
def linkages(draw, least_rod_over_reach=1.2, most_offset_over_throw=0.3):
    """Any layout, any size, either sense, with pin offsets; rods as short as asked, up to five throws."""
    bank_deg, pin_deg = LAYOUTS[draw(st.sampled_from(sorted(LAYOUTS)))]
    throw_mm = draw(st.floats(10.0, 200.0))
    offset_mm = throw_mm * draw(st.floats(-most_offset_over_throw, most_offset_over_throw))
    reach_mm = throw_mm + abs(offset_mm)
    return engine(
        bank_deg,
        np.asarray(pin_deg) + draw(st.floats(-180.0, 180.0)),
        throw_mm,
        reach_mm * draw(st.floats(least_rod_over_reach, 5.0)),
        offset_mm,
        sense=draw(st.sampled_from([1, -1])),
    )


def wide_linkage(count, seed, least_excess):
    """Bores of unit throw from ordinary to the last one that turns over: offsets to 30 throws, any rod."""
    rng = np.random.default_rng(seed)
    offset_mm = rng.uniform(-1.0, 1.0, count) * 10.0 ** rng.uniform(-3.0, 1.5, count)
    rod_mm = (1.0 + np.abs(offset_mm)) * (1.0 + 10.0 ** rng.uniform(np.log10(least_excess), 1.0, count))
    nothing = np.zeros(count)
    return Linkage(nothing, nothing, nothing, np.ones(count), rod_mm, offset_mm, 1)
