"""What a picture explains: the engine put together right and wrong, the mistake, and what it does."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.checks.section import Amount, Row
from geometry.kinematics.layout import BoreSite
from geometry.mistakes.mistake import Mistake, Study
from geometry.spec.engine import Engine
from geometry.units import System, show
from viewer.cautions import AS_ASSUMED
from viewer.verdicts import as_assumed

GRAVITY = {"stop": 0, "look": 1, "note": 2, None: 3}


@dataclass(frozen=True, slots=True, eq=False)
class MistakeCase:
    """One mistake in one place of one engine.

    Attributes
    ----------
    right, wrong : the engine as it should be, and with the mistake in it
    place : bore, or main bearing from the front, as ``mistake.where`` counts
    assumed : how many values of the engine are assumed, in words; empty where none is
    """

    right: Assembly
    wrong: Assembly
    mistake: Mistake
    study: Study
    place: int
    system: System
    assumed: str = ""

    def side(self, wrong: bool) -> Assembly:
        """The engine of one half."""
        return self.wrong if wrong else self.right

    @property
    def bore(self) -> int | None:
        """The builder's number of the bore; None at a main bearing."""
        return self.place if self.mistake.where == "bore" else None

    @property
    def bores(self) -> tuple[int, ...]:
        """All bores that it sits in, both of an exchange; none at a main bearing."""
        return () if self.bore is None else self.study.signature.bores or (self.bore,)

    @property
    def site(self) -> BoreSite:
        """Where the bore stands; of a main bearing, the bore nearest to it."""
        layout = self.right.layout
        if self.bore is not None:
            return layout.site(self.bore)
        x_mm = layout.main_x_mm[self.place - 1]
        return min(layout.bores, key=lambda site: (abs(site.x_mm - x_mm), site.bore))

    @property
    def design(self) -> Engine:
        """The engine file as it holds in this bore."""
        return self.right.design(self.site.bore)

    @property
    def where(self) -> str:
        """The place in words."""
        return f"{'bore' if self.bore is not None else 'main bearing'} {self.place}"

    def length(self, value_mm: float) -> str:
        """A length as the builder reads it, fine."""
        return show(value_mm, "length", self.system, fine=True)

    def as_assumed(self, words: str) -> str:
        """A verdict, with ``as assumed`` behind it where the engine has assumed values."""
        return as_assumed(words, self.assumed)

    def below_assumed(self, words: str) -> str:
        """The same with ``as assumed`` on a line of its own, for the narrow labels of a drawing."""
        return self.as_assumed(words).replace(AS_ASSUMED, AS_ASSUMED.replace(" ", "\n", 1))

    def chief_rows(self, most: int = 3) -> tuple[Row, ...]:
        """The rows that a customer needs, in their order: the trouble's own, then the gravest, numbers before words.

        What differs and is judged, or can be compared; a number that stands only on the wrong side says nothing.
        """
        first, *others = self.study.rows
        rows = [
            row for row in others
            if row["wrong"] is not None and (row["severity"] == "stop" or None is not row["right"] != row["wrong"])
        ]  # fmt: skip
        order = sorted(
            range(len(rows)),
            key=lambda k: (GRAVITY[rows[k]["severity"]], not isinstance(rows[k]["wrong"], Amount), k),  # type: ignore[index]
        )
        return first, *(rows[k] for k in sorted(order[: most - 1]))
