"""From an engine to the data of its page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from viewer.cautions import LINES
from viewer.looks import LOOKS, cut_look, machined_look
from viewer.output import program_version
from viewer.page.chapters import Told, chapters_of
from viewer.page.glossary import Marking
from viewer.page.mistakes import Found, found_mistake, mistake_of
from viewer.page.pictures import halves_of, pictures_of
from viewer.page.places import spots_of
from viewer.page.shape import FamilyData, LookData, PageData, VariantData
from viewer.page.solids import Packing
from viewer.page.variant import variant_of
from viewer.page.verdict import in_doubt
from viewer.reports.answered import answered, settled
from viewer.scene.groups import GROUPS, group_of
from viewer.scene.model import ViewOptions

if TYPE_CHECKING:
    from geometry.assembly import Assembly
    from geometry.checks.trouble_spot import TroubleSpot
    from geometry.record.model import Record
    from viewer.job import Job


@dataclass(frozen=True, slots=True)
class Asked:
    """What a page is asked to be.

    Attributes
    ----------
    voice : who reads it
    shop, job, date : written at its head where given
    live : served by this machine
    record : the build record that is laid over the engine, for what it says of its own readings
    mistake : a mistake to explain, right beside wrong, as ``explain`` names it; empty for none
    bore, main : where, as ``explain`` takes them
    pictures : whether pictures are drawn beforehand, for paper and for who has no WebGL; they take a few seconds
    """

    voice: Literal["builder", "customer"] = "builder"
    shop: str = ""
    job: str = ""
    date: str = ""
    live: bool = False
    record: Path | None = None
    mistake: str = ""
    bore: int | None = None
    main: int | None = None
    pictures: bool = False


def page_of(
    job: Job,
    asked: Asked | None = None,
    designed: Job | None = None,
    doing: Callable[[str], None] = lambda what: None,
) -> tuple[PageData, bytes]:
    """Describe the page of an engine; the bytes hold its meshes.

    Parameters
    ----------
    job : as designed, or as built where a record is laid over it
    designed : the same engine without the record, which is then shown beside it
    doing : told in a word or two what is done next

    Raises
    ------
    InputError, GeometryError
        The mistake that is asked for is not known, or cannot be made there.
    """
    asked = asked or Asked()
    packing = Packing()
    record = record_of(job, asked.record)
    found = found_mistake(job, asked.mistake, asked.bore, asked.main) if asked.mistake else None
    doing("Turning it full circle")
    spots = job_spots(job, record) if found is None or record is not None else ()
    if found is None:
        variants = variants_of(job, designed, packing, spots, asked.record)
    else:
        variants = halves_on_show(job, found, packing, spots)
    if asked.pictures:
        doing("Drawing its pictures")
    marking = Marking(asked.voice == "customer")
    chapters = chapters_of(Told(job, spots, record, found), marking) if asked.voice == "customer" else []
    mistake = None if found is None else mistake_of(found, halves_of(found) if asked.pictures else [])
    if mistake is not None:
        for text in ("different", "text", "felt", "look_for", "cure"):
            mistake[text] = marking.marked(mistake[text])
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
        "variants": variants,
        "shown": ["right", "wrong"] if found is not None else [variants[-1]["key"]],
        "mistake": mistake,
        "chapters": chapters,
        "glossary": marking.used,
        "pictures": pictures_of(job, spots, found) if asked.pictures else [],
        "live": asked.live,
    }
    return page, packing.data


def record_of(job: Job, path: Path | None) -> Record | None:
    """The build record that is laid over a job."""
    if path is None or job.readings is None:
        return None
    from geometry.record.load import load_record

    return load_record(path, job.assembly.spec)


def job_spots(job: Job, record: Record | None) -> tuple[TroubleSpot, ...]:
    """Every place of a job to go to, with what its record says of its own readings."""
    from geometry.record.troubles import record_troubles

    readings = () if record is None else record_troubles(job.assembly, record)
    return spots_of(job.assembly, readings, _without(job))


def variants_of(
    job: Job,
    designed: Job | None,
    packing: Packing,
    spots: tuple[TroubleSpot, ...],
    record: Path | None = None,
) -> list[VariantData]:
    """The engine as designed, and as built behind it where a record is laid over it."""
    key = "designed" if job.readings is None else "built"
    # its full turn is still known, so it goes before the other
    found = [_variant(key, f"as {key}", job, job.assembly, packing, spots, record)]
    if designed is not None and job.readings is not None:
        found.insert(0, _variant("designed", "as designed", designed, designed.assembly, packing))
    return found


def halves_on_show(
    job: Job, found: Found, packing: Packing, spots: tuple[TroubleSpot, ...]
) -> list[VariantData]:
    """An engine right and wrong; one of the two is the job's own where a record is laid over it."""
    both = {"right": found.case.right, "wrong": found.case.wrong}
    own = [key for key, assembly in both.items() if assembly is job.assembly and spots]
    made = {
        key: _variant(key, key, job, both[key], packing, spots if key in own else None)
        for key in (*own, *(key for key in both if key not in own))
    }
    return [made[key] for key in both]


def _variant(
    key: str, words: str, job: Job, assembly: Assembly, packing: Packing,
    spots: tuple[TroubleSpot, ...] | None = None, record: Path | None = None,
) -> VariantData:  # fmt: skip
    spots = spots_of(assembly, (), _without(job)) if spots is None else spots
    built = record if job.readings is not None else None
    sections = settled(job, answered(job, built, assembly), built)
    made = variant_of(key, words, assembly, packing, job.system, sections, job.rests_on, spots)
    return {**made, "verdict": in_doubt(made["verdict"])} if job.in_doubt else made


def _without(job: Job) -> frozenset[object]:
    return frozenset({*job.waiting, *job.waiting_figures})


def looks_of() -> dict[str, LookData]:
    """Every look, for the page to draw with."""
    return {
        name: {
            "colour": list(look.colour), "metallic": look.metallic, "roughness": look.roughness,
            "turned": machined_look(name), "cut": cut_look(name),
        }
        for name, look in LOOKS.items()
    }  # fmt: skip


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
