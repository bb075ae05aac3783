"""The closed form of every moving frame, for the page to turn the crank by itself."""

from __future__ import annotations

from dataclasses import asdict
from typing import cast

from geometry.assembly import Assembly
from geometry.clearance.pairs import law_of
from viewer.page.shape import FrameData, LawData

DIGITS = 9
"""Of what is written: a millionth of a micrometre, so that rounding never counts."""


def frames_of(assembly: Assembly) -> list[FrameData]:
    """Every frame that a body rides on, and how it moves."""
    names = dict.fromkeys(["E", "C", *(body.frame for body in assembly.bodies)])
    return [{"name": name, "law": _plain(assembly, name)} for name in names]


def _plain(assembly: Assembly, frame: str) -> LawData:
    law = asdict(law_of(assembly, frame))
    return cast(
        "LawData", {key: v if isinstance(v, str) else round(float(v), DIGITS) for key, v in law.items()}
    )
