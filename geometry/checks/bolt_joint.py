"""The bolts of rods, main caps and head as the engine file has them, and what each number of theirs follows from.

One ``BoltJoint`` is one kind of bolt with what it clamps; the functions here answer in plain numbers, None where the
file does not say what an answer needs. A bolt that is tightened beyond its yield has no load by torque, angle or
stretch: those functions give None for it, whatever is written.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal, TypeAlias

from geometry.bolting import joint
from geometry.bolting.grades import GRADES, METALS, SHEAR_SHARE, Metal
from geometry.bolting.stretch import (
    HEAD_SHARE,
    THREAD_SHARE,
    Spring,
    compliance_mm_n,
    load_n,
    load_of_turn_n,
    stretch_mm,
    turn_deg,
)
from geometry.bolting.thread import (
    circle_mm2,
    pitch_or_usual_mm,
    root_area_mm2,
    stripping_areas_mm2,
    tensile_area_mm2,
)
from geometry.bolting.torque import (
    LUBRICANTS,
    STRETCH_SCATTER,
    TURN_SCATTER,
    BoltTension,
    Friction,
    preload_n,
    scattered,
    torque_nm,
)
from geometry.spec.bolt import Tightened
from geometry.spec.engine import Engine

JointName: TypeAlias = Literal["rod", "main", "head"]
HOLE: Final = 1.05
"""Hole under the head by the bolt's diameter where nothing is said; usual, from memory."""


@dataclass(frozen=True)
class BoltJoint:
    """One kind of bolt and what it clamps.

    Attributes
    ----------
    name : what it holds
    key : where it stands in the engine file
    bolt : all that it says of itself
    diameter_mm : of shank and thread
    shank_mm : from the seat of the head to the joint's other side, one diameter, where no grip is written; None where
        nobody knows
    clamped_mm : thickness of what is clamped as the members' stiffness counts it; None where nobody knows
    part_metal, cap_metal : what the hole is tapped in and what the head bears on, where the bolt does not say;
        ``part_metal`` is None where a nut holds it
    """

    name: JointName
    key: str
    bolt: Tightened
    diameter_mm: float
    shank_mm: float | None
    clamped_mm: float | None
    part_metal: Metal | None
    cap_metal: Metal

    @property
    def friction(self) -> Friction:
        """What is on its thread; lubricated where nothing is said."""
        return LUBRICANTS[self.bolt.lubricant or "lubricated"]

    @property
    def by_yield(self) -> bool:
        """Whether it is tightened beyond its yield, so that no torque, angle or stretch tells its load."""
        return self.bolt.yield_tightened

    @cached_property
    def tensile_area_mm2(self) -> float:
        """Area in which its thread breaks."""
        return tensile_area_mm2(self.diameter_mm, self.bolt.pitch_mm)

    @property
    def proof_n(self) -> float | None:
        """Proof load: by its proof stress, else its grade."""
        stress = self.bolt.proof_mpa
        if stress is None:
            stress = None if self.bolt.grade is None else GRADES[self.bolt.grade].proof_mpa
        return None if stress is None else stress * self.tensile_area_mm2

    @property
    def tensile_n(self) -> float | None:
        """Load at which its thread breaks, by its grade."""
        return (
            None if self.bolt.grade is None else GRADES[self.bolt.grade].tensile_mpa * self.tensile_area_mm2
        )

    # ---- the bolt as a spring

    @cached_property
    def compliance(self) -> float | None:
        """How much longer it is for each newton, mm: grip, and its share of head and engaged thread.

        Source: Shigley 9th ed. eq. 8-17; head and thread after VDI 2230, from memory (``bolting.stretch``).
        """
        within = list(self._within())
        if not within:
            return None
        head = Spring(HEAD_SHARE * self.diameter_mm, circle_mm2(self.diameter_mm))
        thread = Spring(THREAD_SHARE * self.diameter_mm, root_area_mm2(self.diameter_mm, self.bolt.pitch_mm))
        return compliance_mm_n([head, *within, thread])

    def _within(self) -> Iterator[Spring]:
        """The grip, length by length."""
        for part in self.bolt.grip:
            area = self.tensile_area_mm2 if part.diameter_mm is None else circle_mm2(part.diameter_mm)
            yield Spring(part.length_mm or 0.0, area)
        if not self.bolt.grip and self.shank_mm is not None:
            yield Spring(self.shank_mm, circle_mm2(self.diameter_mm))

    @cached_property
    def members(self) -> float | None:
        """How much thinner what it clamps becomes for each newton, mm."""
        thick = self.clamped_mm
        if self.bolt.grip:
            thick = sum(part.length_mm or 0.0 for part in self.bolt.grip)
        return None if thick is None else 1.0 / joint.member_stiffness_n_mm(self.diameter_mm, thick)

    @property
    def share(self) -> float | None:
        """Share of a load on the joint that the bolt feels while it is closed."""
        if self.compliance is None or self.members is None:
            return None
        return joint.bolt_share(1.0 / self.compliance, 1.0 / self.members)

    # ---- loads

    def by_torque(self, torque: float | None) -> BoltTension | None:
        """Tension that a torque leaves, with its scatter."""
        if torque is None or self.by_yield:
            return None
        friction = self.friction
        return scattered(preload_n(torque, self.diameter_mm, friction.factor), friction.scatter)

    def torque_of(self, load: float) -> float:
        """Torque that leaves a tension, N*m."""
        return torque_nm(load, self.diameter_mm, self.friction.factor)

    def by_stretch(self, stretch: float | None) -> BoltTension | None:
        """Tension of a bolt that is so much longer than loose."""
        if stretch is None or self.compliance is None or self.by_yield:
            return None
        return scattered(load_n(stretch, self.compliance), STRETCH_SCATTER)

    def stretch_of(self, load: float) -> float | None:
        """How much longer it is under a tension, mm; None for one tightened beyond its yield."""
        return None if self.compliance is None or self.by_yield else stretch_mm(load, self.compliance)

    @property
    def snug_nm(self) -> float | None:
        """The torque from which an angle is counted: that of the last stage before it, else of the first of several."""
        torques = [stage.torque_nm for stage in self.bolt.stages if stage.torque_nm is not None]
        if not torques or (self.angle_deg is None and len(torques) < 2):
            return None
        return torques[0] if self.angle_deg is None else torques[-1]

    @property
    def angle_deg(self) -> float | None:
        """All angles of the stages together; None without one."""
        angles = [stage.angle_deg for stage in self.bolt.stages if stage.angle_deg is not None]
        return sum(angles) if angles else None

    def by_angle(self) -> BoltTension | None:
        """Tension after the stages, which end with an angle; below the yield, as long as that holds."""
        snug, turn = self.by_torque(self.snug_nm), self.angle_deg
        if snug is None or turn is None or self.compliance is None or self.members is None:
            return None
        more = load_of_turn_n(turn, self.pitch_mm, self.compliance, self.members)
        return scattered(snug.middle_n + more, TURN_SCATTER)

    def angle_of(self, load: float) -> float | None:
        """Turn from snug that brings it to a tension, degrees; None where nobody says what snug is."""
        snug = self.by_torque(self.snug_nm)
        if snug is None or self.compliance is None or self.members is None or load < snug.middle_n:
            return None
        return turn_deg(load - snug.middle_n, self.pitch_mm, self.compliance, self.members)

    @property
    def pitch_mm(self) -> float:
        """Pitch of its thread, usual where it is not written."""
        return pitch_or_usual_mm(self.diameter_mm, self.bolt.pitch_mm)

    @property
    def torque_nm(self) -> float | None:
        """What it is torqued to: its torque, else the last of stages that are torques alone; None beyond the yield."""
        if self.by_yield or self.bolt.torque_nm is not None:
            return None if self.by_yield else self.bolt.torque_nm
        stages = self.bolt.stages
        return stages[-1].torque_nm if stages and self.angle_deg is None else None

    @property
    def tension(self) -> BoltTension | None:
        """What it is tightened to, by the best that is written: stretch, else angle, else torque."""
        return self.by_stretch(self.bolt.stretch_mm) or self.by_angle() or self.by_torque(self.torque_nm)

    # ---- what holds it

    @property
    def tapped(self) -> Metal | None:
        """What its hole is tapped in; None where a nut holds it."""
        return self.bolt.tapped or self.part_metal

    @property
    def strips_at_n(self) -> float | None:
        """Load at which the weaker of both threads shears off."""
        found = self._strips()
        return None if found is None else min(found)

    @property
    def weaker(self) -> Literal["bolt", "hole"] | None:
        """Whose thread shears off first."""
        found = self._strips()
        return None if found is None else ("bolt" if found[0] < found[1] else "hole")

    def _strips(self) -> tuple[float, float] | None:
        if self.bolt.engaged_mm is None or self.tapped is None:
            return None
        of_bolt, of_hole = stripping_areas_mm2(self.diameter_mm, self.bolt.pitch_mm, self.bolt.engaged_mm)
        strength = SHEAR_SHARE * (self.tensile_n or self.proof_n or float("inf")) / self.tensile_area_mm2
        return of_bolt * strength, of_hole * METALS[self.tapped].shear_mpa

    @property
    def bears_on(self) -> Metal:
        """What its head presses on."""
        return self.bolt.bears_on or self.cap_metal

    def pressure_mpa(self, load: float | None) -> float | None:
        """Pressure under its head at a tension; None where nobody says how wide its face is."""
        face, hole = self.bolt.face_mm, self.bolt.hole_mm or HOLE * self.diameter_mm
        if face is None or load is None or face <= hole:
            return None
        return load / (circle_mm2(face) - circle_mm2(hole))


def rod_joint(spec: Engine) -> BoltJoint:
    """The rod bolts."""
    bolt = spec.rod.bolt
    metal: Metal = "forged_aluminium" if spec.rod.material == "aluminium" else "steel"
    nut = bolt.kind == "bolt_and_nut"
    shank = bolt.seat_mm + (bolt.shoulder_mm if nut else 0.0)
    clamped = shank if nut else shank + bolt.diameter_mm / 2
    part = None if nut else metal
    return BoltJoint("rod", "rod.bolt", bolt, bolt.diameter_mm, shank, clamped, part, metal)


def main_joint(spec: Engine) -> BoltJoint | None:
    """The bolts of the main caps; None where the file says nothing of them."""
    cap = spec.block.main_cap
    if cap.bolt is None:
        return None
    shank = cap.height_mm + spec.block.web_bottom_mm
    clamped = shank + cap.bolt_diameter_mm / 2
    metal: Metal = spec.block.material
    return BoltJoint(
        "main", "block.main_cap.bolt", cap.bolt, cap.bolt_diameter_mm, shank, clamped, metal, "cast_iron"
    )


def head_joint(spec: Engine) -> BoltJoint | None:
    """The head bolts; None where the file says nothing of them."""
    bolt = spec.head.bolt
    if bolt is None:
        return None
    metal: Metal = spec.block.material
    return BoltJoint("head", "head.bolt", bolt, bolt.diameter_mm, None, None, metal, metal)


def joints(spec: Engine) -> tuple[BoltJoint, ...]:
    """Every kind of bolt that the file says something of; rods first."""
    found = (rod_joint(spec), main_joint(spec), head_joint(spec))
    return tuple(one for one in found if one is not None)
