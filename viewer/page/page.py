"""From an engine to the data of its page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from geometry.checks.plausible import with_implausible
from geometry.checks.section import checks
from viewer.cautions import LINES
from viewer.looks import LOOKS
from viewer.output import program_version
from viewer.page.shape import FamilyData, LookData, MistakeData, PageData
from viewer.page.solids import Packing
from viewer.page.variant import variant_of
from viewer.scene.groups import GROUPS, group_of
from viewer.scene.model import ViewOptions

if TYPE_CHECKING:
    from geometry.assembly import Assembly
    from geometry.checks.section import Section
    from viewer.job import Job


@dataclass(frozen=True, slots=True)
class Asked:
    """What a page is asked to be.

    Attributes
    ----------
    voice : who reads it
    shop, job, date : written at its head where given
    live : served by this machine
    """

    voice: Literal["builder", "customer"] = "builder"
    shop: str = ""
    job: str = ""
    date: str = ""
    live: bool = False


def page_of(job: Job, asked: Asked | None = None) -> tuple[PageData, bytes]:
    """Describe the page of an engine as designed; the bytes hold its meshes."""
    asked = asked or Asked()
    packing = Packing()
    variant = variant_of(
        "designed", "as designed", job.assembly, packing, job.system, sections_for(job), job.rests_on
    )
    mistake: MistakeData | None = None
    page: PageData = {
        "version": program_version(),
        "title": job.assembly.spec.engine.name,
        "units": job.system,
        "voice": asked.voice,
        "shop": asked.shop,
        "job": asked.job,
        "date": asked.date,
        "assumed": job.assumed,
        "cautions": list(LINES),
        "sense": job.assembly.layout.sense,
        "solids": packing.solids,
        "looks": looks_of(),
        "families": families_of(job.assembly),
        "variants": [variant],
        "shown": ["designed"],
        "mistake": mistake,
        "chapters": [],
        "glossary": {},
        "pictures": [],
        "live": asked.live,
    }
    return page, packing.data


def sections_for(job: Job) -> list[Section]:
    """The answers of every check that is answered."""
    run = [check.run(job.assembly, job.system) for check in checks() if check.key not in job.waiting]
    return with_implausible(run, job.described, job.system)


def looks_of() -> dict[str, LookData]:
    """Every look, for the page to draw with."""
    return {
        name: {"colour": list(look.colour), "metallic": look.metallic, "roughness": look.roughness}
        for name, look in LOOKS.items()
    }


def families_of(assembly: Assembly) -> list[FamilyData]:
    """The families of parts that are there."""
    hidden = ViewOptions().hidden
    names = dict.fromkeys(group_of(body.part.kind) for body in assembly.bodies)
    return [
        {
            "name": name,
            "words": GROUPS[name].words if name in GROUPS else name,
            "encloses": name in GROUPS and GROUPS[name].encloses,
            "hidden": name in hidden,
        }
        for name in names
    ]
