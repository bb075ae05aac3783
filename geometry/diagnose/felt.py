"""What a hand on the crank, an ear and a feeler gauge found: the structured form that ``diagnose`` reads."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace


@dataclass(frozen=True, slots=True)
class Felt:
    """Observations; what was not looked at stays empty.

    Attributes
    ----------
    bound : the crank does not turn at all
    heavy : it turns, heavy everywhere
    free : it turns freely, nothing is felt
    in_places : it stops or goes tight somewhere, the angle not told
    tight_deg : crank angles at which it stops or goes tight
    period_deg : 360 once a turn, 720 once in two turns
    no_side_play, side_play_good : bores whose rods have none, or as they should
    clicks_deg : crank angles of a click or knock by hand
    after_bore, after_main : the bore, or main bearing, after whose tightening it began
    torque_nm : readings of the turning torque as (crank angle, N m)
    top_late_deg : (bore, degrees) by which the true top dead centre comes late; negative: early
    high_mm : (bore, mm) by which a crown stands higher than it should; negative: lower
    when_hot : only when hot; what is said of the turning, unless it is free, is then said of the hot engine
    running : words of ``mistake.RUNNING``, for the engine as a whole
    running_in : (word, bore) where the plug, a leak test or the ear tells the bore
    running_everywhere : words that are told of every bore alike
    scored_pins : bores whose crankpins are found scored
    head_on : whether the head was on while turning
    looked : (look, place) of looks that showed nothing, keys of ``looks.LOOKS``
    order, main_order : bores in the order in which their pistons went in, main bearings in that of tightening; empty:
        by number
    """

    bound: bool = False
    heavy: bool = False
    free: bool = False
    in_places: bool = False
    tight_deg: tuple[float, ...] = ()
    period_deg: float | None = None
    no_side_play: tuple[int, ...] = ()
    side_play_good: tuple[int, ...] = ()
    clicks_deg: tuple[float, ...] = ()
    after_bore: int | None = None
    after_main: int | None = None
    torque_nm: tuple[tuple[float, float], ...] = ()
    top_late_deg: tuple[tuple[int, float], ...] = ()
    high_mm: tuple[tuple[int, float], ...] = ()
    when_hot: bool = False
    running: frozenset[str] = field(default_factory=frozenset)
    running_in: tuple[tuple[str, int], ...] = ()
    running_everywhere: frozenset[str] = field(default_factory=frozenset)
    scored_pins: tuple[int, ...] = ()
    head_on: bool | None = None
    looked: tuple[tuple[str, int], ...] = ()
    order: tuple[int, ...] = ()
    main_order: tuple[int, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether nothing at all was said: an order alone is no observation."""
        return replace(self, order=(), main_order=()) == Felt()

    @property
    def ran(self) -> bool:
        """Whether something is told that only an engine shows that has run, with everything in it."""
        return self.when_hot or bool(self.running or self.running_in or self.running_everywhere)

    @property
    def faults_in(self) -> frozenset[int]:
        """Bores of which something is told that is not as it should be: they are in, whenever it began."""
        measured = (*self.top_late_deg, *self.high_mm)
        return frozenset((*self.no_side_play, *self.scored_pins, *(bore for bore, _ in measured)))

    @property
    def stops(self) -> bool:
        """Whether it stops or goes tight somewhere, by hand or by torque readings."""
        return self.in_places or bool(self.tight_deg or tight_by_torque(self.torque_nm))

    def joined(self, other: Felt) -> Felt:
        """Both sets of observations; where both say one thing, the other's counts."""
        changes: dict[str, object] = {}
        for entry in fields(self):
            mine, theirs = getattr(self, entry.name), getattr(other, entry.name)
            if isinstance(mine, tuple):
                changes[entry.name] = (*mine, *theirs)
            elif isinstance(mine, frozenset):
                changes[entry.name] = mine | theirs
            elif isinstance(mine, bool) and entry.name != "head_on":
                changes[entry.name] = mine or theirs
            else:
                changes[entry.name] = mine if theirs is None else theirs
        return replace(self, **changes)  # type: ignore[arg-type]


def showed_nothing(look: str, place: int) -> Felt:
    """What a look tells that showed nothing: where a feeler blade went in, the rod has its side play."""
    return Felt(looked=((look, place),), side_play_good=(place,) if look == "side_play" else ())


RAISED = 1.5
"""A torque reading this many times the middle of all readings counts as tight."""


def tight_by_torque(readings: tuple[tuple[float, float], ...]) -> tuple[float, ...]:
    """Middle of each run of raised torque readings, degrees; empty when all readings are alike."""
    if len(readings) < 3:
        return ()
    ordered = sorted(readings)
    middle = sorted(value for _, value in ordered)[(len(ordered) - 1) // 2]
    runs: list[list[float]] = []
    last = False
    for angle, value in ordered:
        raised = value > RAISED * middle
        if raised and last:
            runs[-1].append(angle)
        elif raised:
            runs.append([angle])
        last = raised
    return tuple((run[0] + run[-1]) / 2 for run in runs)
