import json

import pytest

from geometry.checks.clearances import untried
from geometry.checks.section import checks
from geometry.clearance.full_turn import full_turn
from viewer.job import read_job
from viewer.serve.known import KnownEngine
from viewer.serve.quantities import quantities_of
from viewer.serve.trying import Trying

TRIED = (
    {
        "gasket.thickness": "1.4 mm",
        "rings.top.gap": "9 thou",
    },  # nothing that moves, and no shape that meets another
    {"crank.stroke": "2.51 in", "rod.small_end.width": "0.8 in"},  # the motion itself, and a moving part
)


@pytest.fixture(scope="module")
def trying(made):
    serving, shown = made
    return Trying(serving, KnownEngine(shown))


@pytest.mark.parametrize("settings", TRIED)
def test_what_is_taken_over_answers_as_an_engine_made_from_nothing(made, trying, settings):
    """The reference: the same values by ``--set``, every part and certificate made anew."""
    tried = trying.tried(settings)
    fresh = read_job(made[0].engine, None, [f"{key}={value}" for key, value in settings.items()])
    for check in checks():
        wanted = (
            untried(fresh.assembly, full_turn(fresh.assembly), fresh.system)
            if check.key == "clearances"
            else check.run(fresh.assembly, fresh.system)
        )
        mine = {(f.name, f.bore): f for f in tried.sections[check.key].figures}
        for figure in wanted.figures:
            other = mine.pop((figure.name, figure.bore))
            room = figure.within + other.within + 1e-9 * max(1.0, abs(figure.value))
            assert abs(other.value - figure.value) <= room, (check.key, figure.name)
            assert (other.least, other.most, other.source) == (figure.least, figure.most, figure.source)
        assert not mine


def test_the_picture_brings_only_the_meshes_that_are_new(made, trying):
    sent = trying.picture({"rings.top.gap": "9 thou"})
    assert sent["base"] == made[1].version
    assert 0 < len(sent["solids"]) < len(made[1].solids) / 4
    solids, (variant,) = sent["page"]["solids"], sent["page"]["variants"]
    ends = [s[q]["at"] + 6 * s[q]["vertices"] for s in solids for q in ("fine", "coarse")]
    assert max(ends) <= len(made[1].solids) + len(sent["solids"])
    own = {body["name"]: body["solid"] for body in made[1].page["variants"][0]["bodies"]}
    assert {b["name"] for b in variant["bodies"] if own[b["name"]] != b["solid"]} == {"ring_top 1"} or all(
        "ring" in b["name"] for b in variant["bodies"] if own[b["name"]] != b["solid"]
    )
    assert "rings.top.gap = 9 thou" in variant["words"]
    json.dumps(sent["page"], allow_nan=False)


def test_every_quantity_says_what_it_is_and_reads_its_own_value_back(made):
    from geometry.units import parse

    described = made[1].job.described
    told = quantities_of(described, "mm")
    assert [one["key"] for one in told] == [value.key for value in described.values]
    for one, value in zip(told, described.values, strict=True):
        assert one["words"]
        assert one["step"] > 0
        half = 0.51 * 10.0 ** -one["digits"] * parse(f"2 {one['unit']}", value.dimension)
        assert abs(parse(one["value"], value.dimension) - value.nominal) <= half


def test_answers_over_the_wire(ask):
    bad, unknown, path, good = ask(
        ("POST", "/api/try", {"json": {"settings": {"crank.stroke": "63"}}}),
        ("POST", "/api/try", {"json": {"settings": {"crank.strike": "63 mm"}}}),
        ("POST", "/api/try", {"json": {"settings": {"block.mesh": "/etc/passwd"}}}),
        ("POST", "/api/try", {"json": {"settings": {"gasket.thickness": "1.4 mm"}}}),
    )
    assert (bad.status_code, unknown.status_code, path.status_code, good.status_code) == (422, 422, 422, 200)
    assert "crank.stroke" in bad.json()["error"]["what"]
    assert "unit" in bad.json()["error"]["what"]
    told = good.json()
    compression = next(row for row in told["rows"] if "compression" in row["cells"][0])
    assert len(compression["cells"]) == len(told["headings"])
    before, after = (float(cell) for cell in compression["cells"][2:4])
    assert before != after
    assert "stay as they are" in told["summary"]


def test_saving_writes_a_new_file_with_comments_kept_and_never_another(ask, made, served):
    engine, folder = made[0].engine, made[0].engine.parent
    before = engine.read_bytes()
    values = {"crank.stroke": "64 mm", "rod.bolt.torque": "20 N*m"}
    refused = [
        *("../x.toml", "x.json", "/tmp/x.toml", "a/b.toml", "a\\b.toml", ".toml", "con.toml", "x.toml\u0000"),
        *("knot.record.toml", "..toml", "", "x" * 150 + ".toml", "C:x.toml", "x\n.toml"),
    ]
    answers = ask(*(("POST", "/api/save", {"json": {"settings": values, "name": name}}) for name in refused))
    assert {answer.status_code for answer in answers} == {422}
    again, bad, saved, twice = ask(
        ("POST", "/api/save", {"json": {"settings": values, "name": "knot.toml"}}),
        ("POST", "/api/save", {"json": {"settings": {"crank.stroke": "-4 mm"}, "name": "new.toml"}}),
        ("POST", "/api/save", {"json": {"settings": values, "name": "new.toml"}}),
        ("POST", "/api/save", {"json": {"settings": values, "name": "new.toml"}}),
    )
    assert (again.status_code, bad.status_code, saved.status_code, twice.status_code) == (409, 422, 200, 409)
    assert engine.read_bytes() == before
    text = (folder / "new.toml").read_text()
    assert abs(read_job(folder / "new.toml").assembly.spec.crank.stroke_mm - 64.0) < 1e-12
    old_lines, new_lines = before.decode().splitlines(), text.splitlines()
    assert len(old_lines) == len(new_lines)
    changed = [new for old, new in zip(old_lines, new_lines, strict=True) if old != new]
    assert len(changed) == len(values)
    (folder / "new.toml").unlink()
