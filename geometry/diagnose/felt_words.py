"""Words of a builder to structured observations: ``tight at 75; once per turn; after bore 3``."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import suppress
from difflib import get_close_matches
from typing import Final

from geometry.diagnose.contradictions import Saying
from geometry.diagnose.felt import Felt
from geometry.errors import InputError, Problem
from geometry.units import UnitError, parse

EXAMPLES: Final = (
    "bound", "seized", "won't turn", "heavy all round", "turns freely", "stops", "stops at 75", "tight at 75",
    "tight spot at 75", "hard spot", "locks at 75", "grinds at 75", "tight at 75 after top of 3", "once per turn",
    "once per two turns", "binds once per turn", "no side play in 3", "side play good in 3", "click at 180",
    "after bore 3", "after 3", "when I torque rod 3", "as soon as cap 3 is tight", "after main 2",
    "torque 0:12 30:14 60:40 N*m", "top of 3 is 0.6 late", "crown of 3 is 0.5 mm high", "only when hot",
    "burns oil in 3", "low compression", "low compression everywhere", "knocks", "knocks once a turn",
    "knocks when cold", "knocks under load", "low oil pressure", "crankpin 3 scored", "head on", "head off",
)  # fmt: skip

LONGEST: Final = 4000
_ANGLE = r"(-?\d+(?:\.\d+)?)\s*(?:deg(?:rees?)?|°)?"
_ANGLES = rf"{_ANGLE}(?:\s*(?:,|and|&)\s*{_ANGLE})*"
_BORES = r"(?:bores?|rods?|cylinders?)?\s*(\d+(?:\s*(?:,|and|&)\s*\d+)*)"
_BORE = r"(?:bore|rod|piston|cap|cylinder|pot|hole)?\s*(\d+)"
_ONCE = r"once (?:per|a|in a|every|each|in one) (?:turn|rev(?:olution)?)|every (?:turn|rev(?:olution)?)"
_ONCE_IN_TWO = r"once (?:per|in|every|each) (?:two|2) (?:turns|revs|revolutions)|every (?:second|other) turn"
_IT = r"(?:(?:it|she|crank|the crank|engine|the engine) )?"
_GOES = r"(?:goes |gets |is |feels |there is a |there's a |a )*"
_SPOT = r"(?:tight|hard|stiff|heavy|high|rough|sticky|bad) (?:spot|place|point)s?"
_STICKS = (
    r"stops?|stopped|locks?(?: up)?|grinds?|grinding|catches|jams?(?: up)?|sticks|hangs(?: up)?|rubs|scrapes|hits|"
    r"strikes|fouls|snags|drags"
)
"""What is said of a crank that turns until it meets something."""
_STOPS = (
    rf"{_IT}{_GOES}(?:tight|bound|solid|stuck|seized|jammed|locked|binds|binding|bites|stiff|heavy|{_STICKS}|{_SPOT})"
    r"(?: (?:hard|solid|dead|up))?"
)
_TIGHTENED = (
    r"(?:is|was|are|were|got|gets|went|goes) (?:tight|tightened|torqued|down|on|in|fitted)(?: down| up)?"
)
_EVERYWHERE = (
    r"everywhere|(?:in )?(?:all|every) (?:the )?(?:bores?|cylinders?)|all round|all the way(?: round)?"
)
_TOP = r"(?:top(?: dead centre)?|tdc)"
_APART = re.compile(r"[;\n]|,(?!\s*-?\d)|\bbut\b")
"""Where one clause ends: a comma before a number goes on counting."""


def read_felt(text: str, top_deg: Callable[[int], float]) -> Felt:
    """Everything that was said, together; contradictions are the caller's to settle (``read_told``).

    Raises
    ------
    InputError
        As ``read_told``.
    """
    felt = Felt()
    for one in read_told(text, top_deg):
        felt = felt.joined(one.felt)
    return felt


def read_told(text: str, top_deg: Callable[[int], float]) -> tuple[Saying, ...]:
    """Understand observations, one clause each, parted by ``;``, by line ends, or by a comma before a word.

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
    told: list[Saying] = []
    problems = []
    for clause in (part.strip() for part in _APART.split(text)):
        if not clause:
            continue
        try:
            found = _clause(clause, top_deg)
        except (UnitError, ValueError) as bad:
            problems.append(Problem("--felt", None, clause, str(bad)))
            continue
        if found is None:
            problems.append(Problem("--felt", None, clause, "is not understood", _suggested(clause)))
            continue
        told.append(Saying(clause, found))
    if problems:
        raise InputError(problems)
    return tuple(told)


def _suggested(clause: str) -> str:
    """The clause with its misspelt words put right where that is understood; else the example nearest to it."""
    plain = _plainly(clause)
    if plain in _WHERE:
        return f'everywhere, or in one place? Write "{plain} all round", "{plain} in one place" or "{plain} at 75"'
    words = [
        word
        if word in _VOCABULARY or re.search(r"\d", word)
        else (get_close_matches(word, _VOCABULARY, 1, 0.7) or [word])[0]
        for word in plain.split()
    ]
    better = " ".join(words)
    if better != plain and _understood(better):
        return f'did you mean "{better}"?'
    near = get_close_matches(plain, EXAMPLES, 1, 0.4)
    return f'did you mean "{near[0]}"?' if near else "write for example " + ", ".join(EXAMPLES[:6])


def _understood(clause: str) -> bool:
    with suppress(UnitError, ValueError):
        return _clause(clause, lambda _: 0.0) is not None
    return False


def _plainly(clause: str) -> str:
    return re.sub(r"\s+", " ", clause.lower().replace("’", "'").strip(" .,!"))


def _clause(clause: str, top_deg: Callable[[int], float]) -> Felt | None:
    words = _plainly(clause)
    for reader in (_plain, _in_bore, _at_angles, _by_bore, _readings):
        found = reader(words, top_deg)
        if found is not None:
            return found
    return None


_WHERE: Final = ("tight", "binds")
"""Words that are said of a crank that goes heavily all round, and of one that does in one place."""
_WORDS: Final = (
    "bore", "rod", "piston", "cap", "main", "bearing", "crank", "locked", "jammed", "stuck", "solid", "stiff",
    "binds", "catches", "sticks", "rubs", "turns", "every", "second", "place", "round", "scored", "tightened",
    "torqued", "smokes", "slap", "deck", "late", "early", "lower",
)  # fmt: skip
_VOCABULARY: Final = (
    *dict.fromkeys(word for clause in EXAMPLES for word in clause.split() if not re.search(r"\d", word)), *_WORDS
)  # fmt: skip

_PLAIN: Final[tuple[tuple[str, Felt], ...]] = (
    (rf"{_IT}(?:(?:is|has|went) )?(?:bound|stuck|locked|jammed|seized|solid|frozen)(?: solid| up| tight)*"
     rf"(?: (?:{_EVERYWHERE}|at every angle))?|binds (?:{_EVERYWHERE})|"
     rf"{_IT}(?:does not|won'?t|will not|doesn'?t|can'?t|cannot|refuses to) "
     r"(?:be )?(?:turn(?:ed)?|move|budge|rotate)(?: at all| it)?|(?:i )?(?:can'?t|cannot) turn(?: it| the crank)?",
     Felt(bound=True)),
    (rf"{_IT}{_GOES}(?:turns )?(?:hard|heavy|heavily|stiff|stiffly)(?: (?:{_EVERYWHERE}|to turn|turning))?|"
     rf"{_IT}(?:turns )?(?:tight|drags|grinds) (?:{_EVERYWHERE})|hard to turn", Felt(heavy=True)),
    (rf"{_IT}(?:turns |spins |is )?(?:free(?:ly)?|easily|easy)|nothing(?: is)?(?: felt)?|"
     rf"{_IT}turns (?:well|as it should|fine)", Felt(free=True)),
    (_ONCE, Felt(period_deg=360.0)),
    (_ONCE_IN_TWO, Felt(period_deg=720.0)),
    (rf"{_STOPS} (?:{_ONCE})", Felt(in_places=True, period_deg=360.0)),
    (rf"{_STOPS} (?:{_ONCE_IN_TWO})", Felt(in_places=True, period_deg=720.0)),
    (rf"{_STOPS} (?:in|at) (?:places|(?:one|a|some) (?:place|spot|point|angle)s?)", Felt(in_places=True)),
    (rf"{_IT}(?:{_STICKS})(?: (?:hard|solid|dead|somewhere))?|{_GOES}{_SPOT}", Felt(in_places=True)),
    (r"(?:only )?(?:when )?(?:it is |it'?s )?hot", Felt(when_hot=True)),
    (rf"seizes|{_IT}(?:seizes|locks)(?: up)? when (?:it is )?hot",
     Felt(when_hot=True, running=frozenset({"seizes_hot"}))),
    (r"(?:burns|uses) oil|(?:blue )?smokes?|oil use", Felt(running=frozenset({"burns_oil"}))),
    (r"(?:low|poor|weak) compression|leak test (?:poor|low)", Felt(running=frozenset({"low_compression"}))),
    (r"knocks?(?: when running)?", Felt(running=frozenset({"knocks"}))),
    (rf"knocks? (?:{_ONCE})", Felt(running=frozenset({"knocks"}), period_deg=360.0)),
    (rf"knocks? (?:{_ONCE_IN_TWO})", Felt(running=frozenset({"knocks"}), period_deg=720.0)),
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
    """Where it stops or clicks: ``stops hard at 75 once a turn``, ``hard spot near 20 after top of 3``."""
    found = re.fullmatch(
        rf"(?:(?P<clicks>(?:{_IT}|a )(?:clicks?|knocks?|snaps?))|{_STOPS}) (?:at |near |about |around |by )+"
        rf"(?P<angles>{_ANGLES})"
        rf"(?: (?:after|past) {_TOP} (?:of|in|at) (?:bore|rod|piston|cap|cylinder)?\s*(?P<bore>\d+))?"
        rf"(?: (?:(?P<once>{_ONCE})|(?P<twice>{_ONCE_IN_TWO})))?",
        words,
    )
    if found is None:
        return None
    told = [_angle(number) for number in re.findall(r"-?\d+(?:\.\d+)?", found["angles"])]
    if found["bore"]:
        # A bore has two tops in the working cycle, and nobody said which: the turn stays open.
        told = [(top_deg(int(found["bore"])) + angle) % 360.0 for angle in told]
    angles = tuple(angle % 720.0 for angle in told)
    period = 360.0 if found["once"] else 720.0 if found["twice"] else None
    if found["clicks"]:
        return Felt(clicks_deg=angles, period_deg=period)
    return Felt(tight_deg=angles, period_deg=period)


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


_WORK = (
    r"(?:(?:in)?stall|fitt?|tighten|tighten up|torqu|put|push|bolt|clos|do|did|nip)(?:ing|e|ed|ting|ted)?"
    r"(?: up| in| down| on)?"
)
_BEGAN = (
    r"(?:(?:it )?(?:only|began|begins|starts?|started|happens|happened|came|went tight|ever) )*"
    rf"(?:after|since|from|when|once|as soon as|as|on|upon)(?: (?:i|we)(?: have)?)?(?: {_WORK})?"
    r"(?: (?:the|no\.?|number))*"
)


def _began(words: str, top_deg: Callable[[int], float]) -> Felt | None:
    """When it began: ``after bore 3``, ``as soon as main cap 2 is tight``, ``when I torque rod 3``."""
    ends = rf"(?: (?:was|went|goes|got) .*| {_TIGHTENED}| in| on| down| up)?"
    found = re.fullmatch(rf"{_BEGAN} main(?: cap| bearing)?(?: bolts?)? (\d+){ends}", words)
    if found is not None:
        return Felt(after_main=int(found[1]))
    found = re.fullmatch(
        rf"{_BEGAN} (?:(?:rod|big end) )?(?:(?:cap|bolts?|nuts?)(?: of| on)? )?{_BORE}{ends}", words
    )
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
