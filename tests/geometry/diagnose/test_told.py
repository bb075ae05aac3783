"""Readings told in words keep bore, side and size; what is said back names the right angles; chances by Bayes' rule."""

import math

import pytest

from geometry.diagnose.candidates import Candidate, expected
from geometry.diagnose.felt import Felt
from geometry.diagnose.felt_words import read_felt
from geometry.diagnose.likelihood import evidence
from geometry.diagnose.ranking import diagnose
from geometry.mistakes.mistake import CrankArc, Signature


def mistake(place=3, **signature):
    return Candidate(
        "made_up", "made up", "bore", place, (place,), Signature(**signature), "below", "Look.", "Felt.", "Mend."
    )  # fmt: skip


def entries(felt, part):
    return {entry.about[0]: entry for entry in evidence(felt, expected(part), 8, 5)}


@pytest.mark.parametrize(
    "clause, felt",
    [
        # A crown too high stands nearer the head: up is plus. A top that comes later has the larger crank angle.
        ("crown 3 is 0.2 mm high", Felt(high_mm=((3, 0.2),))),
        ("piston 4 stands 0.2 mm too low", Felt(high_mm=((4, -0.2),))),
        ("deck 1 10 thou lower", Felt(high_mm=((1, -0.254),))),
        ("top of 3 is 5 late", Felt(top_late_deg=((3, 5.0),))),
        ("top of 2 comes 5 early", Felt(top_late_deg=((2, -5.0),))),
        ("side play good in 3 and 4", Felt(side_play_good=(3, 4))),
        ("no side play in 5", Felt(no_side_play=(5,))),
        ("clicks at 20 after top of 3", Felt(clicks_deg=(320.0,))),
        ("once per turn", Felt(period_deg=360.0)),
        ("stops hard once per turn", Felt(in_places=True, period_deg=360.0)),
        ("only when hot", Felt(when_hot=True)),
        ("head on", Felt(head_on=True)),
    ],
)
def test_a_reading_keeps_its_bore_its_sign_and_its_size(clause, felt):
    assert read_felt(clause, lambda bore: 100.0 * bore) == felt


def test_what_was_not_noticed_is_named_by_its_angles_within_the_turn():
    # From 350 degrees over the front mark to 5, and from 240 to 270.
    here, over, there = CrankArc(100.0, 120.0, 1.0), CrankArc(350.0, 365.0, 1.0), CrankArc(240.0, 270.0, 1.0)
    said = [
        entry.text
        for entry in evidence(Felt(tight_deg=(110.0,)), expected(mistake(tight=(here, over, there))), 8, 5)
        if entry.about[0] == "unnoticed"
    ]
    assert sorted(said) == [
        "nothing said of 240° to 270°, where it stops too", "nothing said of 350° to 5°, where it stops too"
    ]  # fmt: skip
    for angle, words in ((110.0, "it stops there"), (128.0, "it stops 8° away"), (93.0, "it stops 7° away")):
        told = entries(Felt(tight_deg=(angle,)), mistake(tight=(here,)))["tight"]
        assert told.text == f"tight at {angle:.0f}°: {words}"


def test_chances_of_side_play_and_heat_by_the_models_own_figures():
    # The blade tells right in 95 of 100; one bore in four is tight before anything is known. Nine hot reports in ten
    # come of what heat brings, and half of all before anything is known.
    felt = Felt(no_side_play=(3,))
    assert entries(felt, mistake(side_play_mm={3: 0.0}))["play"].weight == pytest.approx(
        math.log(0.95 / 0.25)
    )
    assert entries(felt, mistake(side_play_mm={4: 0.0}))["play"].weight == pytest.approx(
        math.log(0.025 / 0.25)
    )
    hot = Felt(when_hot=True)
    for part, chance in (
        (mistake(when_hot=True), 0.9),
        (mistake(seen_only=True), 0.1),
        (mistake(bound=True), 0.02),
    ):
        assert entries(hot, part)["hot"].weight == pytest.approx(math.log(chance / 0.5))


@pytest.mark.parametrize("count", [1, 4])
def test_before_anything_is_told_two_in_a_hundred_are_of_no_listed_cause(count):
    # One in twenty of the listed is joined by a second, on top, each second as likely as another.
    found = diagnose(Felt(), [mistake(place) for place in range(1, count + 1)], 8, 5)
    pairs = sum(len(cause.parts) == 2 for cause in found.causes)
    share = 0.98 + pairs * 0.98 / count * 0.05 / count
    assert found.unlisted == pytest.approx(0.02 / (0.02 + share))
    assert math.fsum(cause.chance for cause in found.causes) + found.unlisted == pytest.approx(1.0)
