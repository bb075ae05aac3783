"""`fullturn record ENGINE ask`: one question after another, each answer judged and saved before the next."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from geometry.errors import InputError
from viewer.terminal import Terminal

if TYPE_CHECKING:
    from geometry.record.asking import Answered, AskedNow, AskedReading
    from geometry.record.verdict import Verdict
    from geometry.spec.engine import Engine
    from geometry.units import System

KEYS: Final = (
    "Enter skips, b goes back, q stops, ? explains. ok: as it should be. Every answer is saved at once."
)
WIDEST: Final = 100
"""Columns of a line where the terminal has more."""


def ask(
    record: Path, spec: Engine, system: System, bore: int | None, step: str | None, by: str | None
) -> None:
    """Ask for everything that is still to do, until it is done or somebody stops.

    Parameters
    ----------
    record : the record file
    bore, step : only this bore, only this step of the job
    by : initials of whoever answers

    Raises
    ------
    InputError : the record cannot be read, or there is no such step
    """
    from geometry.record.asking import questions, step_named

    todo = questions(record, spec, bore, None if step is None else step_named(step))
    _Round(record, spec, system, by, todo).run()


@dataclass(slots=True)
class _Round:
    """One round of questions."""

    record: Path
    spec: Engine
    system: System
    by: str | None
    todo: tuple[AskedReading, ...]
    out: Terminal = field(default_factory=Terminal)
    at: int = 0
    answered: set[int] = field(default_factory=set)
    seen: list[int] = field(default_factory=list)
    source: str = ""
    put: AskedNow = field(init=False)

    def run(self) -> None:
        """Ask until the end of the questions, or of the answers."""
        from geometry.record.asking import is_open

        if not self.todo:
            self.out.say("Everything is recorded.")
            return
        self.say(f"{self.spec.engine.name}: {self.record.name}, {len(self.todo)} still to do.", style="bold")
        self.say(KEYS, style="dim")
        while self.at < len(self.todo):
            asked = self.todo[self.at]
            if self.at not in self.seen and not is_open(self.record, self.spec, asked):
                self.at += 1  # answered by another reading, or by somebody else
                continue
            if not self.one(asked):
                break
        self.end()

    def one(self, asked: AskedReading) -> bool:
        """Ask one question until it is answered or left; False to stop."""
        from geometry.record.asking import put_question

        self.put = put_question(self.record, self.spec, asked, self.system)
        self.show(asked)
        while True:
            typed = self.typed()
            if typed is None or typed.lower() in ("q", "quit"):
                return False
            if typed == "?":
                for line in self.put.help:
                    self.say(f"  {line}", style="dim")
            elif typed.lower() in ("b", "back"):
                if self.back():
                    return True
                self.say("This is the first question.")
            elif not typed or self.takes(asked, typed):
                self.forward()
                return True

    def show(self, asked: AskedReading) -> None:
        """Say what is asked, against what, and how it is written."""
        put = self.put
        self.out.say("")
        self.say(
            f"{self.at + 1} of {len(self.todo)}  {put.step}, {asked.place.words}: {put.what}", style="bold"
        )
        if put.limit:
            source = "as before" if put.source == self.source else put.source
            self.say(f"  wanted {put.limit} ({source})" if source else f"  wanted {put.limit}")
            self.source = put.source
        else:
            self.say("  no source gives a limit: compare with the other bores")
        if put.now:
            self.say(f"  now {put.now}; Enter leaves it so")
        self.say(f"  write {put.write}", style="dim")

    def typed(self) -> str | None:
        """What somebody types; None at the end of the input."""
        try:
            line = input("> ")
        except (EOFError, KeyboardInterrupt, RuntimeError):  # the last where there is no input at all
            self.out.say("")
            return None
        except UnicodeDecodeError:
            return "�"
        if not sys.stdin.isatty():
            self.out.say(line)  # what is piped in does not show by itself
        return line.strip()

    def takes(self, asked: AskedReading, typed: str) -> bool:
        """Whether an answer can be read and is saved; what it means is said at once, or what is wrong with it."""
        from geometry.record.asking import answer, put_question
        from geometry.record.exchange import EntryChanged

        try:
            said = answer(
                self.record,
                self.spec,
                asked,
                typed,
                self.system,
                by=self.by,
                on=date.today(),
                now=self.put.now,
            )
        except InputError as bad:
            problem = bad.problems[0]
            right = problem.right
            if asked.path in right:  # how it is written is better said for this engine
                right = f"write {self.put.write}"
            self.say(f"  {problem.what}; {right}" if right else f"  {problem.what}", style="yellow")
            return False
        except EntryChanged:
            self.say("  somebody else has just entered something here, nothing is saved:", style="yellow")
            self.put = put_question(self.record, self.spec, asked, self.system)
            self.show(asked)
            return False
        self.answered.add(self.at)
        self.judge(said)
        return True

    def judge(self, said: Answered) -> None:
        """The verdicts on an answer, and those that change with it."""
        for verdict in said.verdicts:
            self.verdict(verdict, "")
        if not said.verdicts:
            self.say("  saved")
        for verdict in said.others:
            self.verdict(verdict, f"with it, {verdict.what}: ")

    def verdict(self, verdict: Verdict, before: str) -> None:
        """One verdict: the word, what it means, what to do."""
        from viewer.reports.tables import SEVERITY_STYLE

        style = SEVERITY_STYLE.get(verdict.severity or "", "green")
        held = f": {verdict.reading}, wanted {verdict.limit}" if verdict.limit else f": {verdict.reading}"
        text = f"; {verdict.text}" if verdict.text else ""
        self.say(f"  {before}{verdict.verdict}{held}{text}", style=style)
        if verdict.remedy:
            self.say(f"  -> {verdict.remedy}")

    def forward(self) -> None:
        """To the next question."""
        if self.at not in self.seen:
            self.seen.append(self.at)
        self.at += 1

    def back(self) -> bool:
        """To the question before, answered or skipped; False where there is none."""
        before = [number for number in self.seen if number < self.at]
        if not before:
            return False
        if self.at not in self.seen:
            self.seen.append(self.at)
        self.at = max(before)
        return True

    def end(self) -> None:
        """How far it came."""
        from geometry.record.asking import is_open

        left = sum(is_open(self.record, self.spec, asked) for asked in self.todo)
        count = len(self.answered)
        saved = (
            f"{count} {'answer' if count == 1 else 'answers'} saved in {self.record.name}"
            if count
            else ("Nothing entered")
        )
        self.out.say("")
        self.say(
            f"{saved}; {f'{left} still to do' if left else 'everything asked for is recorded'}.", style="bold"
        )

    def say(self, line: str, style: str = "") -> None:
        """Print a line, broken where the terminal ends, the rest of it further in."""
        for part in _broken(line, min(self.out.console.width, WIDEST)):
            self.out.say(part, style=style)


def _broken(line: str, width: int) -> Iterable[str]:
    import textwrap

    indent = line[: len(line) - len(line.lstrip())]
    return textwrap.wrap(line, width, subsequent_indent=f"{indent}  ", break_on_hyphens=False) or [""]
