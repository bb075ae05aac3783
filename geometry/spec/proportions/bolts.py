"""What bolts say of themselves beyond their size: the same rows for those of rods, main caps and head."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from geometry.spec.proportions.crank import OWN
from geometry.spec.proportions.row import Proportion

PLACES: Final = ("rod.bolt", "block.main_cap.bolt", "head.bolt")


def _rows(bolt: str) -> Iterator[Proportion]:
    """Rows that every bolt has, none of which a proportion tells."""
    yield Proportion(
        f"{bolt}.grip[].length", "machined", "caliper",
        "caliper along the bolt, seat of the head to where its diameter changes, to 0.010 in (0.25 mm)", leaves=0.25,
    )  # fmt: skip
    yield Proportion(
        f"{bolt}.grip[].diameter", "machined", "micrometer",
        "micrometer over this length of shank, to 0.001 in (0.02 mm)", leaves=0.02,
    )  # fmt: skip
    yield Proportion(f"{bolt}.stretch", "chosen", "sheet", "the sheet in the box of bolts; never guessed")
    yield Proportion(
        f"{bolt}.free_length", "machined", "micrometer",
        "stretch gauge or micrometer over both ends of a new bolt, loose, to 0.0001 in (0.002 mm)", leaves=0.002,
    )  # fmt: skip
    yield Proportion(f"{bolt}.longest", "chosen", "sheet", "the bolt maker's sheet; never guessed")
    yield Proportion(
        f"{bolt}.stages[].torque", "torque", "sheet", "the sheet of the engine or of the bolts' maker"
    )
    yield Proportion(
        f"{bolt}.stages[].angle", "chosen", "sheet", "the sheet of the engine or of the bolts' maker"
    )
    yield Proportion(
        f"{bolt}.engaged", "machined", "depth_gauge",
        "turns from first bite to seated, times the pitch, or the bolt's length less what it clamps, to 0.020 in "
        "(0.5 mm)",
        leaves=0.5,
    )  # fmt: skip
    yield Proportion(
        f"{bolt}.face", "stock", "caliper", "caliper across the washer or the face of the head, to 0.004 in (0.1 mm)",
        leaves=0.1,
    )  # fmt: skip
    yield Proportion(
        f"{bolt}.hole", "machined", "caliper", "caliper across the hole under the head, to 0.004 in (0.1 mm)",
        leaves=0.1,
    )  # fmt: skip


def _tightened(bolt: str) -> Iterator[Proportion]:
    """Rows that the rod bolts have with rules of their own."""
    yield Proportion(
        f"{bolt}.pitch", "stock", "thread_gauge", "thread gauge; the leaf that fits without light"
    )
    yield Proportion(f"{bolt}.torque", "torque", "sheet", "the sheet of the engine or of the bolts' maker")
    yield Proportion(
        f"{bolt}.proof",
        "material",
        "sheet",
        "the sheet in the box of bolts, or the grade stamped on the head",
    )


ROWS: Final = (
    *(row for bolt in PLACES for row in _rows(bolt)),
    *(row for bolt in PLACES[1:] for row in _tightened(bolt)),
    Proportion(
        "head.bolt.diameter", "stock", "caliper",
        "caliper over the thread; bolts come in standard sizes, to 0.004 in (0.1 mm)",
        lambda v: 0.122 * v["block.bore.diameter"],
        f"0.122 of the bore ({OWN})",
        leaves=0.1,
    ),
    Proportion(
        "head.bolt.positions[][]", "machined", "rule",
        "rule from the first bore's middle, along and across, to 0.020 in (0.5 mm)",
        leaves=0.5,
    ),
)  # fmt: skip
