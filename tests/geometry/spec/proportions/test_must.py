"""What must be written, as an editor is told: no more than what fills nothing in, and that all of it."""

from geometry.errors import InputError
from geometry.spec.load import load_engine
from geometry.spec.proportions.must import must_be_written


def test_it_is_layout_numbering_bore_and_stroke_and_what_no_rule_knows():
    assert must_be_written() == {
        "Engine": ["block", "crank", "engine"], "General": ["layout", "numbering"], "Crank": ["stroke"],
        "Block": ["bore"], "Bore": ["diameter"],
        "Groove": ["ring"], "Pocket": ["valve"], "Valve": ["valve"], "Clock": ["top"], "Heat": ["bore", "ring"],
        "ShellGrade": ["name"], "ThrustBearing": ["main"],
    }  # fmt: skip


def test_what_no_rule_knows_is_refused_where_it_is_missing(tmp_path):
    file = tmp_path / "few.toml"
    basics = "engine.layout = 'inline'\nengine.numbering = { line = [1] }\n"
    basics += "crank.stroke = '84 mm'\nblock.bore.diameter = '90 mm'\n"
    for key, more in (
        ("rings.heat.bore", "rings.heat.ring = '200 degC'"),
        ("rings.clock.top", "rings.clock.second = '90 deg'"),
        ("head.valves[1].valve", "head.valves = [{ diameter = '30 mm' }]"),
        ("piston.grooves[1].ring", "piston.grooves = [{ root = '80 mm' }]"),
    ):
        file.write_text(f"{basics}{more}\n", encoding="utf-8")
        assert key in refused(file)
    file.write_text(basics, encoding="utf-8")
    assert refused(file) == []


def refused(file):
    """The keys that are refused; none where the file is an engine."""
    try:
        load_engine(file)
    except InputError as bad:
        return [problem.key for problem in bad.problems]
    return []
