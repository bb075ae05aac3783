"""Forces and couples held against the closed forms of the literature, and against the exact motion by Fourier."""

import math
from dataclasses import replace

import numpy as np
import pytest

from geometry.balance.phasors import couple_nm, force_n, middle_of_crank_mm, second_order, shake
from geometry.kinematics.layout import build_layout
from geometry.kinematics.slider_crank import Linkage, state
from geometry.spec.engine import Engine
from tests.geometry import fleet
from tests.geometry.fleet import NAMES

R2, R3, R6 = math.sqrt(2), math.sqrt(3), math.sqrt(6)
# Free forces and couples, unit m a w^2 (and lambda), couples times throw spacing: closed forms of the table in the
# Automotive Handbook (from memory: sqrt 3, 4, 0.449 / 4.98, sqrt 6, 0.4483, 3/2, 4 sqrt 2, sqrt 10), each also worked
# out as a sum of phasors. Most of F1, least of F1, M1 most and least, F2 the same, M2 the same.
LINE, VEE, FLAT = "dunlin", "tern", "whimbrel"
TABLE = {
    "single": (LINE, None, [0], 0, (1, 0), (0, 0), (1, 0), (0, 0)),
    "twin 360": (LINE, None, [0, 0], 0, (2, 0), (0, 0), (2, 0), (0, 0)),
    "twin 180": (LINE, None, [0, 180], 0, (0, 0), (1, 0), (2, 0), (0, 0)),
    "three": (LINE, None, [0, 120, 240], 0, (0, 0), (R3, 0), (0, 0), (R3, 0)),
    "four": (LINE, None, [0, 180, 180, 0], 0, (0, 0), (0, 0), (4, 0), (0, 0)),
    "five": (LINE, None, [0, 144, 216, 288, 72], 0, (0, 0), (0.449, 0), (0, 0), (4.980, 0)),
    "six": (LINE, None, [0, 120, 240, 240, 120, 0], 0, (0, 0), (0, 0), (0, 0), (0, 0)),
    "flat two": (FLAT, None, [0, 180], 0, (0, 0), (1, 0), (0, 0), (1, 0)),
    "flat four": (FLAT, None, [0, 180, 180, 0], 0, (0, 0), (0, 0), (0, 0), (2, 0)),
    "V6 60 split 60": (VEE, 60, [0, 120, 240], 60, (0, 0), (1.5, 1.5), (0, 0), (1.5, 1.5)),
    "V6 90 common": (VEE, 90, [0, 120, 240], 0, (0, 0), (R3, R3), (0, 0), (R6, 0)),
    "V6 90 split 30": (VEE, 90, [0, 120, 240], 30, (0, 0), (2.121, 1.225), (0, 0), (2.121, 1.225)),
    "V8 cross": (VEE, 90, [0, 90, 270, 180], 0, (0, 0), (math.sqrt(10), math.sqrt(10)), (0, 0), (0, 0)),
    "V8 flat": (VEE, 90, [0, 180, 180, 0], 0, (0, 0), (0, 0), (4 * R2, 0), (0, 0)),
    "V12 60": (VEE, 60, [0, 120, 240, 240, 120, 0], 0, (0, 0), (0, 0), (0, 0), (0, 0)),
}  # fmt: skip


def engine(base, bank, throws, split=0, **general):
    """A demo engine with other throws and banks."""
    raw = fleet.raw(base)
    count = len(throws)
    numbers = (
        {"line": list(range(1, count + 1))}
        if base == LINE
        else {"left": list(range(1, 2 * count, 2)), "right": list(range(2, 2 * count + 1, 2))}
        if base == VEE
        else {"left": list(range(2, count + 1, 2)), "right": list(range(1, count + 1, 2))}
    )
    said = {k: v for k, v in raw["engine"].items() if k != "firing_order"} | {"numbering": numbers, **general}
    if bank:
        said["bank_angle"] = f"{bank} deg"
    crank = raw["crank"] | {"throws": [f"{angle} deg" for angle in throws], "split": f"{split} deg"}
    crank["counterweight"] = crank["counterweight"] | {"cheeks": "every"}
    if count == 1:
        crank["cheek"] = crank["cheek"] | {"thickness": "22 mm"}
    if split:
        crank |= {"pin": crank["pin"] | {"width": "23.7 mm"}, "split_web": "1 mm"}
    return Engine.model_validate({**raw, "engine": said, "crank": crank})


def textbook(spec):
    """Linkage as the textbook has it: throws at unit spacing, pairs in one plane, a rod without end, no offset."""
    layout = build_layout(spec)
    link, ones = layout.linkage, np.ones(len(layout.bores))
    x = np.array([float(site.throw) for site in layout.bores])
    # the crank was turned so that its zero is the true dead centre of bore 1, with the pin offset of the file
    lean = link.bank_deg[layout.index(1)] - link.pin_deg[layout.index(1)]
    return Linkage(
        x, link.bank_deg, link.pin_deg + lean, ones, 1e4 * ones, 0.0 * ones, link.sense
    ), x.max() / 2


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("name", TABLE)
def test_every_layout_of_the_table(name, rotation):
    base, bank, throws, split, f1, m1, f2, m2 = TABLE[name]
    link, middle = textbook(engine(base, bank, throws, split, rotation=rotation))
    first, second = shake(link, 1.0, middle, 1), shake(link, 1.0, middle, 2)
    ratio = 1e-4  # throw over rod of the textbook linkage
    found = [(first.force, 1.0), (first.couple, 1.0), (second.force, ratio), (second.couple, ratio)]
    for (phasor, unit), (most, least) in zip(found, (f1, m1, f2, m2), strict=True):
        assert (phasor.most / unit, phasor.least / unit) == pytest.approx((most, least), abs=6e-4)


def test_the_split_90_degree_v6_leaves_what_turns_against_the_crank():
    link, middle = textbook(engine(VEE, 90, [0, 120, 240], 30))
    couple = shake(link, 1.0, middle, 1).couple
    assert abs(couple.with_crank) == pytest.approx(1.673, abs=5e-4)
    assert abs(couple.against_crank) == pytest.approx(0.448, abs=5e-4)


def test_a_split_the_wrong_way_shows():
    """Even firing needs the pin of the right hand bank to trail; with the wrong sign both couples are 3.0."""
    link, middle = textbook(engine(VEE, 60, [0, 120, 240], -60))
    first, second = shake(link, 1.0, middle, 1), shake(link, 1.0, middle, 2)
    assert first.couple.most == pytest.approx(3.0, abs=1e-6)
    assert second.couple.most * 1e4 == pytest.approx(3.0, abs=1e-4)


def test_the_flat_plane_v8_shakes_sideways_and_the_four_up_and_down():
    for name, angle in (("V8 flat", 90.0), ("four", 0.0), ("single", 0.0)):
        link, middle = textbook(engine(*TABLE[name][:4]))
        assert shake(link, 1.0, middle, 2).force.most_deg == pytest.approx(angle, abs=1e-9)


def four(mass, throw, rod, cranks, pitch=1.0):
    n = len(cranks)
    pins, zero = np.array(cranks, dtype=float), np.zeros(n)
    link = Linkage(np.arange(n) * pitch, zero, pins, zero + throw, zero + rod, zero, 1)
    return link, mass, (n - 1) * pitch / 2


def test_four_in_line_in_newtons():
    """0.5 kg, throw 43, rod 145 mm, 6000 rpm: m a w^2 8487.86 N; two-term F2 10 068.4 N, exactly 2.3 % more."""
    link, mass, middle = four(0.5, 43.0, 145.0, (0, 180, 180, 0))
    assert force_n(0.5 * 43.0, 6000) == pytest.approx(8487.86, abs=0.01)
    ratio = 43 / 145
    two_term = force_n(shake(link, mass, middle, 2).force.most, 6000) * ratio / second_order(ratio)
    assert two_term == pytest.approx(10068.4, abs=0.05)
    assert second_order(ratio) == pytest.approx(0.303340, abs=1e-6)
    one = state(link, [0.0, 180.0]).acceleration_mm_per_rad2[:, 0] * -force_n(0.5, 6000)
    assert one == pytest.approx([11004.9, -5970.8], abs=0.1)


def test_four_in_line_at_right_angles():
    """Cranks at 90 degrees in order 1-4-2-3, 2 kg, throw 50, rod 200, pitch 200 mm, 2000 rpm (textbook exercise)."""
    link, mass, middle = four(2.0, 50.0, 200.0, (0, 180, 270, 90), 200.0)
    first, second = shake(link, mass, middle, 1), shake(link, mass, middle, 2)
    assert (first.force.most, second.force.most) == pytest.approx((0, 0), abs=1e-9)
    assert couple_nm(first.couple.most, 2000) == pytest.approx(1240.69, abs=0.01)
    two_term = couple_nm(second.couple.most, 2000) * 0.25 / second_order(0.25)
    assert two_term == pytest.approx(877.30, abs=0.01)


def test_one_cylinder_at_sixty_degrees():
    """180 kg, stroke 200, rod 400 mm, 500 rpm, 60 degrees: 18.51 kN by two terms (textbook example)."""
    link, mass, middle = four(180.0, 100.0, 400.0, (0,))
    second = shake(link, mass, middle, 2).force.scaled(0.25 / float(second_order(0.25)))
    push = shake(link, mass, middle, 1).force.at(60.0) + second.at(60.0)
    assert force_n(push.real, 500) / 1000 == pytest.approx(18.51, abs=0.005)
    assert push.imag == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_the_exact_motion_has_these_orders(name, turned):
    """Sum of the exact accelerations of all bores, projected on orders 1 and 2: the same vectors at every angle."""
    layout = build_layout(fleet.turned_round(name) if turned else fleet.spec(name))
    link, middle = layout.linkage, middle_of_crank_mm(layout)
    angles = np.arange(64) * 360.0 / 64
    mass = np.linspace(0.9, 1.1, len(layout.bores))
    bank = np.radians(link.bank_deg)
    # by plane geometry: up is cos, to the engine's left sin of the bore's own lean; what is accelerated pushes back
    push = -mass * state(link, angles).acceleration_mm_per_rad2
    for arm, part in ((np.ones_like(mass), "force"), (link.x_mm - middle, "couple")):
        up, left = (push * arm * np.cos(bank)).sum(axis=1), (push * arm * np.sin(bank)).sum(axis=1)
        for order in (1, 2):
            vector = getattr(shake(link, mass, middle, order), part).at(angles)
            size = float(np.abs(mass * arm * link.throw_mm).sum())
            for exact, found in ((up, vector.real), (left, vector.imag)):
                bin_, here = np.fft.rfft(exact)[order] / 32, np.fft.rfft(found)[order] / 32
                assert abs(bin_ - here) < 3e-5 * size


def test_turned_round_it_shakes_as_in_a_mirror():
    one = build_layout(fleet.spec("tern"))
    other = build_layout(fleet.turned_round("tern"))
    assert one.sense == -other.sense
    first = shake(one.linkage, 1.0, middle_of_crank_mm(one), 1).couple
    back = shake(other.linkage, 1.0, middle_of_crank_mm(other), 1).couple
    assert abs(first.against_crank) < 0.02 * abs(first.with_crank)
    assert abs(back.against_crank) < 0.02 * abs(back.with_crank)
    assert replace(first, sense=1).at(90.0) == pytest.approx(first.at(90.0))
