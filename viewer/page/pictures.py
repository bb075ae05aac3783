"""Pictures made beforehand, for paper and for who has no WebGL: small, and left out where nothing can draw them."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from io import BytesIO
from typing import TYPE_CHECKING, Final

import numpy as np

from viewer.page.shape import PictureData
from viewer.scene import ViewOptions
from viewer.spot_words import limit_words, value_words, verdict_words

if TYPE_CHECKING:
    from geometry.checks.trouble_spot import TroubleSpot
    from viewer.job import Job
    from viewer.page.mistakes import Found

WHOLE_PX: Final = (960, 600)
HALF_PX: Final = 620
"""Width of one half of a mistake."""
MOST_BYTES: Final = {"still": 60_000, "half": 28_000}
"""Of one picture; all of a page together stay under 160 kB."""
QUALITIES: Final = (82, 66, 50, 34)
SHARES: Final = (1.0, 0.75, 0.5, 0.25)
"""Of the size, where no quality makes a picture small enough."""


def pictures_of(job: Job, spots: Sequence[TroubleSpot], found: Found | None) -> list[PictureData]:
    """The whole engine, and the worst place seen near; with a mistake the engine in which it is, where it shows."""
    return [packed_picture(draw(), words, MOST_BYTES["still"]) for draw, words in _stills(job, spots, found)]


def halves_of(found: Found) -> list[PictureData]:
    """Right and wrong of a mistake as their sheet draws them."""
    from viewer.explained.sheet import drawing_of, drawn_half

    case = found.case
    view = drawing_of(case).said(case)
    pictures = []
    for wrong in (False, True):
        picture, _ = drawn_half(case, wrong, HALF_PX)
        shown = f"{case.mistake.title}, {case.where}"
        head = ": ".join(filter(None, (f"Wrong, {shown}", case.study.spot.text))) if wrong else "Right"
        words = f"{head}. {view}".strip()
        pictures.append(packed_picture(picture, words, MOST_BYTES["half"]))
    return pictures


def _stills(
    job: Job, spots: Sequence[TroubleSpot], found: Found | None
) -> Iterator[tuple[Callable[[], np.ndarray], str]]:
    """What draws each still, and its words."""
    from viewer.pictures.media import draw
    from viewer.pictures.pointed import aim_at, aimed_scene, pointed_scene
    from viewer.scene import build_scene

    options = ViewOptions(units=job.system, assumed=job.rests_on)
    name = job.assembly.spec.engine.name
    if found is not None:
        case = found.case
        bore = case.site.bore
        seen = replace(
            options, crank_deg=case.study.spot.crank_deg, view=f"bore {bore}", bore=bore, block="cut"
        )
        yield (
            lambda: draw(build_scene(case.wrong, seen), WHOLE_PX),
            f"{name} with the mistake in it ({case.mistake.title}, {case.where}), bore {bore} seen along the crank "
            "where it shows.",
        )
        return
    yield (
        lambda: draw(pointed_scene(job, options, spots), WHOLE_PX),
        f"{name}, the whole engine, its block as glass.",
    )
    if spots:
        aim = aim_at(spots, 1)
        near = replace(options, crank_deg=aim.spot.crank_deg or 0.0)
        yield lambda: draw(aimed_scene(job, near, aim), WHOLE_PX), place_words(aim.spot, job)


def place_words(spot: TroubleSpot, job: Job) -> str:
    """What a picture of a place shows."""
    where = f", bore {spot.bore}" if spot.bore is not None else ""
    numbers = "; ".join(filter(None, (value_words(spot, job.system), limit_words(spot, job.system))))
    said = ": ".join(filter(None, (f"{spot.words}{where}", numbers)))
    return f"{said[:1].upper()}{said[1:]} ({verdict_words(spot, job.rests_on)})."


def packed_picture(picture: np.ndarray, words: str, most: int) -> PictureData:
    """A picture as WebP, in the best quality that stays small enough."""
    from PIL import Image

    image = Image.fromarray(picture)
    for share, quality in ((share, quality) for share in SHARES for quality in QUALITIES):
        drawn = BytesIO()
        size = round(share * image.width), round(share * image.height)
        image.resize(size).save(drawn, format="WEBP", quality=quality, method=4)
        if drawn.tell() <= most:
            break
    text = base64.b64encode(drawn.getvalue()).decode("ascii")
    return {
        "source": f"data:image/webp;base64,{text}",
        "words": words,
        "width": image.width,
        "height": image.height,
    }
