"""Rod bolt torque against what pulls at the cap and against the proof load; joint formulas by hand (Shigley)."""

import math

import pytest

from geometry.assembly import assemble
from geometry.checks.fasteners import CHECK
from geometry.checks.inertia import cap_load
from tests.geometry.fleet import CLEAR, assembly
from tests.geometry.mistakes.shop import right, spec

LBF_FT = 1.3558179483  # N m
PROOF_NM = 0.18 * 0.375 / 12 * 140e3 * math.pi / 4 * (0.375 - 0.9743 / 24) ** 2 * LBF_FT
"""K d F with K 0.18, 3/8-24 (ASME B1.1 stress area) and 140 ksi."""


def verdict(**bolt):
    section = CHECK.run(assemble(spec(rod={"bolt": bolt})), "in")
    row = section.rows[0]
    severities = {finding.severity for finding in section.findings}
    assert severities == ({row["severity"]} if row["severity"] else set())
    return row["verdict"], row["severity"]


def test_limits_by_hand():
    base = right()
    row = CHECK.run(base, "in").rows[0]
    assert row["proof_nm"].value == pytest.approx(PROOF_NM, rel=1e-6)
    assert row["most_nm"].value == pytest.approx(0.75 * PROOF_NM, rel=1e-6)
    assert row["least_nm"].value == pytest.approx(0.5 * PROOF_NM, rel=1e-6)
    # The joint opens where (1 - C) P reaches the preload; two bolts share P, and a torque may leave 20 percent less.
    load = cap_load(base, base.layout.site(1))
    omega = 5000 * 2 * math.pi / 60
    needed = (1 - load.share) * load.load_per_speed2_n * omega**2 / 2
    assert row["holds_nm"].value == pytest.approx(0.18 * 0.375 * 0.0254 * needed / 0.8, rel=1e-6)


@pytest.mark.parametrize(
    "share, state, severity",
    [
        (0.10, "too little", "stop"), (0.45, "little", "look"), (0.55, "within", ""), (0.74, "within", ""),
        (0.76, "much", "look"), (0.99, "much", "look"), (1.01, "beyond proof", "stop"),
    ],
)  # fmt: skip
def test_torque_by_its_share_of_the_proof_load(share, state, severity):
    assert verdict(torque=f"{share * PROOF_NM:.4f} N*m") == (state, severity)


def test_no_torque_and_no_proof():
    assert verdict(torque=None) == ("no torque", "note")
    assert verdict(torque="45 lbf*ft", proof=None) == ("within", "")
    assert len(CHECK.run(assemble(spec(rod={"bolt": {"torque": None}})), "in").findings) == 1


def test_bolts_left_loose_stop_the_job_at_their_bore_alone():
    for name in ("whimbrel", "knot"):
        base = assembly(name)
        wrong = assemble(base.spec, base.built.with_bore(1, bolts_loose=True))
        section = CHECK.run(wrong, "mm")
        assert [(f.severity, f.bore) for f in section.findings] == [("stop", 1)]
        assert section.rows[0]["opens_at_rpm"].value == 0.0


@pytest.mark.parametrize("name", CLEAR)
def test_the_demo_engines_hold_their_caps(name):
    section = CHECK.run(assembly(name), "mm")
    assert section.findings == ()
    assert {row["verdict"] for row in section.rows} == {"within"}
