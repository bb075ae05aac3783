"""What pulls at a rod's cap: everything above the joint, thrown upward at top dead centre."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.bolting import joint
from geometry.checks.bolt_joint import rod_joint
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.slider_crank import dead_centres, state
from geometry.parts.shapes.mass import mass_properties


@dataclass(frozen=True, slots=True)
class CapLoad:
    """Loads on one cap and the strength of its joint.

    Attributes
    ----------
    reciprocating_kg : piston, pin, rings and the rod's small end
    turning_kg : the rod's big end above the joint
    load_per_speed2_n : load at 1 rad/s, at top dead centre
    share : of the load that the bolts feel
    """

    reciprocating_kg: float
    turning_kg: float
    load_per_speed2_n: float
    share: float

    def opens_at_rpm(self, preload: float) -> float:
        """Speed at which the joint opens, for a preload per bolt in N; two bolts."""
        return joint.opening_speed_rpm(
            2.0 * joint.opening_load_n(preload, self.share), self.load_per_speed2_n
        )

    def load_n(self, speed_rpm: float) -> float:
        """Load on the cap at top dead centre."""
        return self.load_per_speed2_n * (speed_rpm * 0.10471975511965977) ** 2


@dataclass(frozen=True, slots=True)
class Weights:
    """What the solids of one bore weigh.

    Attributes
    ----------
    piston_kg, rod_kg : one part
    riding_kg : pin and rings
    rod_kg_mm : moment of the rod about its big end's centre
    """

    piston_kg: float
    riding_kg: float
    rod_kg: float
    rod_kg_mm: float


def weigh(assembly: Assembly, site: BoreSite) -> Weights:
    """Weigh piston, pin, rings and rod of one bore; the piston only where the engine file does not say."""
    n = site.bore
    moving = {body.name: body for body in assembly.bodies if body.frame == f"P{n}"}
    written = assembly.design(n).piston.mass_kg is not None
    piston = 0.0 if written else mass_properties(assembly.body(f"piston {n}").part).mass_kg
    riding = sum(mass_properties(body.part).mass_kg for name, body in moving.items() if name != f"piston {n}")
    rod = mass_properties(assembly.body(f"rod {n}").part)
    return Weights(piston, riding, rod.mass_kg, rod.mass_kg * float(rod.centre_mm[2]))


def cap_load(assembly: Assembly, site: BoreSite, weights: Weights | None = None) -> CapLoad:
    """Masses from the engine file where it has them, else from the solids.

    Source: the rod as two masses, at its big and at its small end, which keeps mass and centre of gravity; at top
    dead centre the one follows the piston, the other the crankpin.

    Parameters
    ----------
    weights : of the solids; None: they are weighed
    """
    spec, n = assembly.design(site.bore), site.bore
    found = weigh(assembly, site) if weights is None else weights
    own, riding = spec.weights, found.riding_kg
    if own.pin_kg is not None and own.rings_kg is not None:
        riding = own.pin_kg + own.rings_kg + (own.locks_kg or 0.0)
    riding += found.piston_kg if spec.piston.mass_kg is None else spec.piston.mass_kg
    light = found.rod_kg_mm / spec.rod.length_mm
    small = spec.rod.mass_small_kg if spec.rod.mass_small_kg is not None else light
    big = found.rod_kg - light
    index = assembly.layout.index(n)
    top = float(dead_centres(assembly.linkage).top_deg[index])
    lifted = abs(float(state(assembly.linkage, top).acceleration_mm_per_rad2[index]))
    throw = float(assembly.linkage.throw_mm[index])
    load = ((riding + small) * lifted + big * throw) / 1000.0
    share = rod_joint(spec).share
    assert share is not None, "a rod's grip is known from its seat and shoulder"
    return CapLoad(riding + small, big, load, share)


def full_preload_n(assembly: Assembly) -> float | None:
    """Preload of one rod bolt as tightened by the file; None where nothing tells it, as beyond its yield."""
    bolts = rod_joint(assembly.spec)
    if bolts.by_yield:
        return None
    if bolts.tension is not None:
        return bolts.tension.middle_n
    return None if bolts.proof_n is None else joint.PROOF_SHARE * bolts.proof_n
