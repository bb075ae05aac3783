"""Signed distance of moving convex pieces: certified full-turn minimum, curve, maps and swept envelope.

``certify`` and ``certify_all`` answer how near two features come over a full turn, where, at what angle, with a
proof; ``candidates`` finds the pairs worth asking about and records why the others are not; ``distance_curve``
draws one pair against angle; ``overlap`` measures what two features share; ``closest_approach`` colours a
surface; ``swept_envelope`` is the space a body needs. A ``Mover`` is a feature on a motion ``Law``.
"""

from geometry.clearance.approach import ApproachMap, closest_approach
from geometry.clearance.certify import TOLERANCE_MM, Approach, Memory, Mover, certify, certify_all
from geometry.clearance.curve import Curve, distance_curve
from geometry.clearance.envelope import Envelope, swept_envelope
from geometry.clearance.laws import Law, fixed, piston, rod, spin
from geometry.clearance.opinion import Opinion, SecondOpinion
from geometry.clearance.overlap import Overlap, overlap
from geometry.clearance.prune import NEAR_MM, Candidates, LeftOut, candidates, period_deg, reach_bounds

__all__ = [
    "NEAR_MM",
    "TOLERANCE_MM",
    "Approach",
    "ApproachMap",
    "Candidates",
    "Curve",
    "Envelope",
    "Law",
    "LeftOut",
    "Memory",
    "Mover",
    "Opinion",
    "Overlap",
    "SecondOpinion",
    "candidates",
    "certify",
    "certify_all",
    "closest_approach",
    "distance_curve",
    "fixed",
    "overlap",
    "period_deg",
    "piston",
    "reach_bounds",
    "rod",
    "spin",
    "swept_envelope",
]
