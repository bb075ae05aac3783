"""How an engine was put together, where that differs from the design: plain data laid over it.

The default of every field is "as designed". Mistakes and the build record both end here; parts, motion and
checks read it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, TypeVar

import numpy as np

from geometry.kinematics.layout import Layout
from geometry.kinematics.slider_crank import Linkage
from geometry.spec.base import SpecModel
from geometry.spec.engine import Engine

Model = TypeVar("Model", bound=SpecModel)

TANG_OUT_MM = 1.0
"""How far a shell stands out whose tang misses its notch, where nobody measured it: about the depth of the notch, from
memory, no source."""


@dataclass(frozen=True, slots=True)
class BoreAt:
    """Diameters of a bore as measured at one depth below the deck: along the crank and across it."""

    depth_mm: float
    along_mm: float
    across_mm: float


@dataclass(frozen=True, slots=True)
class Read:
    """A size as read, and what its instrument can tell apart, mm."""

    value_mm: float
    step_mm: float


@dataclass(frozen=True, slots=True)
class OilRead:
    """An oil clearance on the diameter as measured; None: not so. The bore gauge goes before the strip."""

    strip: Read | None = None
    """By plastic strip."""
    gauge: Read | None = None
    """By bore gauge, set to the journal."""

    @property
    def value_mm(self) -> float | None:
        """What counts; None where nobody measured it."""
        best = self.gauge or self.strip
        return None if best is None else best.value_mm


@dataclass(frozen=True, slots=True)
class MainBuild:
    """One main bearing as measured; None: as designed."""

    journal_mm: float | None = None
    housing_bore_mm: float | None = None
    shell_wall_mm: float | None = None
    oil: OilRead = OilRead()
    """It goes before what journal, housing and shells come to."""
    crush_mm: float | None = None


@dataclass(frozen=True, slots=True)
class RingBuild:
    """One ring as installed."""

    gap_ring_deg: float | None = None
    """Ring angle of the gap; None: where the scheme puts it."""
    gap_mm: float | None = None
    """End gap as measured; None: as designed."""
    gap_depth_mm: float | None = None
    """Depth below the deck at which that gap was measured; None: nobody said."""
    upside_down: bool = False
    missing: bool = False
    overlapped: bool = False
    """Expander ends overlapped."""


@dataclass(frozen=True, slots=True)
class BoreBuild:
    """What went into one bore, and which way round."""

    piston_turned: bool = False
    rod_turned: bool = False
    cap_turned: bool = False
    """Turned on its own rod, so that the tangs stand apart."""
    piston_from: int | None = None
    rod_from: int | None = None
    cap_from: int | None = None
    shells_exchanged: bool = False
    shell_proud_mm: float = 0.0
    """A shell lifted at the joint because its tang is not in its notch."""
    bolt_out_mm: tuple[float, float] = (0.0, 0.0)
    """How far each bolt head stands off its seat: the bolt at -y and the bolt at +y of the rod frame."""
    bolt_longer_mm: float = 0.0
    """A bolt with a nut that is this much too long: its thread stands out farther beyond the nut."""
    bolts_loose: bool = False
    rings_exchanged: bool = False
    """Top ring in the second groove and the other way round."""
    rings: Mapping[str, RingBuild] = field(default_factory=lambda: MappingProxyType({}))
    compression_height_change_mm: float = 0.0
    rod_length_change_mm: float = 0.0
    bore_diameter_mm: float | None = None
    """Mean of what was measured, for what is drawn; None: as designed."""
    bore_readings: tuple[BoreAt, ...] = ()
    """The bore height by height, the deck first; without them it is round and straight."""
    skirt_mm: float | None = None
    """Diameter of the piston's skirt as measured; None: as designed. So with the three below."""
    crankpin_mm: float | None = None
    housing_bore_mm: float | None = None
    shell_wall_mm: float | None = None
    oil: OilRead = OilRead()
    """Oil clearance of the big end as measured; it goes before what pin, housing and shells come to."""
    crush_mm: float | None = None
    """How far the ends of a big-end shell stand proud as measured; None: as designed. So with the three below."""
    pin_in_piston_mm: float | None = None
    pin_in_rod_mm: float | None = None
    """Clearance, or interference of a pressed pin."""
    pin_float_mm: float | None = None
    weights_kg: tuple[tuple[str, float], ...] = ()
    """Weights off the scales by part (a ``balance.weights.PartName``); without an entry: as designed."""

    def ring(self, name: str) -> RingBuild:
        """The named ring as installed; as designed when nothing is said."""
        return self.rings.get(name, RingBuild())


@dataclass(frozen=True, slots=True)
class Built:
    """The whole engine as put together; bores by the builder's numbers."""

    bores: Mapping[int, BoreBuild] = field(default_factory=lambda: MappingProxyType({}))
    mains: Mapping[int, MainBuild] = field(default_factory=lambda: MappingProxyType({}))
    """Main bearings by number from the front, from 1."""
    end_play_mm: float | None = None
    """End play of the crank as measured; None: as designed."""
    main_cap_turned: tuple[int, ...] = ()
    """Main caps put on back to front, counted from the front, from 1."""
    main_cap_order: tuple[int, ...] | None = None
    """Which cap stands on each main, from the front; None: each on its own."""

    def bore(self, number: int) -> BoreBuild:
        """How one bore was put together."""
        return self.bores.get(number, BoreBuild())

    def main(self, number: int) -> MainBuild:
        """One main bearing as measured; as designed where nothing is said."""
        return self.mains.get(number, MainBuild())

    def with_main(self, number: int, **changes: object) -> Built:
        """The same engine with some things about one main bearing changed; fields of ``MainBuild``."""
        changed = replace(self.main(number), **changes)  # type: ignore[arg-type]
        return replace(self, mains=MappingProxyType({**self.mains, number: changed}))

    def design(self, spec: Engine, number: int) -> Engine:
        """The engine file's say on what is in one bore, which may hold piston or rod of another, or sizes as measured.

        Parameters
        ----------
        spec : the engine file
        number : the builder's number of the bore
        """
        build = self.bore(number)
        return _as_measured(spec.of_bore(number, build.piston_from, build.rod_from), build)

    def with_bore(self, number: int, **changes: object) -> Built:
        """The same engine with some things about one bore changed.

        Parameters
        ----------
        number : the builder's number of the bore
        changes : fields of ``BoreBuild``

        Examples
        --------
        >>> AS_DESIGNED.with_bore(3, piston_turned=True).bore(3).piston_turned
        True
        """
        changed = replace(self.bore(number), **changes)  # type: ignore[arg-type]
        return replace(self, bores=MappingProxyType({**self.bores, number: changed}))


def _as_measured(one: Engine, build: BoreBuild) -> Engine:
    """The engine with the sizes that were measured in one bore; the engine itself where none was."""
    parts: dict[str, SpecModel] = {}
    if build.skirt_mm is not None:
        clearance_mm = one.block.bore.diameter_mm - build.skirt_mm
        parts["piston"] = _changed(one.piston, skirt=_changed(one.piston.skirt, clearance_mm=clearance_mm))
    if build.crankpin_mm is not None:
        parts["crank"] = _changed(one.crank, pin=_changed(one.crank.pin, diameter_mm=build.crankpin_mm))
    rod = one.rod
    if build.housing_bore_mm is not None:
        rod = _changed(rod, big_end=_changed(rod.big_end, bore_mm=build.housing_bore_mm))
    if build.shell_wall_mm is not None:
        rod = _changed(rod, bearing=_changed(rod.bearing, wall_mm=build.shell_wall_mm))
    if rod is not one.rod:
        parts["rod"] = rod
    return _changed(one, **parts) if parts else one


def _changed(model: Model, **changes: Any) -> Model:
    return model.model_copy(update=changes)


AS_DESIGNED = Built()


def built_linkage(layout: Layout, built: Built = AS_DESIGNED) -> Linkage:
    """The linkage of the engine as put together.

    A piston turned round carries its pin offset to the other side; a rod of another length, or of another bore, moves
    its bore.

    Raises
    ------
    GeometryError
        When a rod of that length cannot pass its throw.
    """
    offsets = layout.linkage.offset_mm.copy()
    rods = layout.linkage.rod_mm.copy()
    for index, site in enumerate(layout.bores):
        build = built.bore(site.bore)
        if build.piston_turned:
            offsets[index] = -offsets[index]
        if build.rod_from is not None:
            rods[index] = layout.linkage.rod_mm[layout.index(build.rod_from)]
        rods[index] += build.rod_length_change_mm
    return replace(layout.linkage, offset_mm=np.asarray(offsets), rod_mm=np.asarray(rods))
