"""The finding that names the value most likely at fault, and that what was filled in bears no witness."""

import pytest

from geometry.checks.plausible import implausible, suspect_of, with_implausible
from geometry.checks.section import Section
from geometry.spec.described import load_described

TERN = "demo_engines/tern.toml"
FEW = """
[engine]
layout = "inline"
numbering = { line = [1, 2, 3, 4] }
[block.bore]
diameter = "86 mm"
[crank]
stroke = "86 mm"
[rod]
length = "143 mm"
"""


def test_a_usual_engine_has_no_such_finding():
    described = load_described(TERN)
    assert implausible(described, "in") == ()
    assert with_implausible([Section("summary", "Engine", (), ())], described, "in")[0].findings == ()


def test_the_finding_is_one_line_in_the_table_of_the_whole_engine():
    described = load_described(TERN, {"piston.grooves[1].root": "3.24 in"})
    summary, other = with_implausible(
        [Section("summary", "Engine", (), ()), Section("rings", "Rings", (), ())], described, "in"
    )
    (finding,) = summary.findings
    assert other.findings == ()
    assert (finding.id, finding.severity, finding.bore) == ("implausible", "look", None)
    assert finding.text.startswith("piston.grooves[1].root 3.24 in is 0.41")
    assert "rings.top.wall" in finding.text
    assert "no source" in finding.text
    assert finding.remedy.startswith("measure it again: usual would be about 3.65")


def test_a_slip_of_the_pen_is_asked_about():
    (finding,) = implausible(load_described(TERN, {"rings.top.gap": "180 thou"}), "in")
    assert finding.text.startswith("rings.top.gap 0.18 in is ten times what block.bore.diameter suggests")
    assert finding.remedy == "did you mean 0.018 in?"


@pytest.mark.parametrize(
    ("stroke", "found"), [('"86 mm"', None), ('"100 mm"', None), ('"215 mm"', "crank.stroke")]
)
def test_what_was_filled_in_is_no_witness(tmp_path, stroke, found):
    file = tmp_path / "few.toml"
    file.write_text(FEW.replace('stroke = "86 mm"', f"stroke = {stroke}"), encoding="utf-8")
    suspected = suspect_of(load_described(file))
    assert (suspected and suspected.key) == found
