"""One engine on show, as designed, as built, right or wrong: everything the page needs to know of it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.section import Section
from geometry.checks.trouble_spot import TroubleSpot
from geometry.clearance.full_turn import FullTurn
from geometry.clearance.words import body_words
from geometry.kinematics.slider_crank import dead_centres
from geometry.parts.part import Body
from geometry.units import System
from viewer.page.clocks import clocks_of
from viewer.page.drawings import drawings_of
from viewer.page.frames import frames_of
from viewer.page.places import CURVES, places_of, spots_of
from viewer.page.sections import sections_of
from viewer.page.shape import BodyData, BoreData, VariantData
from viewer.page.solids import Packing
from viewer.page.verdict import verdict_of
from viewer.scene.arrange import Arranged, apart
from viewer.scene.groups import ENCLOSING, group_of
from viewer.scene.model import ViewOptions
from viewer.scene.views import NamedView


def variant_of(
    key: str,
    words: str,
    assembly: Assembly,
    packing: Packing,
    system: System,
    sections: Sequence[Section] = (),
    assumed: str = "",
    spots: Sequence[TroubleSpot] | None = None,
    turn: FullTurn | None = None,
    curves: int = CURVES,
) -> VariantData:
    """Describe it.

    Parameters
    ----------
    key, words : what it is called in the page's data, and by people
    packing : where its meshes go; variants of one page share theirs
    sections : answers of the checks, as printed
    assumed : what verdicts rest on, empty where nothing is assumed
    spots : the places worth going to; None: those of the engine by itself, all answered
    turn : its clearances, where they are certified already
    curves : places whose distance over the turn goes along
    """
    spots = spots_of(assembly, turn=turn) if spots is None else spots
    places = places_of(assembly, system, assumed, spots, turn, curves)
    answered = {section.key for section in sections}
    return {
        "key": key,
        "words": words,
        "verdict": verdict_of(sections, places, assumed),
        "cycle_deg": 720.0 if assembly.spec.cam is not None else 360.0,
        "speed_rpm": float(assembly.spec.engine.speed_rpm),
        "frames": frames_of(assembly),
        "bodies": [body_of(body, assembly, packing) for body in assembly.bodies],
        "bores": bores_of(assembly),
        "places": places,
        "clocks": clocks_of(assembly, system, assumed) if "clocks" in answered else [],
        "sections": sections_of(sections, system),
        "drawings": drawings_of(assembly, system, assumed) if "sides" in answered else [],
    }


def body_of(body: Body, assembly: Assembly, packing: Packing) -> BodyData:
    """One part standing somewhere."""
    return {
        "name": body.name,
        "words": body_words(body, assembly.layout),
        "group": group_of(body.part.kind),
        "look": body.part.material,
        "bore": body.bore,
        "frame": body.frame,
        "pose": [round(float(v), 9) for v in np.asarray(body.X_FA)[:3].ravel()],
        "solid": packing.index_of(body.part.mesh, encloses=group_of(body.part.kind) in ENCLOSING),
        "apart": apart_mm(body, assembly),
    }


def apart_mm(body: Body, assembly: Assembly) -> float:
    """How far a part moves along its frame's z when its bore is spread apart."""
    options = ViewOptions(bore=body.bore, spread=1.0)
    moved = apart(body, Arranged(options, NamedView("iso"), ()), assembly)
    return 0.0 if moved is None else round(float(moved[2, 3]), 3)


def bores_of(assembly: Assembly) -> list[BoreData]:
    """Every bore, in the order of the builder's numbers."""
    centres, spec = dead_centres(assembly.linkage), assembly.spec
    found: list[BoreData] = []
    for index, site in enumerate(assembly.layout.bores):
        bank = np.radians(site.bank_deg)
        thrust = float(assembly.layout.sense) * np.array([0.0, np.cos(bank), np.sin(bank)])
        found.append({
            "bore": site.bore, "bank": site.bank, "bank_deg": float(site.bank_deg), "x_mm": float(site.x_mm),
            "top_deg": float(centres.top_deg[index]), "bottom_deg": float(centres.bottom_deg[index]),
            "deck_mm": float(spec.block.deck_height_mm),
            "crown_mm": float(assembly.design(site.bore).piston.compression_height_mm),
            "radius_mm": float(assembly.design(site.bore).block.bore.diameter_mm) / 2,
            "thrust": [float(v) for v in thrust],
        })  # fmt: skip
    return sorted(found, key=lambda bore: bore["bore"])
