"""How well observations fit a mistake: an explicit noise model, every number of it in one place.

Every observation has a chance under each mistake and a chance "by itself", when something not in the catalogue is
the cause. The log of their ratio is the evidence for (above zero) or against (below zero) the mistake; the sum over
the observations, with equal first chances for all mistakes in all places, ranks them.

The numbers are judgement, no source: nobody has measured how well builders feel a crank. They are meant to be
wide, so that a missed or wrong observation does not throw the true mistake out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from geometry.diagnose.candidates import Candidate, Expected
from geometry.diagnose.felt import Felt, tight_by_torque
from geometry.diagnose.looks import LOOKS
from geometry.diagnose.order import not_yet
from geometry.mistakes.mistake import BROADER, RUNNING, CrankArc, family
from geometry.trade import ROD_SIDE_SINGLE_MM

ANGLE_SD_DEG: Final = 5.0
"""Reading of a crank angle by hand, degree wheel or mark on the damper."""
STRAY: Final = 0.08
"""Share of readings that have nothing to do with it."""
MISSED: Final = 0.25
"""Chance that one of several tight places goes unnoticed."""
FAINT_CLICK: Final = 0.5
"""Chance that a click is noticed."""
LATE_SD_DEG, LATE_SPAN_DEG = 0.25, 10.0
HIGH_SD_MM, HIGH_SPAN_MM = 0.10, 6.0
"""Spread of a degree wheel with a positive stop, of a depth gauge, and the span of wild readings."""
NO_PLAY_BELOW_MM: Final = ROD_SIDE_SINGLE_MM[0]
"""Side clearance that a builder calls none: the least of published service data."""
STATE: Final[dict[str, dict[str, float]]] = {
    "bound": {"bound": 0.85, "heavy": 0.12, "tight": 0.02, "free": 0.01},
    "heavy": {"bound": 0.15, "heavy": 0.75, "tight": 0.05, "free": 0.05},
    "tight": {"bound": 0.06, "heavy": 0.04, "tight": 0.85, "free": 0.05},
    "free": {"bound": 0.01, "heavy": 0.04, "tight": 0.05, "free": 0.90},
    "hot": {"bound": 0.35, "heavy": 0.55, "tight": 0.05, "free": 0.05},
}
"""Chance of saying (inner key) what is so (outer key). ``hot``: what grows with heat, once it is hot."""
STATE_WORDS: Final[dict[str, str]] = {
    "bound": "bound at every angle", "heavy": "heavy all round", "tight": "tight in places", "free": "free",
    "hot": "heavy to bound once it is hot",
}  # fmt: skip
SAYS_RIGHT_BORE: Final = 0.8
SAYS_WRONG_KIND: Final = 0.03
"""Chance of naming a bore where a main bearing began it, or the other way round: the mains are tight, and the crank
was turned in them, before the first rod goes on."""
LOOK_MISSES: Final = 0.05
"""Chance that a look overlooks what is there."""
PERIOD_RIGHT: Final = 0.95
PLAY_RIGHT: Final = 0.95
"""A feeler blade goes in or does not; what is left is the wrong rod tried."""
HOT_RIGHT: Final = 0.9
HOT_YET_COLD: Final = 0.02
"""Chance of "only when hot" where the crank is as tight cold."""
SYMPTOM_RIGHT, SYMPTOM_BY_ITSELF = 0.85, 0.06
SYMPTOM_RIGHT_BORE: Final[dict[str, float]] = {
    "low_compression": 0.97, "burns_oil": 0.9, "knocks": 0.75, "low_oil_pressure": 0.5, "seizes_hot": 0.9,
}  # fmt: skip
"""Chance that the bore told is the right one: a gauge tells it best, then the plug, the ear least; one gauge reads the
oil pressure of all."""
PIN_RIGHT_BORE: Final = 0.97
"""The same of a scored crankpin, which is seen with the cap off."""
SYMPTOM_UNLISTED: Final = 0.3
"""Chance of a symptom where something that is not in the catalogue is the cause."""
SAME_BORE: Final = 0.5
"""Share of symptoms by themselves that are found in the bore in trouble: it is the one that is looked at."""
EVERYWHERE: Final = 0.03
"""Chance that a symptom of some bores is told of every bore."""
HEAD_ON_UNKNOWN: Final = 0.5
RECORD_RIGHT, RECORD_BY_ITSELF = 0.95, 0.01
"""Chance that the build record shows a mistake that is there, and one that is not: a slip of the pen."""


About: TypeAlias = tuple[str | float, ...]
"""An observation: its kind, and the angle, word or place it is of."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One observation against one mistake.

    Attributes
    ----------
    about : which observation it is, the same under every mistake
    text : in words
    weight : natural log of the ratio of chances; above zero speaks for the mistake
    """

    about: About
    text: str
    weight: float


def evidence(felt: Felt, wrong: Expected, bores: int, mains: int) -> tuple[Evidence, ...]:
    """Every observation weighed against one mistake, or several together.

    Parameters
    ----------
    felt : what was found
    wrong : what the mistake feels like
    bores, mains : how many bores and main bearings the engine has
    """
    arcs = arcs_felt(felt, wrong)
    found = [
        *_state(felt, wrong, arcs), *_angles(felt, arcs), *_period(felt, arcs, wrong), *_clicks(felt, wrong),
        *_play(felt, wrong), *_began(felt, wrong, arcs, (bores, mains)), *_measured(felt, wrong),
        *_hot(felt, wrong, arcs), *_running(felt, wrong, bores), *_running_in(felt, wrong, bores),
        *_scored(felt, wrong, bores), *_looked(felt, wrong),
    ]  # fmt: skip
    return tuple(entry for entry in found if abs(entry.weight) > 1e-9)


def total(entries: tuple[Evidence, ...]) -> float:
    """Sum of the weights."""
    return math.fsum(entry.weight for entry in entries)


def arcs_felt(felt: Felt, wrong: Expected) -> tuple[tuple[CrankArc, float], ...]:
    """Tight places that can be felt: those of head and valves only when the head may be on."""
    return wrong.arcs if felt.head_on is False else (*wrong.arcs, *wrong.head_arcs)


def state_of(wrong: Expected, arcs: tuple[tuple[CrankArc, float], ...], hot: bool = False) -> str:
    """The strongest thing that is felt, cold or hot."""
    if hot and wrong.when_hot:
        return "hot"
    if wrong.bound:
        return "bound"
    if wrong.heavy:
        return "heavy"
    return "tight" if arcs else "free"


def tight_angles(felt: Felt) -> tuple[float, ...]:
    """Angles said to be tight, by hand or by torque readings."""
    return (*felt.tight_deg, *tight_by_torque(felt.torque_nm))


def said_state(felt: Felt) -> str | None:
    """What was said about the turning as a whole."""
    if felt.bound:
        return "bound"
    if tight_angles(felt) or felt.in_places:
        return "tight"
    if felt.heavy:
        return "heavy"
    # A click is told of a crank that was turned through: had it stopped anywhere, that would have been told first.
    return "free" if felt.free or felt.torque_nm or felt.clicks_deg else None


def _state(felt: Felt, wrong: Expected, arcs: tuple[tuple[CrankArc, float], ...]) -> Iterator[Evidence]:
    said = said_state(felt)
    if said is None:
        return
    hot = felt.when_hot and said != "free"
    is_so = state_of(wrong, arcs, hot)
    chance = STATE[is_so][said]
    if felt.head_on is None and wrong.head_arcs and not wrong.arcs:
        off = STATE[state_of(wrong, wrong.arcs, hot)][said]
        chance = HEAD_ON_UNKNOWN * chance + (1 - HEAD_ON_UNKNOWN) * off
    text = f"felt: {STATE_WORDS[said]}; expected: {STATE_WORDS[is_so]}"
    yield Evidence(("state",), text, math.log(chance / 0.25))


def distance_deg(angle_deg: float, arc: CrankArc, period_deg: float) -> float:
    """Shorter way from an angle to an arc; 0 inside. Angles below 360 may lie in either turn."""
    around = 720.0 if period_deg == 720.0 and angle_deg >= 360.0 else 360.0
    length = min(arc.end_deg - arc.start_deg, around)
    after = (angle_deg - arc.start_deg) % around
    return 0.0 if after <= length else min(after - length, around - after)


def _density(angle_deg: float, arcs: tuple[tuple[CrankArc, float], ...]) -> float:
    """Chance per degree of reading an angle as tight, given where it is."""
    if not arcs:
        return 1.0 / 360.0
    each = 0.0
    for arc, period in arcs:
        away = distance_deg(angle_deg, arc, period)
        width = min(arc.end_deg - arc.start_deg, 360.0) + ANGLE_SD_DEG * math.sqrt(2 * math.pi)
        each += math.exp(-0.5 * (away / ANGLE_SD_DEG) ** 2) / width
    return (1 - STRAY) * each / len(arcs) + STRAY / 360.0


def _angles(felt: Felt, arcs: tuple[tuple[CrankArc, float], ...]) -> Iterator[Evidence]:
    said = tight_angles(felt)
    for angle in said:
        nearest = min((distance_deg(angle, arc, period) for arc, period in arcs), default=None)
        if nearest is None:
            text = f"tight at {angle:.0f}°: nothing is tight there"
        elif nearest == 0.0:
            text = f"tight at {angle:.0f}°: it stops there"
        else:
            text = f"tight at {angle:.0f}°: it stops {nearest:.0f}° away"
        yield Evidence(("tight", angle), text, math.log(_density(angle, arcs) * 360.0))
    if not said:
        return
    for arc, period in arcs:
        if min(distance_deg(angle, arc, period) for angle in said) > 4 * ANGLE_SD_DEG:
            text = (
                f"nothing said of {arc.start_deg % 360:.0f}° to {arc.end_deg % 360:.0f}°, where it stops too"
            )
            yield Evidence(("unnoticed", arc.start_deg), text, math.log(MISSED))


def _period(felt: Felt, arcs: tuple[tuple[CrankArc, float], ...], wrong: Expected) -> Iterator[Evidence]:
    if felt.period_deg is None:
        return
    periods = {period for _, period in arcs} or ({360.0} if wrong.clicks_deg else set())
    words = "once a turn" if felt.period_deg == 360.0 else "once in two turns"
    if not periods:
        yield Evidence(("period",), f"{words}: it is not tied to an angle", math.log(0.5))
        return
    right = felt.period_deg in periods
    chance = PERIOD_RIGHT if right else 1 - PERIOD_RIGHT
    text = f"{words}: {'so it is' if right else 'expected otherwise'}"
    yield Evidence(("period",), text, math.log(chance / 0.5))


def _clicks(felt: Felt, wrong: Expected) -> Iterator[Evidence]:
    arcs = tuple((CrankArc(angle, angle, 0.0), 360.0) for angle in wrong.clicks_deg)
    for angle in felt.clicks_deg:
        density = _density(angle, arcs) if arcs else STRAY / 360.0
        away = min((distance_deg(angle, arc, period) for arc, period in arcs), default=None)
        text = "nothing clicks" if away is None else f"expected {away:.0f}° away"
        yield Evidence(("click", angle), f"click at {angle:.0f}°: {text}", math.log(density * 360.0))
    if wrong.clicks_deg and not felt.clicks_deg and said_state(felt) is not None:
        yield Evidence(("no click",), "no click is told, a faint one is expected", math.log(FAINT_CLICK))


def _play(felt: Felt, wrong: Expected) -> Iterator[Evidence]:
    tight = {bore for bore, left in wrong.side_play_mm.items() if left < NO_PLAY_BELOW_MM}
    for bore in felt.no_side_play:
        chance = PLAY_RIGHT if bore in tight else (1 - PLAY_RIGHT) / 2
        said = "taken up" if bore in tight else "not touched"
        yield Evidence(("play", bore), f"no side play in bore {bore}: {said}", math.log(chance / 0.25))
    for bore in felt.side_play_good:
        chance = (1 - PLAY_RIGHT) if bore in tight else 0.97
        said = "expected gone" if bore in tight else "not touched"
        yield Evidence(("play", bore), f"side play good in bore {bore}: {said}", math.log(chance / 0.9))


def _began(
    felt: Felt, wrong: Expected, arcs: tuple[tuple[CrankArc, float], ...], counts: tuple[int, int]
) -> Iterator[Evidence]:
    """When it began. Of a mistake in several places only those count that were in by then."""
    (bores, mains), later = counts, not_yet(felt, *counts)
    here, there = wrong.bores - {*later.bores}, wrong.mains - {*later.mains}
    silent = state_of(wrong, arcs) == "free" and not wrong.clicks_deg
    for said, mine, other, count, word in (
        (felt.after_bore, here or wrong.bores, wrong.mains, bores, "bore"),
        (felt.after_main, there or wrong.mains, wrong.bores, mains, "main bearing"),
    ):
        if said is None:
            continue
        wild = (1 - SAYS_RIGHT_BORE) / count
        if silent or not mine:
            text = "it would not be felt then"
            chance = SAYS_WRONG_KIND / count if other and not silent else 0.5 / count
        elif said in mine:
            text, chance = "that is the place", SAYS_RIGHT_BORE / len(mine) + wild
        else:
            text, chance = "another place", wild
        yield Evidence(("began", word), f"began after {word} {said}: {text}", math.log(chance * count))


def _measured(felt: Felt, wrong: Expected) -> Iterator[Evidence]:
    late = ("late", felt.top_late_deg, wrong.top_late_deg, "°", "top dead centre {} late")
    high = ("high", felt.high_mm, wrong.high_mm, " mm", "crown {} high")
    spreads = ((LATE_SD_DEG, LATE_SPAN_DEG), (HIGH_SD_MM, HIGH_SPAN_MM))
    for (kind, entries, where, unit, words), (spread, span) in zip((late, high), spreads, strict=True):
        for bore, value in entries:
            mean = where.get(bore, 0.0)
            peak = math.exp(-0.5 * ((value - mean) / spread) ** 2) / (spread * math.sqrt(2 * math.pi))
            chance = (1 - STRAY) * peak + STRAY / span
            text = f"bore {bore}: {words.format(f'{value:g}{unit}')}, expected {mean:.2f}{unit}"
            yield Evidence((kind, bore), text, math.log(chance * span))


def _hot(felt: Felt, wrong: Expected, arcs: tuple[tuple[CrankArc, float], ...]) -> Iterator[Evidence]:
    if not felt.when_hot:
        return
    if state_of(wrong, arcs) != "free":
        chance, said = HOT_YET_COLD, "also cold"
    elif wrong.when_hot:
        chance, said = HOT_RIGHT, "so it is"
    else:
        chance, said = 1 - HOT_RIGHT, "heat changes nothing"
    yield Evidence(("hot",), f"only when hot: {said}", math.log(chance / 0.5))


def _running(felt: Felt, wrong: Expected, bores: int) -> Iterator[Evidence]:
    for word in sorted(felt.running - {BROADER.get(word) for word in felt.running}):
        right = word in wrong.running
        chance = SYMPTOM_RIGHT if right else SYMPTOM_BY_ITSELF
        said = "expected" if right else "not expected"
        yield Evidence(("running", word), f"{RUNNING[word]}: {said}", math.log(chance / SYMPTOM_UNLISTED))
    for word in sorted(felt.running_everywhere):
        yield _everywhere(word, wrong, bores)
    told = {family(word) for word in (*felt.running, *felt.running_everywhere, *dict(felt.running_in))}
    if told:
        for word in sorted({family(word) for word in wrong.running} - told):
            yield Evidence(("untold", word), f"{RUNNING[word]}: expected, not told", math.log(0.5))


def _everywhere(word: str, wrong: Expected, bores: int) -> Evidence:
    """One wrong part spoils one bore: a symptom of every bore alike speaks for something else."""
    places = wrong.running_in.get(word, frozenset())
    if len(places) == bores:
        chance, said = SYMPTOM_RIGHT, "expected"
    elif word in wrong.running:
        chance, said = EVERYWHERE, "expected in one place only"
    else:
        chance, said = EVERYWHERE * SYMPTOM_BY_ITSELF, "not expected"
    text = f"{RUNNING[word]} in every bore: {said}"
    return Evidence(("running everywhere", word), text, math.log(chance / SYMPTOM_UNLISTED))


def _placed(bore: int, places: frozenset[int] | None, near: frozenset[int], sure: float, bores: int) -> float:
    """Chance that a symptom is told of this bore: where it is expected, by itself, or by itself in the bore in trouble.

    Parameters
    ----------
    bore : the bore told
    places : where the mistake would show it; None when it does not show it at all
    near : bores that the mistake sits in
    sure : chance that the bore told is the right one
    bores : how many the engine has
    """
    if places is None:
        there = SAME_BORE / len(near) if bore in near else 0.0
        return SYMPTOM_BY_ITSELF * (there + (1 - SAME_BORE) / bores)
    there = sure / len(places) if bore in places else 0.0
    return SYMPTOM_RIGHT * (there + (1 - sure) / bores)


def _running_in(felt: Felt, wrong: Expected, bores: int) -> Iterator[Evidence]:
    for word, bore in felt.running_in:
        places = wrong.running_in.get(word, frozenset()) if word in wrong.running else None
        chance = _placed(bore, places, wrong.bores, SYMPTOM_RIGHT_BORE[family(word)], bores) * bores
        text = f"{RUNNING[word]} in bore {bore}: {_said_of_place(bore, places)}"
        yield Evidence(("running", word, bore), text, math.log(chance / SYMPTOM_UNLISTED))


def _scored(felt: Felt, wrong: Expected, bores: int) -> Iterator[Evidence]:
    for bore in felt.scored_pins:
        places = wrong.scored_pins or None
        chance = _placed(bore, places, wrong.bores, PIN_RIGHT_BORE, bores) * bores
        text = f"crankpin {bore} scored: {_said_of_place(bore, places)}"
        yield Evidence(("scored pin", bore), text, math.log(chance / SYMPTOM_UNLISTED))


def _said_of_place(bore: int, places: frozenset[int] | None) -> str:
    if places is None:
        return "not expected"
    return "expected there" if bore in places else "expected in another bore"


def _looked(felt: Felt, wrong: Expected) -> Iterator[Evidence]:
    for look, place in felt.looked:
        if (look, place) in wrong.shows:
            text = f"looked and found nothing: {LOOKS[look].short(place)}"
            yield Evidence(("looked", look, place), text, math.log(LOOK_MISSES))


def on_record(parts: Sequence[Candidate]) -> tuple[Evidence, ...]:
    """What the build record says of these mistakes, one entry for each that it shows."""
    weight = math.log(RECORD_RIGHT / RECORD_BY_ITSELF)
    return tuple(
        Evidence(("record", part.key, part.place), f"the build record shows it: {part.name}", weight)
        for part in parts
        if part.recorded
    )
