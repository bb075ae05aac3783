"""How tried remedies reach a person and a program."""

from geometry.checks.section import Finding, Remedy, Section
from viewer.reports.tables import answer, print_report

CURE = Remedy(
    'turn it down: crank.cheek.pin_radius = "1.365 in"', {"crank.cheek.pin_radius": "1.365 in"}, 1.138
)


def section():
    found = tuple(
        Finding("clearance_x", "stop", bore, f"bore {bore} is near", CURE.words, (CURE,)) for bore in (1, 3)
    )
    return Section("clearances", "Clearances", (), (), found)


def test_a_program_gets_the_values_to_set():
    findings = answer([section()])["findings"]
    wanted = [{"set": {"crank.cheek.pin_radius": "1.365 in"}, "puts_right": [], "leaves_mm": 1.138}]
    assert [f["remedies"] for f in findings] == [wanted, wanted]


def test_a_person_reads_the_same_remedy_once(capsys):
    print_report("Made up", [section()], "in")
    out = capsys.readouterr().out
    assert out.count("1.365 in") == 1
    assert out.count("-> as above") == 1
