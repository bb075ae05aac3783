"""Rod bolt torque against what pulls at the cap and against the proof load; joint formulas by hand (Shigley)."""

import math
from copy import deepcopy

import pytest

from geometry.assembly import assemble
from geometry.balance.weights import weigh_bores
from geometry.checks.fasteners import CHECK, RIDING
from geometry.checks.inertia import cap_load, full_preload_n
from geometry.spec.base import FROM_FILE
from geometry.spec.engine import Engine
from geometry.spec.load import load_engine
from geometry.spec.weights import PartWeights
from tests.geometry.fleet import CLEAR, FOLDER, assembly, raw
from tests.geometry.mistakes.shop import right, spec

LBF_FT = 1.3558179483  # N m
PROOF_NM = 0.18 * 0.375 / 12 * 140e3 * math.pi / 4 * (0.375 - 0.9743 / 24) ** 2 * LBF_FT
"""K d F with K 0.18, 3/8-24 (ASME B1.1 stress area) and 140 ksi."""


BARE = {"torque": None, "stages": [], "stretch": None}


def verdict(**bolt):
    section = CHECK.run(assemble(spec(rod={"bolt": {"stretch": None} | bolt})), "in")
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
    assert verdict(**BARE) == ("no torque", "note")
    assert verdict(torque="45 lbf*ft", proof=None) == ("within", "")
    assert len(CHECK.run(assemble(spec(rod={"bolt": BARE})), "in").findings) == 1


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
    assert {row["verdict"] for row in section.rows} <= {"within", "by angle"}
    assert {row["joint"] for row in section.rows} == {"rod", "main", "head"}


# ---- mains, heads, stretch, angle, yield


def bolted(name="knot", **changes):
    """Rows of a demo engine by joint, with the section; changes by key of the engine file."""
    made = assemble(load_engine(FOLDER / f"{name}.toml", changes), kinds=RIDING)
    section = CHECK.run(made, "mm")
    return {row["joint"]: row for row in section.rows}, section


def test_main_and_head_bolts_have_rows_of_their_own():
    rows, section = bolted("knot")
    assert list(rows) == ["rod", "main", "head"]
    assert (rows["main"]["bore"], rows["rod"]["bore"]) == (None, 1)
    # 5/16-18 grade 5, area 0.0524 in2 (ASME B1.1 table), 85 ksi: half and three quarters of 4454 lbf by K 0.18.
    for name in ("main", "head"):
        least = 0.18 * 0.3125 / 12 * 0.5 * 85e3 * 0.0524 * LBF_FT
        assert rows[name]["least_nm"].value == pytest.approx(least, rel=1e-3)
        assert rows[name]["most_nm"].value == pytest.approx(1.5 * least, rel=1e-3)
        assert rows[name]["holds_nm"] is rows[name]["opens_at_rpm"] is None
        assert rows[name]["limit_source"].endswith("the bolt maker's figure wins")
    assert not any("[head.bolt]" in note for note in section.notes)


def test_what_the_file_says_nothing_of_is_told_and_asked_for():
    _, section = bolted("turnstone")
    assert {row["joint"] for row in section.rows} == {"rod"}
    assert any("[block.main_cap.bolt]" in note and "[head.bolt]" in note for note in section.notes)
    rows, _ = bolted("plover")
    assert rows["main"]["wanting"] == "lubricant, grip, face"


def test_scatter_by_what_is_on_the_thread():
    rows, _ = bolted("knot", **{"head.bolt.lubricant": "black_dry"})
    head = rows["head"]
    # 160 lbf in by K 0.30: 1707 lbf, and 30 percent either way.
    assert head["preload_n"].value == pytest.approx(160 / (0.30 * 0.3125) * 4.4482216, rel=1e-6)
    assert head["preload_low_n"].value == pytest.approx(0.7 * head["preload_n"].value)
    assert head["preload_high_n"].value == pytest.approx(1.3 * head["preload_n"].value)


def test_stretch_of_tern_by_hand():
    # Head 0.4 d, 0.22 in full, 0.60 in of 0.330, thread 0.5 d at its root 0.3239: 12.645 per inch, E 29.73 Mpsi.
    rows, _ = bolted("tern")
    rod = rows["rod"]
    full, necked, root = (math.pi / 4 * d**2 for d in (0.375, 0.330, 0.375 - 1.22687 / 24))
    per_inch = (0.4 * 0.375 + 0.22) / full + 0.60 / necked + 0.5 * 0.375 / root
    load = 0.0034 * 205_000 / 6.894757 * 1000 / per_inch  # lbf
    assert load == pytest.approx(7997, abs=5)
    assert rod["tightened_by"] == "stretch"
    assert rod["preload_n"].value == pytest.approx(load * 4.4482216, rel=1e-4)
    assert rod["preload_low_n"].value == pytest.approx(0.95 * rod["preload_n"].value)
    assert rod["proof_share"] == pytest.approx(load / (140e3 * 0.08783), abs=1e-3)
    assert rod["stretch_at_tension_mm"].value == pytest.approx(0.0034 * 25.4)


def test_pressure_and_thread_by_hand():
    rows, _ = bolted("tern")
    rod = rows["rod"]
    face = math.pi / 4 * (0.55**2 - 0.385**2) * 645.16
    assert rod["pressure_mpa"].value == pytest.approx(rod["preload_n"].value / face, rel=1e-9)
    # main bolts, 7/16-14 in grey iron of 200 MPa in shear, 0.90 in deep: 7/8 pi d L of its thread.
    strips = 0.875 * math.pi * 11.1125 * 0.90 * 25.4 * 200.0
    assert rows["main"]["strips_at_n"].value == pytest.approx(strips, rel=1e-5)
    assert rows["main"]["weaker_thread"] == "hole"
    # rod bolts in a steel rod: their own thread, 3/4 pi L of the hole's inside, at 0.6 of 140 ksi, is the weaker.
    own = 0.75 * math.pi * (0.375 - 1.082532 / 24) * 0.62 * 645.16 * 0.6 * 140 * 6.894757
    assert rod["strips_at_n"].value == pytest.approx(own, rel=1e-5)
    assert rod["weaker_thread"] == "bolt"


def test_a_nut_is_no_tapped_hole():
    rows, _ = bolted("dunlin", **{"rod.bolt.engaged": "4 mm"})
    assert rows["rod"]["strips_at_n"] is None
    assert "engaged" not in rows["rod"]["wanting"]


def test_after_an_angle_below_the_yield_the_tension_is_judged():
    stages = {"head.bolt.torque": None, "head.bolt.stages": [{"torque": "40 N*m"}, {"angle": "30 deg"}]}
    rows, section = with_tables("dunlin", stages)
    head = rows["head"]
    assert head["tightened_by"] == "angle"
    assert head["torque_nm"] is None
    snug = 40_000 / (0.18 * 12.0)
    assert head["preload_n"].value > 1.5 * snug
    assert head["angle_deg"].value == 30.0
    figure = next(f for f in section.figures if f.name == "head tension")
    assert figure.value == head["preload_n"].value
    assert (figure.least, figure.most) == pytest.approx(
        (0.5 * head["proof_n"].value, 0.75 * head["proof_n"].value)
    )


def with_tables(name, changes):
    """As ``bolted``, tables changed in place."""
    data = deepcopy(raw(name))
    for key, value in changes.items():
        *path, last = key.split(".")
        table = data
        for step in path:
            table = table[step]
        table.pop(last, None)
        if value is not None:
            table[last] = value
    made = assemble(Engine.model_validate(data, context=FROM_FILE), kinds=RIDING)
    section = CHECK.run(made, "mm")
    return {row["joint"]: row for row in section.rows}, section


LOADS = ("torque_nm", "holds_nm", "least_nm", "most_nm", "proof_nm", "preload_n", "preload_low_n", "preload_high_n",
         "proof_share", "opens_at_rpm", "stretch_at_tension_mm", "pressure_mpa")  # fmt: skip


@pytest.mark.parametrize("joint", ["rod", "main", "head"])
def test_a_bolt_beyond_its_yield_never_shows_a_load(joint):
    key = {"rod": "rod.bolt", "main": "block.main_cap.bolt", "head": "head.bolt"}[joint]
    stages = [{"torque": "20 N*m"}, {"angle": "90 deg"}]
    own = {"torque": None, "yield_tightened": True, "stages": stages, "stretch": "0.1 mm", "face": "20 mm"}
    rows, section = with_tables("knot", {f"{key}.{name}": value for name, value in own.items()})
    row = rows[joint]
    assert {name: row[name] for name in LOADS} == dict.fromkeys(LOADS)
    assert (row["verdict"], row["severity"], row["tightened_by"]) == ("by angle", "", "yield")
    assert row["snug_nm"].value == 20.0
    assert row["angle_deg"].value == 90.0
    prefix = "" if joint == "rod" else f"{joint} "
    named = {f.name for f in section.figures} & {prefix + n for n in ("torque", "stretch", "tension")}
    assert named == set()
    assert section.findings == ()


def test_a_bolt_beyond_its_yield_without_stages_is_noted():
    rows, section = with_tables("curlew", {"head.bolt.stages": []})
    assert (rows["head"]["verdict"], rows["head"]["severity"]) == ("no stages", "note")
    assert [finding.severity for finding in section.findings] == ["note"]
    assert "head.bolt.stages" in section.findings[0].remedy


def test_the_preload_of_a_rod_bolt_beyond_its_yield_is_not_known_to_any_mistake():
    data = deepcopy(raw("knot"))
    assert full_preload_n(assembly("knot")) == pytest.approx(160 / (0.18 * 0.3125) * 4.4482216, rel=1e-6)
    del data["rod"]["bolt"]["torque"]
    data["rod"]["bolt"]["yield_tightened"] = True
    assert full_preload_n(assemble(Engine.model_validate(data, context=FROM_FILE), kinds=())) is None


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"yield_tightened": True}, "no torque tells the load"),
        ({"stages": [{"angle": "90 deg"}]}, "the first stage is an angle"),
        ({"stages": [{"torque": "40 N*m"}, {"torque": "20 N*m"}]}, "less torque than an earlier one"),
        ({"stages": [{"torque": "40 N*m", "angle": "90 deg"}]}, "a stage is one torque or one angle"),
        ({"stages": [{}]}, "a stage is one torque or one angle"),
        ({"grip": [{"diameter": "8 mm"}]}, "says no length"),
        ({"free_length": "60 mm", "longest": "59 mm"}, "less than its length when new"),
        ({"face": "7 mm"}, "no wider than the bolt"),
        ({"hole": "7 mm"}, "does not go through the hole"),
        ({"grip": [{"length": "10 mm", "diameter": "30 mm"}]}, "twice as thick"),
        ({"engaged": "90 mm"}, "six times as deep"),
        ({"pitch": "20 mm"}, "half the bolt's diameter"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(changes, said):
    with pytest.raises(ValueError, match=said):
        with_tables("knot", {f"head.bolt.{name}": value for name, value in changes.items()})


def test_weights_off_the_scales_pull_at_the_cap_in_place_of_the_solids():
    """A pin 100 g heavier by the file than by its solid adds just that to what goes up and down."""
    base = assembly("knot")
    solid = cap_load(base, base.layout.site(1)).reciprocating_kg
    heavy = base.spec.model_copy(
        update={"weights": PartWeights(pin_kg=0.159, rings_kg=0.030, locks_kg=0.002)}
    )
    found = cap_load(assemble(heavy), base.layout.site(1)).reciprocating_kg
    (one,) = weigh_bores(base)
    assert found - solid == pytest.approx(0.191 - one.of(("pin", "rings")))
