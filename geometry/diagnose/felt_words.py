"""Words of a builder to structured observations: ``tight at 75; once per turn; after bore 3``."""

from __future__ import annotations

import re
from collections.abc import Callable
from difflib import get_close_matches
from typing import Final

from geometry.diagnose.felt import Felt
from geometry.errors import InputError, Problem
from geometry.units import UnitError, parse

EXAMPLES: Final = (
    "bound", "heavy", "turns freely", "tight at 75", "tight at 75 after top of 3", "once per turn",
    "once per two turns", "binds once per turn", "no side play in 3", "side play good in 3", "click at 180",
    "after bore 3", "after main 2", "as soon as cap 3 is tight", "torque 0:12 30:14 60:40 N*m",
    "top of 3 is 0.6 late", "crown of 3 is 0.5 mm high", "only when hot", "burns oil in 3", "low compression",
    "low compression everywhere", "knocks", "knocks when cold", "knocks under load", "low oil pressure",
    "crankpin 3 scored", "head on", "head off",
)  # fmt: skip

LONGEST: Final = 4000
_ANGLE = r"(-?\d+(?:\.\d+)?)\s*(?:deg(?:rees?)?|°)?"
_ANGLES = rf"{_ANGLE}(?:\s*(?:,|and|&)\s*{_ANGLE})*"
_BORES = r"(?:bores?|rods?|cylinders?)?\s*(\d+(?:\s*(?:,|and|&)\s*\d+)*)"
_BORE = r"(?:bore|rod|piston|cap|cylinder)?\s*(\d+)"
_ONCE = r"once (?:per|a|in a|every|each|in one) (?:turn|rev(?:olution)?)|every turn"
_ONCE_IN_TWO = r"once (?:per|in|every|each) (?:two|2) (?:turns|revs|revolutions)|every (?:second|other) turn"
_STOPS = r"(?:it )?(?:goes |is )*(?:tight|binds|bites|stops|catches|stiff|heavy)(?: hard)?"
_TIGHTENED = r"(?:is|was|are|were|got|went) (?:tight|tightened|torqued|down|on)(?: down)?"
_EVERYWHERE = r"everywhere|(?:in )?(?:all|every) (?:the )?(?:bores?|cylinders?)|all round"
_TOP = r"(?:top(?: dead centre)?|tdc)"


def read_felt(text: str, top_deg: Callable[[int], float]) -> Felt:
    """Understand observations, one clause each, parted by ``;`` or line ends.

    Parameters
    ----------
    text : the builder's words
    top_deg : top dead centre of a bore by its number; raises for a bore that is not there

    Raises
    ------
    InputError
        Every clause that is not understood, each with an example that would be.
    """
    if len(text) > LONGEST:
        raise InputError(
            [Problem("--felt", None, "", f"is longer than {LONGEST} letters", "a few clauses are enough")]
        )
    felt, problems = Felt(), []
    for clause in (part.strip() for part in re.split(r"[;\n]", text)):
        if not clause:
            continue
        try:
            found = _clause(clause, top_deg)
        except (UnitError, ValueError) as bad:
            problems.append(Problem("--felt", None, clause, str(bad)))
            continue
        if found is None:
            near = get_close_matches(clause.lower(), EXAMPLES, 1, 0.4)
            right = f'did you mean "{near[0]}"?' if near else "write for example " + ", ".join(EXAMPLES[:6])
            problems.append(Problem("--felt", None, clause, "is not understood", right))
            continue
        felt = felt.joined(found)
    if problems:
        raise InputError(problems)
    return felt


def _clause(clause: str, top_deg: Callable[[int], float]) -> Felt | None:
    words = re.sub(r"\s+", " ", clause.lower().strip(" .,"))
    for reader in (_plain, _in_bore, _at_angles, _by_bore, _readings):
        found = reader(words, top_deg)
        if found is not None:
            return found
    return None


_PLAIN: Final[tuple[tuple[str, Felt], ...]] = (
    (r"(?:it )?(?:is )?(?:bound|stuck|locked|jammed)(?: solid)?(?: (?:all round|everywhere|at every angle))?|"
     r"(?:crank )?(?:does not|won'?t|will not|doesn'?t) turn(?: at all)?", Felt(bound=True)),
    (r"(?:turns )?(?:heavy|heavily|stiff)(?: (?:all round|everywhere|to turn))?|tight (?:all round|everywhere)",
     Felt(heavy=True)),
    (r"(?:turns )?free(?:ly)?|nothing(?: is)?(?: felt)?|turns (?:well|as it should)", Felt(free=True)),
    (_ONCE, Felt(period_deg=360.0)),
    (_ONCE_IN_TWO, Felt(period_deg=720.0)),
    (rf"{_STOPS} (?:{_ONCE})", Felt(in_places=True, period_deg=360.0)),
    (rf"{_STOPS} (?:{_ONCE_IN_TWO})", Felt(in_places=True, period_deg=720.0)),
    (rf"{_STOPS} (?:in|at) (?:places|(?:one|a) (?:place|spot|point|angle))", Felt(in_places=True)),
    (r"(?:only )?(?:when )?(?:it is )?hot", Felt(when_hot=True)),
    (r"seizes(?: when hot)?", Felt(when_hot=True, running=frozenset({"seizes_hot"}))),
    (r"(?:burns|uses) oil|(?:blue )?smokes?|oil use", Felt(running=frozenset({"burns_oil"}))),
    (r"(?:low|poor|weak) compression|leak test (?:poor|low)", Felt(running=frozenset({"low_compression"}))),
    (r"knocks?(?: when running)?", Felt(running=frozenset({"knocks"}))),
    (r"knocks?(?: only| most| loudest)?(?: when)?(?: it is)? cold|(?:piston )?slaps?(?: when cold)?",
     Felt(running=frozenset({"knocks_cold"}))),
    (r"(?:knocks?|louder|loudest)(?: only| most| loudest| louder)?(?: grows)? (?:under|with) (?:load|speed|revs)",
     Felt(running=frozenset({"knocks_load"}))),
    (r"low oil pressure", Felt(running=frozenset({"low_oil_pressure"}))),
    (r"heads? (?:is |are )?on|with (?:the )?heads?(?: on)?", Felt(head_on=True)),
    (r"heads? (?:is |are )?off|without (?:the )?heads?", Felt(head_on=False)),
)  # fmt: skip


def _plain(words: str, _: Callable[[int], float]) -> Felt | None:
    return next((felt for pattern, felt in _PLAIN if re.fullmatch(pattern, words)), None)


def _in_bore(words: str, top_deg: Callable[[int], float]) -> Felt | None:
    """A symptom of the running engine with its bore: ``burns oil in 3``, or of all: ``burns oil everywhere``."""
    found = re.fullmatch(rf"(.+?) (?:{_EVERYWHERE})", words)
    plain = _plain(found[1], top_deg) if found else None
    if plain is not None and plain.running:
        return Felt(when_hot=plain.when_hot, running_everywhere=plain.running)
    found = re.fullmatch(rf"(.+?) (?:in|at|from|of) {_BORES}", words)
    plain = _plain(found[1], top_deg) if found else None
    if found is None or plain is None or not plain.running:
        return None
    bores = tuple(int(number) for number in re.findall(r"\d+", found[2]))
    for bore in bores:
        top_deg(bore)
    told = tuple((word, bore) for word in sorted(plain.running) for bore in bores)
    return Felt(when_hot=plain.when_hot, running_in=told)


def _at_angles(words: str, top_deg: Callable[[int], float]) -> Felt | None:
    found = re.fullmatch(
        rf"(?:goes |gets |it |is )*"
        rf"(tight|bound|binds|bites|stops(?: hard)?|catches|stiff|heavy|clicks?|knocks?|snaps?) "
        rf"(?:at |near |about |around )+({_ANGLES})(?: (?:after|past) {_TOP} (?:of|in|at) {_BORE})?",
        words,
    )
    if found is None:
        return None
    told = [_angle(number) for number in re.findall(r"-?\d+(?:\.\d+)?", found[2])]
    if found[5]:
        # A bore has two tops in the working cycle, and nobody said which: the turn stays open.
        told = [(top_deg(int(found[5])) + angle) % 360.0 for angle in told]
    angles = tuple(angle % 720.0 for angle in told)
    if re.match("click|knock|snap", found[1]):
        return Felt(clicks_deg=angles)
    return Felt(tight_deg=angles)


def _angle(text: str) -> float:
    value = float(text)
    if not -360.0 <= value <= 720.0:
        raise ValueError(f"{text} is not a crank angle; write 0 to 360 degrees, or to 720 in the second turn")
    return value


def _by_bore(words: str, top_deg: Callable[[int], float]) -> Felt | None:
    found = re.fullmatch(
        rf"(no|without|little|good|fine|right)? ?side (?:play|clearance)(.*?) (?:in|at|on) {_BORES}", words
    )
    if found is not None:
        bores = tuple(int(number) for number in re.findall(r"\d+", found[3]))
        for bore in bores:
            top_deg(bore)
        good = found[1] in ("good", "fine", "right") or re.search(r"good|fine|right|ok", found[2])
        if not good and found[1] is None and not re.search(r"none|gone|missing", found[2]):
            return None
        return Felt(side_play_good=bores) if good else Felt(no_side_play=bores)
    found = re.fullmatch(
        rf"(?:(?:the )?crankpin|pin) {_BORE} (?:is )?(?:scored|scratched|nicked)|"
        rf"(?:scored|scratched|nicked) (?:crankpin|pin)(?: (?:in|at|of))? {_BORE}",
        words,
    )
    if found is not None:
        bore = int(found[1] or found[2])
        top_deg(bore)
        return Felt(scored_pins=(bore,))
    return _began(words, top_deg)


def _began(words: str, top_deg: Callable[[int], float]) -> Felt | None:
    """When it began: ``after bore 3``, ``as soon as main cap 2 is tight``."""
    work = r"(?:(?:in)?stalling |fitting |tightening )?"
    start = rf"(?:only |began |since )*(?:after {work}|(?:as soon as|once|when) (?:the )?)"
    found = re.fullmatch(rf"{start}main(?: cap| bearing)? (\d+)(?: {_TIGHTENED})?", words)
    if found is not None:
        return Felt(after_main=int(found[1]))
    found = re.fullmatch(rf"{start}{_BORE}(?: (?:was|went) .*| {_TIGHTENED})?", words)
    if found is not None:
        top_deg(int(found[1]))
        return Felt(after_bore=int(found[1]))
    return None


def _readings(words: str, top_deg: Callable[[int], float]) -> Felt | None:
    found = re.fullmatch(rf"{_TOP} (?:of|in) {_BORE} (?:is |comes )?{_ANGLE} (late|early)", words)
    if found is not None:
        top_deg(int(found[1]))
        return Felt(top_late_deg=((int(found[1]), _angle(found[2]) * (1 if found[3] == "late" else -1)),))
    found = re.fullmatch(
        rf"(?:crown|piston|deck)(?: of| in)? {_BORE} (?:is |stands )?(.+?) (?:too )?(high|low)(?:er)?", words
    )
    if found is not None:
        top_deg(int(found[1]))
        size = parse(found[2], "length")
        return Felt(high_mm=((int(found[1]), size if found[3] == "high" else -size),))
    found = re.fullmatch(rf"torque((?: {_ANGLE}:\d+(?:\.\d+)?)+) ?(n\W?m|lbf\W?ft|lbf\W?in)?", words)
    if found is not None:
        if found[3] is None:
            raise ValueError("the torque has no unit; write N*m, lbf*ft or lbf*in at its end")
        unit = {"n": "N*m", "lbf*ft": "lbf*ft"}.get(found[3][:1], "lbf*ft" if "ft" in found[3] else "lbf*in")
        pairs = re.findall(r"(-?\d+(?:\.\d+)?)[^:\d]*:(\d+(?:\.\d+)?)", found[1])
        return Felt(torque_nm=tuple((_angle(a) % 720.0, parse(f"{t} {unit}", "torque")) for a, t in pairs))
    return None
