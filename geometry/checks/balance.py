"""Balance: what the crank is balanced to, what shakes the engine then, and whether weighed parts match."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from geometry.assembly import Assembly
from geometry.balance.bob import Balancing, balancing
from geometry.balance.counterweights import Plane, ahead_of_first_deg, planes
from geometry.balance.phasors import couple_nm, force_n
from geometry.balance.shaking import Shaking, peak_of, shaking
from geometry.balance.spread import WeightMatch, tolerance_kg, weighed_parts, weight_matches
from geometry.balance.weights import PART_WORDS
from geometry.balance.words import MACHINE, factor_words, shake_lines, weights_from
from geometry.checks.section import Amount, Check, Column, Finding, Row, Section
from geometry.units import System, show

TURN_DEG = np.arange(0.0, 360.0, 1.0)


def run(assembly: Assembly, system: System) -> Section:
    """One row for the engine, at its own speed."""
    plan = balancing(assembly)
    return summary(assembly, plan, shaking(assembly, plan), assembly.spec.engine.speed_rpm, system)


def summary(assembly: Assembly, plan: Balancing, left: Shaking, speed_rpm: float, system: System) -> Section:
    """The section at any speed, from what was worked out already."""
    row = balance_row(assembly, plan, left, speed_rpm, system)
    columns = (
        Column("reciprocating_kg", "reciprocating, a bore"), Column("rotating_kg", "rotating, a rod"),
        Column("bob_weight", "bob weight"), Column("shakes", "what shakes it"),
    )  # fmt: skip
    findings = tuple(_match_findings(assembly, plan))
    notes = _notes(assembly, plan, show(speed_rpm, "rotation", system))
    return Section("balance", "Balance", columns, (row,), findings, notes, single=True)


def balance_row(assembly: Assembly, plan: Balancing, left: Shaking, speed_rpm: float, system: System) -> Row:
    """All numbers of the balance at a speed, as ``check --json`` has them."""
    count = len(plan.weights)
    bobs = [bob.mass_kg for bob in plan.bobs]
    each = grams(max(bobs)) if max(bobs) - min(bobs) < 0.0005 else f"{grams(min(bobs))} to {grams(max(bobs))}"
    return {
        "reciprocating_kg": _mass(sum(one.reciprocating_kg for one in plan.weights) / count),
        "rotating_kg": _mass(sum(one.rotating_kg for one in plan.weights) / count),
        "bob_weight": f"{each} on each pin: all that rotates, and {plan.factor:.2f} of what goes up and down",
        "factor": round(plan.factor, 4),
        "factor_own": round(plan.own.factor, 4),
        "factor_kind": plan.own.kind,
        "factor_source": factor_source(plan),
        "bob_weight_least_kg": _mass(min(bobs)),
        "bob_weight_most_kg": _mass(max(bobs)),
        "oil_a_pin_kg": _mass(plan.bobs[0].oil_kg),
        "assumed_parts": len({part for one in plan.weights for part in one.from_solids()}),
        "weights_from": weights_from(plan),
        "speed_rpm": Amount(speed_rpm, "rotation"),
        **shake_amounts(left, speed_rpm),
        "shakes": "; ".join(shake_lines(left, speed_rpm, system)),
        **_plane_cells(assembly, planes(assembly, plan.bobs)),
    }  # fmt: skip


def shake_amounts(left: Shaking, speed_rpm: float) -> dict[str, Amount]:
    """Peaks of forces and couples at a speed; before: of the pistons alone, without any counterweight."""
    forces = {
        "first_force_before_n": left.bare_first.force,
        "first_force_n": left.first.force,
        "second_force_n": left.second.force,
    }
    couples = {
        "first_couple_before_nm": left.bare_first.couple,
        "first_couple_nm": left.first.couple,
        "second_couple_nm": left.second.couple,
    }
    found = {key: Amount(force_n(one.most, speed_rpm), "force") for key, one in forces.items()}
    found |= {key: Amount(couple_nm(one.most, speed_rpm), "torque") for key, one in couples.items()}
    both = peak_of(left.force_n(TURN_DEG, speed_rpm)), peak_of(left.couple_nm(TURN_DEG, speed_rpm))
    return found | {
        "peak_force_n": Amount(both[0], "force"),
        "peak_couple_nm": Amount(both[1], "torque"),
    }


def grams(mass_kg: float, digits: int = 0) -> str:
    """A weight as scales show it."""
    return show(mass_kg, "mass", "mm", digits)


def factor_source(plan: Balancing) -> str:
    """Who says the factor."""
    return "from the layout" if plan.is_own else "your engine file"


def _mass(mass_kg: float) -> Amount:
    return Amount(mass_kg, "mass", digits=0)


def _plane_cells(assembly: Assembly, both: Sequence[Plane]) -> dict[str, int | float | Amount | None]:
    """Each correction plane as flat numbers; where to add is the side opposite the heavy one."""
    found: dict[str, int | float | Amount | None] = {}
    for end, plane in zip(("front", "rear"), both, strict=True):
        found |= {
            f"{end}_cheek": plane.cheek,
            f"{end}_wanted_g_mm": round(1e3 * abs(plane.wanted_kg_mm)),
            f"{end}_given_g_mm": round(1e3 * abs(plane.given_kg_mm)),
            f"{end}_remainder_g_mm": round(1e3 * abs(plane.remainder_kg_mm)),
            f"{end}_add_kg": _mass(plane.mass_kg),
            f"{end}_radius_mm": Amount(plane.radius_mm, "length"),
            f"{end}_add_deg": round(ahead_of_first_deg(assembly.layout, -plane.remainder_kg_mm), 1),
        }
    return found


def _notes(assembly: Assembly, plan: Balancing, speed: str) -> tuple[str, ...]:
    """Where weights and factor come from, and what decides."""
    why = factor_words(plan.own) if plan.is_own else "your engine file"
    oil = "" if assembly.spec.weights.oil_kg is not None else " (3 to 5 g by shop, from memory)"
    return (
        f"Weights: {weights_from(plan)}. Oil: {grams(plan.bobs[0].oil_kg)} a pin{oil}.",
        f"Balance factor {plan.factor:.2f}: {why}.",
        f"What shakes it: at {speed}, the crank balanced to that. Every pin, plane and a picture: `fullturn balance`; "
        f"{MACHINE}.",
    )


def matches(assembly: Assembly, plan: Balancing) -> tuple[WeightMatch, ...]:
    """Weighed parts beside the lightest of their kind."""
    return weight_matches(weighed_parts(plan.weights), tolerance_kg(assembly.spec)[0])


def _match_findings(assembly: Assembly, plan: Balancing) -> Iterator[Finding]:
    """One finding for each part that is to be lightened, known by the same name as in a build record."""
    allowed, source = tolerance_kg(assembly.spec)
    for row in matches(assembly, plan):
        if row.is_over:
            yield Finding(
                f"weight_of_{row.matched.lighten}", "look", row.bore,
                f"{row.matched.words}: {grams(row.mass_kg, 1)}, {grams(row.over_kg, 1)} over the lightest, that of "
                f"bore {row.lightest_bore}; at most {grams(allowed, 1)} apart ({source})",
                f"take {grams(row.over_kg, 1)} off the {PART_WORDS[row.matched.lighten]}",
                group=f"weight.{row.matched.lighten}",
            )  # fmt: skip


CHECK = Check("balance", 48, run)
