"""A mistake in an engine as it was really put together: what the build record shows of it, and the engine without it.

A mistake is a change of the build. Where a record holds that change already, the wrong engine is the recorded one and
the right engine is it with the change taken back; everything else that was measured stays in both.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from types import MappingProxyType

from geometry.assembly import Assembly, assemble
from geometry.built import AS_DESIGNED, BoreBuild, Built, RingBuild, built_linkage
from geometry.mistakes.mistake import Mistake, mistakes
from geometry.mistakes.rings.ring_words import clock, fitted
from geometry.rings.angles import separation_deg

NEARER = 0.5
"""A measured length shows a mistake when it is nearer to the mistake's than to the design's."""

FROM = ("piston_from", "rod_from", "cap_from")
"""Fields that say from which bore a part came."""


@dataclass(frozen=True, slots=True, eq=False)
class AsFound:
    """One mistake in one place of an engine as it was put together.

    Attributes
    ----------
    right, wrong : without the mistake and with it, all else as it was put together
    shown : whether it was put together with it
    """

    right: Assembly
    wrong: Assembly
    shown: bool


def as_found(assembly: Assembly, mistake: Mistake, place: int) -> AsFound:
    """Right and wrong of one mistake in an engine as it was put together.

    Parameters
    ----------
    assembly : as designed or as built
    place : bore, or main bearing from the front, as ``mistake.where`` counts

    Raises
    ------
    GeometryError
        When the parts do not go together with the mistake.
    """
    without = put_right(assembly, mistake, place)
    if without is None:
        return AsFound(assembly, assemble(assembly.spec, mistake.make(assembly, place)), False)
    return AsFound(assemble(assembly.spec, without), assembly, True)


def shown_places(assembly: Assembly, mistake: Mistake) -> tuple[int, ...]:
    """Bores, or main bearings, that were put together with this mistake."""
    if assembly.built == AS_DESIGNED:
        return ()
    return tuple(
        place for place in mistake.places(assembly) if put_right(assembly, mistake, place) is not None
    )


def all_put_right(assembly: Assembly) -> Built:
    """The build without any mistake of the catalogue; what was measured stays."""
    now = assembly
    for mistake in mistakes():
        for place in shown_places(now, mistake):
            without = put_right(now, mistake, place)
            if without is not None:
                now = replace(now, built=without)
    return now.built


def put_right(assembly: Assembly, mistake: Mistake, place: int) -> Built | None:
    """The build with this mistake taken back; None where it was not put together so."""
    made = mistake.make(_as_designed(assembly), place)
    if mistake.where == "main":
        return _main_put_right(assembly.built, made, place)
    without, shown = assembly.built, False
    for bore, wrong in made.bores.items():
        changes = _taken_back(assembly, bore, wrong)
        if changes:
            without, shown = without.with_bore(bore, **changes), True
    return without if shown else None


def _as_designed(assembly: Assembly) -> Assembly:
    """The engine as designed, as far as the making of a mistake asks: its bodies are not made anew."""
    linkage = built_linkage(assembly.layout, AS_DESIGNED)
    return replace(assembly, built=AS_DESIGNED, linkage=linkage)


def left_in(assembly: Assembly, base: Built, mistake: Mistake, place: int) -> Built:
    """A build that is right but for this one mistake, as it was put together with it.

    Parameters
    ----------
    assembly : the engine as it was put together; it shows the mistake
    base : the build without any mistake
    """
    if mistake.where == "main":
        now = assembly.built
        turned = tuple(sorted({*base.main_cap_turned, *({place} & {*now.main_cap_turned})}))
        ordered = mistake.make(_as_designed(assembly), place).main_cap_order is not None
        return replace(base, main_cap_turned=turned, main_cap_order=now.main_cap_order if ordered else None)
    for bore, wrong in mistake.make(_as_designed(assembly), place).bores.items():
        now_here = assembly.built.bore(bore)
        changes = {name: getattr(now_here, name) for name in _taken_back(assembly, bore, wrong)}
        base = base.with_bore(bore, **changes)
    return base


def _main_put_right(built: Built, made: Built, place: int) -> Built | None:
    if made.main_cap_turned:
        if place not in built.main_cap_turned:
            return None
        return replace(built, main_cap_turned=tuple(main for main in built.main_cap_turned if main != place))
    order = built.main_cap_order
    here = order is not None and order[place - 1] != place
    return replace(built, main_cap_order=None) if here else None


def _taken_back(assembly: Assembly, bore: int, wrong: BoreBuild) -> dict[str, object]:
    """Fields of one bore that hold what the mistake changes, each as the design has it."""
    plain, now = BoreBuild(), assembly.built.bore(bore)
    found: dict[str, object] = {}
    for name in (field.name for field in fields(BoreBuild)):
        if name == "rings":
            rings = _rings_taken_back(assembly, bore, wrong)
            if rings:
                found[name] = MappingProxyType({**now.rings, **rings})
        elif getattr(wrong, name) != getattr(plain, name) and _holds(
            getattr(now, name), getattr(wrong, name)
        ):
            found[name] = getattr(plain, name)
    # What else differs after an exchange, such as which way round the rod is, makes no exchange by itself.
    return found if all(name in found for name in FROM if getattr(wrong, name) is not None) else {}


def _holds(now: object, wrong: object) -> bool:
    """Whether what was found is what the mistake would have left."""
    if isinstance(now, bool):
        return now
    if isinstance(now, tuple) and isinstance(wrong, tuple):
        return any(_holds(one, other) for one, other in zip(now, wrong, strict=True))
    if isinstance(now, float) and isinstance(wrong, float):
        return now * wrong > 0.0 and abs(now) > NEARER * abs(wrong)
    return now is not None  # the number of the bore that a part came from


def _rings_taken_back(assembly: Assembly, bore: int, wrong: BoreBuild) -> dict[str, RingBuild]:
    found = {}
    for name, ring in wrong.rings.items():
        now = assembly.built.bore(bore).ring(name)
        if any(
            getattr(ring, flag) and getattr(now, flag) for flag in ("upside_down", "missing", "overlapped")
        ):
            found[name] = replace(now, upside_down=False, missing=False, overlapped=False)
        elif (
            ring.gap_mm is not None
            and now.gap_mm is not None
            and _gap_shows(assembly, bore, name, ring.gap_mm)
        ):
            found[name] = replace(now, gap_mm=None, gap_depth_mm=None)
        elif ring.gap_ring_deg is not None and now.gap_ring_deg is not None and _in_line(assembly, bore):
            found[name] = replace(now, gap_ring_deg=None)
    return found


def _gap_shows(assembly: Assembly, bore: int, name: str, wrong_mm: float) -> bool:
    """Whether a measured gap is outside its limits on the side on which the mistake is."""
    for fit in fitted(assembly, bore).rings:
        if fit.name == name:
            return fit.verdict.state == ("below" if wrong_mm < fit.verdict.target.min_mm else "above")
    return False


def _in_line(assembly: Assembly, bore: int) -> bool:
    """Whether the gaps of both compression rings stand nearer to each other than they may."""
    found = clock(assembly, bore)
    return separation_deg(found.angles_deg["top"], found.angles_deg["second"]) < found.rules.near.deg
