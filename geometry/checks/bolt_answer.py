"""One kind of bolt against what pulls at it and what it stands: limits of torque and stretch, figures, findings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from geometry.bolting import joint
from geometry.bolting.grades import GRADES, METALS, METALS_SOURCE
from geometry.bolting.stretch import YIELDED_MM
from geometry.bolting.torque import STRETCH_SCATTER, TURN_SCATTER, BoltTension
from geometry.checks.bolt_joint import BoltJoint, JointName
from geometry.checks.inertia import CapLoad
from geometry.checks.section import ROUNDING, Figure, Severity

Means: TypeAlias = Literal["torque", "stretch", "angle", "yield"]
"""What tells that a bolt is tight."""
NAMES: Final[dict[JointName, str]] = {"rod": "", "main": "main ", "head": "head "}
"""What a figure's name begins with; those of the rods have always gone without."""
TORQUE: Final = "torque"
STRETCH: Final = "stretch"
TENSION: Final = "tension"
OPENS: Final = "joint opens at"
THREAD: Final = "thread strips at"
PRESSURE: Final = "pressure under the head"
LITTLE_SHARE: Final = 0.5
"""Of the proof load; less than that leaves a bolt to fatigue. Common practice, no source."""
_LEAST: Final = "least: half the proof load (common practice, no source)"
_MOST: Final = "most: three quarters of the proof load, for joints that are taken apart again (Shigley)"
SOURCE: Final = (
    f"{_LEAST}, and the joint stays closed at speed though the tension come out 20 percent low (Shigley 9th ed. ch. "
    f"8); {_MOST}; the bolt maker's torque wins"
)
OTHER_SOURCE: Final = f"{_LEAST}; {_MOST}; the bolt maker's figure wins"
STRIPS_SOURCE: Final = (
    f"the bolt breaks before its thread strips (FED-STD-H28, basic profile); {METALS_SOURCE}"
)


@dataclass(frozen=True)
class BoltAnswer:
    """What one kind of bolt answers, in one bore or everywhere.

    Attributes
    ----------
    joint : the bolts
    bore : the builder's number of a rod's; None for those of mains and head
    speed_rpm : of the engine
    load : what pulls at a rod's cap; None for mains and head
    loose : never tightened, by the record
    """

    joint: BoltJoint
    bore: int | None
    speed_rpm: float
    load: CapLoad | None
    loose: bool = False

    @property
    def means(self) -> Means | None:
        """What tells that it is tight, by what is written; None where nothing is."""
        bolts = self.joint
        if bolts.by_yield:
            return "yield"
        if bolts.by_stretch(bolts.bolt.stretch_mm) is not None:
            return "stretch"
        if bolts.by_angle() is not None:
            return "angle"
        return None if bolts.torque_nm is None else "torque"

    @property
    def tension(self) -> BoltTension | None:
        """What is in it; none in one that is loose, unknown in one beyond its yield."""
        if self.loose:
            return BoltTension(0.0, 0.0, 0.0)
        return self.joint.tension

    def needed_n(self, scatter: float) -> float:
        """Tension that must be meant so that a rod's cap stays closed at speed though it come out low."""
        if self.load is None:
            return 0.0
        return (1.0 - self.load.share) * self.load.load_n(self.speed_rpm) / 2.0 / (1.0 - scatter)

    def least_n(self, scatter: float) -> float:
        """That, or half the proof load, whichever is more."""
        return max(self.needed_n(scatter), LITTLE_SHARE * (self.joint.proof_n or 0.0))

    @property
    def most_n(self) -> float | None:
        """Three quarters of the proof load."""
        proof = self.joint.proof_n
        return None if proof is None else joint.PROOF_SHARE * proof

    @property
    def opens_at_rpm(self) -> float | None:
        """Speed at which a rod's joint opens."""
        if self.load is None or self.tension is None:
            return None
        return self.load.opens_at_rpm(self.tension.middle_n)

    @property
    def scatter(self) -> float:
        """How far the tension may be out, by what tells it."""
        return {"stretch": STRETCH_SCATTER, "angle": TURN_SCATTER}.get(
            self.means or "", self.joint.friction.scatter
        )

    @property
    def digits(self) -> int:
        """How many digits of its tension are worth telling."""
        return 3 if self.means == "stretch" else 2

    @property
    def source(self) -> str:
        """Who says the limits of its load."""
        return SOURCE if self.load is not None else OTHER_SOURCE

    @property
    def proof_share(self) -> float | None:
        """Its tension as a share of its proof load."""
        tension, proof = self.tension, self.joint.proof_n
        return None if tension is None or not proof else tension.middle_n / proof

    @property
    def tight_n(self) -> float | None:
        """The tension that other numbers are told at: what is in it, else three quarters of its proof load."""
        if self.joint.by_yield:
            return None
        return self.joint.tension.middle_n if self.joint.tension is not None else self.most_n

    def figures(self, row: int) -> Iterator[Figure]:
        """Its numbers with their limits; those of a bolt that was never tightened are one."""
        if not self.loose:
            yield from self._loads(row)
            yield from self._metal(row)
        if self.opens_at_rpm is not None:
            # the joint that stays closed with the tension that much low opens, with all of it, that much higher
            speed = self.speed_rpm / math.sqrt(1.0 - self.scatter)
            yield self._figure(OPENS, self.opens_at_rpm, speed, None, "rotation", row, "opens_at_rpm")

    def _figure(
        self, name: str, value: float, least: float | None, most: float | None, dimension: str, row: int, column: str,
        below: Severity = "stop", above: Severity = "stop", source: str = "",
    ) -> Figure:  # fmt: skip
        return Figure(
            NAMES[self.joint.name] + name, self.bore, value, least, most, dimension, row, column,
            source or self.source, below, above,
        )  # fmt: skip

    def _loads(self, row: int) -> Iterator[Figure]:
        """Torque, stretch or, after an angle, tension: each within what the joint needs and the bolt stands."""
        bolts, torque, stretch = self.joint, self.joint.torque_nm, self.joint.bolt.stretch_mm
        by_stretch = None if bolts.by_stretch(stretch) is None else stretch
        by_angle = self.tension.middle_n if self.means == "angle" and self.tension is not None else None
        for name, value, dimension, column in (
            (TORQUE, torque, "torque", "torque_nm"),
            (STRETCH, by_stretch, "length", "stretch_mm"),
            (TENSION, by_angle, "force", "preload_n"),
        ):
            if value is None:
                continue
            scatter = self.scatter_of(column)
            needed, least, most, proof = (
                self.as_written(column, load)
                for load in (self.needed_n(scatter), self.least_n(scatter), self.most_n, bolts.proof_n)
            )
            below: Severity = "stop" if needed is not None and value < needed - ROUNDING else "look"
            above: Severity = "stop" if proof is not None and value > proof + ROUNDING else "look"
            yield self._figure(name, value, least, most, dimension, row, column, below, above)

    def scatter_of(self, column: str) -> float:
        """How far the tension may be out that a torque, a stretch or an angle leaves, by its column."""
        return {"stretch_mm": STRETCH_SCATTER, "preload_n": TURN_SCATTER}.get(
            column, self.joint.friction.scatter
        )

    def as_written(self, column: str, load: float | None) -> float | None:
        """A load as torque, stretch or tension, by the column."""
        if load is None:
            return None
        if column == "torque_nm":
            return self.joint.torque_of(load)
        return self.joint.stretch_of(load) if column == "stretch_mm" else load

    def _metal(self, row: int) -> Iterator[Figure]:
        """What holds the bolt: its thread, and the metal under its head."""
        bolts, strips = self.joint, self.joint.strips_at_n
        breaks = bolts.tensile_n or bolts.proof_n
        if strips is not None and breaks is not None:
            below: Severity = "stop" if strips < (bolts.proof_n or breaks) else "look"
            yield self._figure(
                THREAD, strips, breaks, None, "force", row, "strips_at_n", below, source=STRIPS_SOURCE
            )
        pressure = bolts.pressure_mpa(self.tight_n)
        if pressure is not None:
            most = METALS[bolts.bears_on].pressure_mpa
            yield self._figure(
                PRESSURE,
                pressure,
                None,
                most,
                "pressure",
                row,
                "pressure_mpa",
                above="look",
                source=METALS_SOURCE,
            )

    def wanting(self) -> tuple[str, ...]:
        """Keys of the engine file that would give what is not answered, in the order of the work."""
        bolts, bolt = self.joint, self.joint.bolt
        wanted = (
            ("torque, stretch or stages", self.means is None),
            ("stages", bolts.by_yield and not bolt.stages),
            ("free_length and longest", bolts.by_yield and bolt.free_length_mm is None),
            ("grade or proof", bolts.proof_n is None),
            ("pitch", bolt.pitch_mm is None),
            ("lubricant", bolt.lubricant is None and not bolts.by_yield),
            ("grip", not bolt.grip),
            ("engaged", bolt.engaged_mm is None and bolts.tapped is not None),
            ("face", bolt.face_mm is None and not bolts.by_yield),
        )
        return tuple(key for key, is_wanted in wanted if is_wanted)

    def grade_words(self) -> str:
        """Its grade, in words; empty where the file gives none."""
        return "" if self.joint.bolt.grade is None else GRADES[self.joint.bolt.grade].words


def longest_mm(bolts: BoltJoint) -> tuple[float, str] | None:
    """The longest, loose, at which a bolt is used again, and who says so; None where its length when new is not known.

    A bolt that has become longer has yielded. One tightened beyond its yield is longer after its first use: its
    maker's figure decides, and without one it is not used again.
    """
    bolt = bolts.bolt
    if bolt.longest_mm is not None:
        return bolt.longest_mm, "its maker's figure in the engine file"
    if bolt.free_length_mm is None or bolts.by_yield:
        return None
    return bolt.free_length_mm + YIELDED_MM, "a thousandth of an inch over new; common practice, no source"
