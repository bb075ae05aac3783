"""Shells to choose from, the main bearings and the bearing that takes the crank's thrust."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from geometry.spec.base import Count, NonNegativeLength, PositiveLength, SpecModel, said


class ShellGrade(SpecModel):
    """One grade of shell that can be had."""

    name: Annotated[str, Field(min_length=1, max_length=40)] = said("What its maker calls it.", "green")
    wall_mm: PositiveLength = said(
        "Thickness of one shell of this grade at its crown.", "0.0621 in", "1.553 mm"
    )


class MainBearing(SpecModel):
    """The main bearings, all alike; their journals are in `crank.main`."""

    bore_mm: PositiveLength | None = said(
        "Housing bore, caps torqued, without bearing shells.", "2.6910 in", "68.35 mm", default=None
    )
    wall_mm: PositiveLength | None = said(
        "Thickness of one shell at its crown.", "0.0944 in", "2.40 mm", default=None
    )
    width_mm: PositiveLength | None = said(
        "Width of a shell along the crank.", "0.74 in", "19 mm", default=None
    )
    crush_mm: NonNegativeLength | None = said(
        "How far each end of a shell stands proud of its half of the housing, the cap off.",
        "0.0010 in", "0.03 mm", default=None,
    )  # fmt: skip
    grades: list[ShellGrade] = said(
        "Grades of shell that can be had.", '[{ name = "green", wall = "0.0945 in" }]',
        default=[], max_length=20,
    )  # fmt: skip


class ThrustBearing(SpecModel):
    """The bearing that holds the crank endways."""

    main: Count = said("Which main it stands at, from the front.", 3)
    faces_mm: PositiveLength | None = said(
        "Between the crank's thrust faces.", "0.950 in", "24.1 mm", default=None
    )
    width_mm: PositiveLength | None = said(
        "Over its thrust faces, both flanges or washers in place.", "0.944 in", "23.95 mm", default=None
    )
