"""Bores that share one clock, so that it is drawn once and large, and the gap of every ring in each of them."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.built import BoreBuild
from geometry.kinematics.layout import BoreSite
from geometry.rings.clocked import BoreClock, bore_clock, gap_angles
from geometry.rings.fitted import RingFit, bore_rings

Limits = tuple[float, float | None]


@dataclass(frozen=True, slots=True, eq=False)
class ClockPlan:
    """One clock and the bores that it holds for.

    Attributes
    ----------
    sites : the bores, front first
    clock : the clock of all of them
    planned_deg : where the scheme puts each gap
    turned : whether the piston went in turned round
    overlapped : whether the expander's ends lie over each other
    over : rings that went in upside down
    fits : every gapped ring by bore and name
    """

    sites: tuple[BoreSite, ...]
    clock: BoreClock
    planned_deg: dict[str, float]
    turned: bool
    overlapped: bool
    over: frozenset[str]
    fits: dict[int, dict[str, RingFit]]

    @property
    def key(self) -> str:
        """The bores in a word, for names in a vector file."""
        return "-".join(str(site.bore) for site in self.sites)

    @property
    def moved(self) -> bool:
        """Whether a gap was found elsewhere than the scheme puts it."""
        return any(
            abs((angle - self.planned_deg.get(role, angle) + 180.0) % 360.0 - 180.0) > 0.5
            for role, angle in self.clock.angles_deg.items()
        )

    def fits_of(self, role: str) -> list[RingFit]:
        """One ring in every bore of the plan; none for what has no gap."""
        return [self.fits[site.bore][role] for site in self.sites if role in self.fits[site.bore]]

    def shared(self, role: str) -> RingFit | None:
        """The ring where gap and limits are the same in every bore of the plan; None where they are not."""
        fits = self.fits_of(role)
        alike = {(round(f.gap_mm, 6), round(f.verdict.target.min_mm, 6), f.verdict.state) for f in fits}
        return fits[0] if len(alike) == 1 else None

    def name(self, assembly: Assembly) -> str:
        """The bores and their bank, in words."""
        bank = {"line": "", "left": "Left bank, ", "right": "Right bank, "}[self.sites[0].bank]
        if len({site.bank for site in self.sites}) > 1:
            bank = ""
        numbers = [str(site.bore) for site in self.sites]
        words = (
            f"bore {numbers[0]}"
            if len(numbers) == 1
            else f"bores {', '.join(numbers[:-1])} and {numbers[-1]}"
        )
        row = [s for s in assembly.layout.bores if s.bank == self.sites[0].bank]
        ends = {min(s.place for s in row): ", front", max(s.place for s in row): ", rear"}
        end = ends.get(self.sites[0].place, "") if len(numbers) == 1 and len(row) > 1 else ""
        said = f"{bank}{words}{end}"
        return said[0].upper() + said[1:] + (", PISTON TURNED ROUND" if self.turned else "")


def plans_of(assembly: Assembly, bore: int | None = None) -> list[ClockPlan]:
    """Bores with equal clocks together, left bank first, then from the front; or the plan of one bore alone.

    Raises
    ------
    GeometryError : no such bore, or an unknown scheme
    """
    spec, layout, built = assembly.spec, assembly.layout, assembly.built
    sites = layout.bores if bore is None else (layout.site(bore),)
    groups: dict[Hashable, list[tuple[BoreSite, BoreClock]]] = {}
    for site in sorted(sites, key=lambda s: (s.bank == "right", s.x_mm)):
        clock = bore_clock(spec, site, built.bore(site.bore))
        groups.setdefault(_alike(site, clock, built.bore(site.bore)), []).append((site, clock))
    fits = {
        one.bore: {ring.name: ring for ring in one.rings} for one in bore_rings(spec, layout, built, bore)
    }
    found = []
    for members in groups.values():
        first, clock = members[0]
        build = built.bore(first.bore)
        found.append(
            ClockPlan(
                sites=tuple(site for site, _ in members),
                clock=clock,
                planned_deg=gap_angles(spec, first, BoreBuild(piston_turned=build.piston_turned)),
                turned=build.piston_turned,
                overlapped=build.ring("expander").overlapped,
                over=_over(build),
                fits={site.bore: fits[site.bore] for site, _ in members},
            )
        )
    return found


def _over(build: BoreBuild) -> frozenset[str]:
    return frozenset(role for role, ring in build.rings.items() if ring.upside_down)


def _alike(site: BoreSite, clock: BoreClock, build: BoreBuild) -> Hashable:
    """All that a face shows: bores for which it is equal share one."""
    angles = tuple((role, round(angle, 3)) for role, angle in clock.angles_deg.items())
    findings = tuple(finding.text for finding in clock.verdict.findings)
    return (
        site.bank, clock.thrust_deg, clock.thrust_words, angles, clock.places.bosses, clock.places.pockets, findings,
        build.piston_turned, build.ring("expander").overlapped, _over(build), build.rings_exchanged,
    )  # fmt: skip
