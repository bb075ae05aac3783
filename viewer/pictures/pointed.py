"""Stills that point: what is wrong marked wherever it is seen, and a picture aimed at one place of the list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.troubles import TroubleSpot, troubles_of
from geometry.errors import refused
from viewer.scene import Scene, ViewOptions, build_scene, read_view
from viewer.scene.groups import ENCLOSING
from viewer.scene.sight import LEAST_GAPS, framing_of, opening, sight_of
from viewer.scene.trouble_marks import (
    TroubleGroup,
    ends_at,
    grouped_troubles,
    marks,
    told,
    told_line,
    where_words,
)

if TYPE_CHECKING:
    from pathlib import Path

    from viewer.job import Job

UNPOSED: Final = ("rings", "chamfer")
"""Views in which parts stand apart or as a section, so that no mark of another place would be where it belongs."""
IN_SECTION: Final = frozenset({"rod.fillet", "shell.fillet", "rod.side", "rod.way", "rod.number"})
"""What is seen only in the section of chamfer and fillet."""


def job_troubles(job: Job, record: Path | None, clearances: bool = True) -> tuple[TroubleSpot, ...]:
    """Every place of a job to point at, the worst first.

    Parameters
    ----------
    record : the build record that is laid over it, if any
    clearances : whether the full turn is wanted as well, which takes longest
    """
    readings: Sequence[TroubleSpot] = ()
    if record is not None:
        from geometry.record.load import load_record
        from geometry.record.troubles import record_troubles

        readings = record_troubles(job.assembly, load_record(record, job.assembly.spec))
    without = frozenset({*job.waiting, *job.waiting_figures})
    found = () if not clearances or "clearances" in job.waiting else None
    return troubles_of(job.assembly, found, readings, without)


CLOSER: Final = {"ring": 0.25, "bolt": 0.6}
"""How much nearer than at a clearance the eye goes at a fault of one part, by its kind."""


@dataclass(frozen=True, slots=True)
class Aim:
    """One place of the list that a picture is aimed at."""

    group: TroubleGroup
    rank: int
    count: int

    @property
    def spot(self) -> TroubleSpot:
        """The worst of its kind."""
        return self.group.worst


def aim_at(spots: Sequence[TroubleSpot], rank: int, bore: int | None = None) -> Aim:
    """The place of this rank, kinds counted from the worst.

    Raises
    ------
    InputError : there are not so many
    """
    groups = grouped_troubles(spots, bore)
    if not 1 <= rank <= len(groups):
        right = f"1 to {len(groups)}" if groups else "leave it out: nothing comes near and nothing is wrong"
        raise refused("--worst", str(rank), "there is no such place on this engine", right)
    return Aim(groups[rank - 1], rank, len(groups))


def pointed_scene(job: Job, options: ViewOptions, spots: Sequence[TroubleSpot]) -> Scene:
    """The picture that was asked for, with a mark at everything that is wrong in it."""
    view = read_view(options.view, job.assembly.layout)
    wrong = [spot for spot in spots if spot.is_wrong]
    groups = grouped_troubles(wrong, view.bore if view.bore is not None else options.bore)
    lines = told(
        [group for group in groups if view.name != "chamfer" or group.worst.group not in IN_SECTION],
        job.system,
        job.rests_on,
    )
    found = () if view.name in UNPOSED else marks(job.assembly, groups, options.crank_deg, job.system)
    return build_scene(job.assembly, replace(options, told=(*options.told, *lines)), found)


def aimed_scene(job: Job, options: ViewOptions, aim: Aim) -> Scene:
    """Near one place, its parts lit, what stands before it opened; crank angle and all else as in the options."""
    spot, assembly = aim.spot, job.assembly
    line = told_line(aim.group, job.system, job.rests_on)
    title = f"{where_words(spot)} (place {aim.rank} of {aim.count})"
    if spot.group in IN_SECTION and spot.bore is not None:
        scene = build_scene(assembly, replace(options, view=f"chamfer {spot.bore}"))
        return replace(scene, caption=(f"{scene.title}, {title}", *scene.caption[1:]))
    bodies = _shown(assembly, spot)
    a, b, _ = ends_at(assembly, spot, options.crank_deg)
    at = [(float(x), float(y), float(z)) for x, y, z in (a, b)]
    sight = sight_of(assembly, bodies, at[0], at[1], options.crank_deg)
    if spot.kind != "clearance":
        length = float(np.linalg.norm(b - a))
        sight = replace(sight, reach_mm=max(CLOSER.get(spot.kind, 1.0) * sight.reach_mm, LEAST_GAPS * length))
        # what is wrong with the parts of one bore needs no other bore round it
        options = replace(options, bore=options.bore if options.bore is not None else spot.bore)
    cuts = (*options.cuts, opening(sight, ENCLOSING)) if sight.opened else options.cuts
    near = replace(
        options, view="iso", lit=frozenset(bodies), cuts=cuts, told=(line, *options.told),
        block="cut" if sight.opened and options.block == "glass" else options.block, counted_from=spot.bore,
    )  # fmt: skip
    scene = build_scene(
        assembly, near, marks(assembly, (aim.group,), options.crank_deg, job.system, named=False)
    )
    caption = (f"{scene.title}, {title}", *scene.caption[1:])
    kept = tuple(label for label in scene.labels if label.kind != "bore")
    return replace(scene, framing=framing_of(sight), caption=caption, labels=kept, grounded=False)


def _shown(assembly: Assembly, spot: TroubleSpot) -> tuple[str, ...]:
    """The parts to light: those concerned that are there, and the piston that a ring sits on."""
    names = {body.name for body in assembly.bodies}
    wanted = (*spot.bodies, f"piston {spot.bore}") if spot.kind == "ring" else spot.bodies
    found = tuple(name for name in wanted if name in names)
    return found or tuple(body.name for body in assembly.bodies if body.bore == spot.bore)[:1]
