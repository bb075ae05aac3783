"""The balance of an engine in full: weights, bob weights, forces at a speed, two planes, weights side by side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.assembly import Assembly
from geometry.balance.bob import Balancing
from geometry.balance.counterweights import ahead_of_first_deg, planes
from geometry.balance.phasors import OrderShake, Phasor, couple_nm, force_n
from geometry.balance.shaking import Shaking, peak_of
from geometry.balance.spread import tolerance_kg
from geometry.balance.weights import PARTS, BoreWeight
from geometry.balance.words import MACHINE, SOURCE_WORDS, line_words, turns_against
from geometry.checks.balance import TURN_DEG, matches
from geometry.checks.section import Amount, Column, Row, Section
from geometry.units import System, show

LEAST_SEEN_KG = 0.5e-3
"""Half of the gram that is shown."""


def tables(
    assembly: Assembly, plan: Balancing, left: Shaking, speed_rpm: float, system: System
) -> tuple[Section, ...]:
    """Every table; that of weights to match only where weights were taken."""
    found = (
        weights_table(plan), bob_table(plan), forces_table(left, speed_rpm, system),
        planes_table(assembly, plan, system), match_table(assembly, plan),
    )  # fmt: skip
    return tuple(section for section in found if section.rows)


def _grams(mass_kg: float, digits: int = 0) -> Amount:
    return Amount(mass_kg, "mass", digits=digits)


def weights_table(plan: Balancing) -> Section:
    """What moves in each bore."""
    rows = [_weights_row(one) for one in plan.weights]
    columns = (
        Column("bore", "bore"), Column("piston_kg", "piston"), Column("pin_kg", "pin"), Column("locks_kg", "locks"),
        Column("rings_kg", "rings"), Column("rod_small_kg", "small end"), Column("reciprocating_kg", "up and down"),
        Column("rod_big_kg", "big end"), Column("shells_kg", "shells"), Column("rotating_kg", "rotating"),
    )  # fmt: skip
    notes = (
        "Big end: with cap and bolts. The two ends of a rod: what scales under each read, the rod level.",
    )
    return Section("weights", "Weights", columns, tuple(rows), notes=notes)


def _weights_row(one: BoreWeight) -> Row:
    return {
        "bore": one.bore,
        **{f"{part}_kg": _grams(one.parts[part].mass_kg) for part in PARTS},
        **{f"{part}_source": SOURCE_WORDS[one.parts[part].source] for part in PARTS},
        "reciprocating_kg": _grams(one.reciprocating_kg),
        "rotating_kg": _grams(one.rotating_kg),
    }


def bob_table(plan: Balancing) -> Section:
    """The bob weight of every crankpin."""
    rows: list[Row] = [
        {
            "pin": bob.pin,
            "throw": bob.throw,
            "bores": ", ".join(map(str, bob.bores)),
            "rotating_kg": _grams(bob.rotating_kg),
            "oil_kg": _grams(bob.oil_kg),
            "reciprocating_kg": _grams(bob.reciprocating_kg),
            "factor": round(plan.factor, 4),
            "bob_weight_kg": _grams(bob.mass_kg),
        }
        for bob in plan.bobs
    ]
    columns = (
        Column("pin", "pin"), Column("throw", "throw"), Column("bores", "rods of bores"),
        Column("rotating_kg", "rotating"), Column("oil_kg", "oil"), Column("reciprocating_kg", "up and down"),
        Column("factor", "factor"), Column("bob_weight_kg", "bob weight"),
    )  # fmt: skip
    notes = (
        "Bob weight: rotating, oil, and the factor times what goes up and down, of the rods on that pin.",
    )
    return Section("bob_weights", "Bob weights", columns, tuple(rows), notes=notes)


def forces_table(left: Shaking, speed_rpm: float, system: System) -> Section:
    """Forces and couples of both orders at a speed."""
    parts: tuple[tuple[str, OrderShake], ...] = (
        ("first order, before counterweights", left.bare_first),
        ("first order, crank balanced", left.first),
        ("second order", left.second),
    )
    rows: list[Row] = [_force_row(left, words, one, speed_rpm) for words, one in parts]
    force, couple = left.force_n(TURN_DEG, speed_rpm), left.couple_nm(TURN_DEG, speed_rpm)
    rows.append({
        "what": "together, crank balanced", "force_n": Amount(peak_of(force), "force", digits=0),
        "force_up_n": Amount(float(np.abs(force.real).max()), "force", digits=0),
        "force_side_n": Amount(float(np.abs(force.imag).max()), "force", digits=0),
        "couple_nm": Amount(peak_of(couple), "torque", digits=0), "way": None,
        "couple_up_nm": Amount(float(np.abs(couple.real).max()), "torque", digits=0),
        "couple_side_nm": Amount(float(np.abs(couple.imag).max()), "torque", digits=0), "couple_way": None,
    })  # fmt: skip
    columns = (
        Column("what", f"at {show(speed_rpm, 'rotation', system)}"), Column("force_n", "force, peak"),
        Column("force_up_n", "up and down"), Column("force_side_n", "sideways"), Column("way", "draws"),
        Column("couple_nm", "couple, peak"), Column("couple_up_nm", "up and down"),
        Column("couple_side_nm", "sideways"), Column("couple_way", "draws"),
    )  # fmt: skip
    notes = (
        "Of pistons, pins, locks, rings and small ends, rigid, at a steady speed; couples about the middle between the "
        "outer main bearings, as they push the rear end.",
        "Second order: with its exact size, lambda + lambda³/4 + 15 lambda⁵/128 (Taylor, from memory).",
    )
    return Section("forces", "Forces and couples", columns, tuple(rows), notes=notes)


def _force_row(left: Shaking, words: str, one: OrderShake, speed_rpm: float) -> Row:
    newton, newton_metre = force_n(1.0, speed_rpm), couple_nm(1.0, speed_rpm)
    up, side = _extent(one.force)
    rock_up, rock_side = _extent(one.couple)
    return {
        "what": words,
        "force_n": Amount(one.force.most * newton, "force", digits=0),
        "force_least_n": Amount(one.force.least * newton, "force", digits=0),
        "force_up_n": Amount(up * newton, "force", digits=0),
        "force_side_n": Amount(side * newton, "force", digits=0),
        "way": _way(left, one.force, False),
        "couple_nm": Amount(one.couple.most * newton_metre, "torque", digits=0),
        "couple_least_nm": Amount(one.couple.least * newton_metre, "torque", digits=0),
        "couple_up_nm": Amount(rock_up * newton_metre, "torque", digits=0),
        "couple_side_nm": Amount(rock_side * newton_metre, "torque", digits=0),
        "couple_way": _way(left, one.couple, True),
    }


def _extent(phasor: Phasor) -> tuple[float, float]:
    """The largest of it up or down, and to either side."""
    turned = np.conj(phasor.against_crank)
    return abs(phasor.with_crank + turned), abs(phasor.with_crank - turned)


def _way(left: Shaking, phasor: Phasor, couple: bool) -> str:
    path = left.path(phasor, couple)
    if path == "none":
        return "nothing"
    if path == "line":
        return line_words(phasor)
    turning = "against the crank" if turns_against(phasor) else "with the crank"
    return f"a circle, {turning}" if path == "circle" else f"an oval, {turning}"


def planes_table(assembly: Assembly, plan: Balancing, system: System) -> Section:
    """What the counterweights as modelled give and lack, at the first and the last of them."""
    rows: list[Row] = []
    for end, plane in zip(("front", "rear"), planes(assembly, plan.bobs), strict=True):

        def angle(unbalance_kg_mm: complex, radius_mm: float = plane.radius_mm) -> float | None:
            """None where a scale that tells grams sees nothing: its angle would be chance."""
            seen = abs(unbalance_kg_mm) / radius_mm > LEAST_SEEN_KG
            return round(ahead_of_first_deg(assembly.layout, unbalance_kg_mm), 1) if seen else None

        rows.append({
            "end": end, "cheek": plane.cheek, "plane_x_mm": Amount(plane.x_mm, "length"),
            "wanted_kg": _grams(abs(plane.wanted_kg_mm) / plane.radius_mm),
            "wanted_deg": angle(plane.wanted_kg_mm),
            "given_kg": _grams(abs(plane.given_kg_mm) / plane.radius_mm),
            "given_deg": angle(plane.given_kg_mm),
            "given_share": None if plane.share is None else round(plane.share, 3),
            "add_kg": _grams(plane.mass_kg),
            "radius_mm": Amount(plane.radius_mm, "length"),
            "add_deg": angle(-plane.remainder_kg_mm),
            "off_deg": angle(plane.remainder_kg_mm),
            "remainder_g_mm": round(1e3 * abs(plane.remainder_kg_mm)),
        })  # fmt: skip
    columns = (
        Column("end", "end"), Column("cheek", "at cheek"), Column("wanted_kg", "wanted"),
        Column("wanted_deg", "at °"), Column("given_kg", "there as modelled"),
        Column("given_deg", "at °"), Column("add_kg", "add"),
        Column("add_deg", "at °"), Column("off_deg", "or take off at °"), Column("radius_mm", "all at radius"),
    )  # fmt: skip
    notes = (
        "Angles: ahead of throw 1 in the direction of rotation. With the bob weights on, two planes stand for all of "
        "the crank.",
        "The counterweights are modelled as plain sectors as thick as their cheeks; real ones are shaped otherwise: "
        f"take this as where and about how much, {MACHINE}.",
    )
    return Section("planes", "Counterweights in two planes", columns, tuple(rows), notes=notes)


def match_table(assembly: Assembly, plan: Balancing) -> Section:
    """Weighed parts beside the lightest of their kind; no rows where none were weighed bore by bore."""
    allowed, source = tolerance_kg(assembly.spec)
    rows: list[Row] = [
        {
            "bore": row.bore,
            "parts": row.matched.words,
            "mass_kg": _grams(row.mass_kg, 1),
            "over_kg": _grams(row.over_kg, 1),
            "lightest_bore": row.lightest_bore,
            "tolerance_kg": _grams(allowed, 1),
            "tolerance_source": source,
            "verdict": "too heavy" if row.is_over else "within",
            "severity": "look" if row.is_over else "",
        }
        for row in matches(assembly, plan)
    ]
    columns = (
        Column("bore", "bore"), Column("parts", "weighed together"), Column("mass_kg", "weight"),
        Column("over_kg", "take off to match the lightest"), Column("lightest_bore", "lightest in bore"),
        Column("tolerance_kg", "at most apart"), Column("verdict", "verdict"),
    )  # fmt: skip
    notes = (
        f"At most {allowed * 1e3:.1f} g apart: {source}. Pins, locks and rings are matched by their piston; metal "
        "comes off where the maker left a pad for it.",
    )
    return Section("spread", "Weights side by side", columns, tuple(rows), notes=notes if rows else ())


def as_plain(sections: Sequence[Section]) -> dict[str, object]:
    """Every table for ``--json``, by its key."""
    return {section.key: section.as_json() for section in sections}
