"""The fits that a builder measures: what each is called, how grave it is to be outside, and what is done about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from geometry.checks.section import Severity

FitName = Literal[
    "main_oil_clearance", "main_shell_to_fillet", "main_crush", "end_play", "rod_oil_clearance", "rod_crush",
    "skirt_clearance", "skirt_warm", "pin_to_wall", "pin_in_piston", "pin_in_rod", "pin_end_float", "clip_in_groove",
]  # fmt: skip
State = Literal["none", "tight", "little", "within", "loose", "much", "no limit"]


@dataclass(frozen=True, slots=True)
class FitKind:
    """One kind of fit.

    Attributes
    ----------
    name : the same in every engine
    short : as a table calls it
    words : as findings call it
    low, high : the verdict below the least and above the most
    none : how grave it is to have none at all; where parts do not go together a stop
    below, above : how grave it is to be below the least, and above the most
    remedies : what to do, by verdict
    write : the key for a limit of the builder's own, where no source gives one
    """

    name: FitName
    short: str
    words: str
    low: State = "tight"
    high: State = "loose"
    none: Severity = "stop"
    below: Severity = "stop"
    above: Severity = "look"
    remedies: Mapping[State, str] = field(default_factory=dict)
    write: str = ""

    def severity(self, state: State) -> Severity | Literal[""]:
        """How grave a verdict is; empty where it is not."""
        if state in ("within", "no limit"):
            return ""
        if state == "none":
            return self.none
        return self.below if state == self.low else self.above

    @property
    def no_limit(self) -> str:
        """What is said in place of a limit's source."""
        return f"no source gives a limit; write {self.write}" if self.write else "no source gives a limit"


_SHELLS: Final[Mapping[State, str]] = {
    "none": "shells of a thinner grade, after measuring journal and housing",
    "tight": "shells of the next thinner size, after measuring journal and housing",
    "loose": "shells of the next thicker size, or grind the crank and fit undersize shells",
}
_CRUSH: Final[Mapping[State, str]] = {
    "none": "shells for this housing: these are not held; measure the housing too",
    "much": "take the shell out and look behind it; then shells for this housing, never filed",
}
_PIN: Final[Mapping[State, str]] = {
    "none": "hone the bore to the pin, or a thinner pin",
    "tight": "hone the bore to the pin, or a thinner pin",
    "loose": "a thicker pin, the bore honed to it; else a new bush or piston",
}

MAIN_OIL: Final = FitKind(
    "main_oil_clearance", "main oil clearance", "main oil clearance, on the diameter", remedies=_SHELLS
)
MAIN_FILLET: Final = FitKind(
    "main_shell_to_fillet", "main shell to fillet", "main shell's edge to the journal's fillet",
    remedies={"none": "narrower or chamfered shells for this fillet"},
)  # fmt: skip
MAIN_CRUSH: Final = FitKind(
    "main_crush",
    "main shell crush",
    "crush of a main shell, each end",
    "little",
    "much",
    above="stop",
    remedies=_CRUSH,
)
END_PLAY: Final = FitKind(
    "end_play", "crank end play", "crank end play",
    remedies={
        "none": "a narrower thrust bearing; look for dirt, or a cap that is not in line",
        "tight": "look for dirt or a thrust bearing out of line; else a narrower one",
        "loose": "a new or a wider thrust bearing, after measuring the crank's thrust faces",
    },
)  # fmt: skip
ROD_OIL: Final = FitKind(
    "rod_oil_clearance", "big-end oil clearance", "big-end oil clearance, on the diameter", remedies=_SHELLS
)
ROD_CRUSH: Final = FitKind(
    "rod_crush",
    "big-end shell crush",
    "crush of a big-end shell, each end",
    "little",
    "much",
    above="stop",
    remedies=_CRUSH,
)
SKIRT: Final = FitKind(
    "skirt_clearance", "piston to wall", "piston to wall, on the diameter at the skirt", write="limits.piston_to_wall",
    remedies={
        "none": "hone the bore to the piston maker's clearance",
        "tight": "hone the bore to the piston maker's clearance",
        "loose": "a larger piston, the bore honed to it",
    },
)  # fmt: skip
SKIRT_WARM: Final = FitKind(
    "skirt_warm", "piston to wall, warm", "piston to wall, warm", none="look", below="look",
    remedies={"none": "compare with the piston maker's clearance; more of it, or lower temperatures in piston.heat"},
)  # fmt: skip
PIN_TO_WALL: Final = FitKind(
    "pin_to_wall", "pin's end to wall", "end of the piston pin to the wall, at each end",
    remedies={"none": "a shorter piston pin", "tight": "a shorter piston pin; leave room for its locks"},
)  # fmt: skip
PIN_IN_PISTON: Final = FitKind(
    "pin_in_piston",
    "pin in piston",
    "piston pin in the piston, on the diameter",
    write="limits.pin_in_piston",
    remedies=_PIN,
)
PIN_FLOATS: Final = FitKind(
    "pin_in_rod",
    "pin in rod, floating",
    "piston pin in the rod's bush, on the diameter",
    write="limits.pin_in_rod",
    remedies=_PIN,
)
PIN_PRESSED: Final = FitKind(
    "pin_in_rod", "pin in rod, pressed", "piston pin pressed in the rod, interference", "loose", "tight",
    write="limits.pin_in_rod",
    remedies={
        "none": "another rod or a thicker pin: this one works its way out to the wall",
        "loose": "another rod or a thicker pin: a loose one works its way out to the wall",
        "tight": "measure pin and rod again; then hone the rod, or it splits or bends the piston as the pin goes in",
    },
)  # fmt: skip
PIN_FLOAT: Final = FitKind(
    "pin_end_float", "pin end float", "end float of the piston pin between its clips", write="limits.pin_float",
    remedies={
        "none": "a shorter pin or thinner clips: the clips would be pushed out of their grooves",
        "tight": "a shorter pin or thinner clips",
        "loose": "a longer pin: a loose one hammers its clips out",
    },
)  # fmt: skip
CLIP: Final = FitKind(
    "clip_in_groove", "clip in its groove", "clip in its groove, endways",
    remedies={"none": "thinner clips, or the grooves cut to them: these do not go home"},
)  # fmt: skip
