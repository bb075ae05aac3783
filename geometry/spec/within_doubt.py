"""What would break a rule of consistency within the doubt: the rules themselves are held to nominal values only."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

from geometry.spec.base import Broken, Refused, SpecModel
from geometry.spec.clashes import clashes
from geometry.spec.described import Described, KnownValue
from geometry.spec.engine import Engine
from geometry.spec.known import fields_of
from geometry.spec.locate import Path, read_written, written
from geometry.spec.odd import broken as broken_of_odd
from geometry.spec.traced import Traced, comparisons

_NEAR: Final = 1.5
"""Rules are straight lines in their values, or nearly: a difference further from zero than so many times what all its
values together can move it by their slopes is not asked further."""
_MOST_NAMED: Final = 4
Rule: TypeAlias = tuple[str, str]
"""Key as the user writes it, and words without their numbers."""


@dataclass(frozen=True, slots=True)
class MayClash:
    """A rule that holds at nominal values and would be broken at others within their doubt.

    Attributes
    ----------
    key : where the rule would be refused, as the user writes it
    at : the fewest values that break it together, by key as the user writes it, in house units; the rest at nominal.
        The widest doubt stands first
    what : what would be so then
    """

    key: str
    at: Mapping[str, float]
    what: str

    @property
    def text(self) -> str:
        """In one line: within the doubt of which keys this would be so."""
        names = list(self.at)
        if len(names) > _MOST_NAMED:
            names = [*names[:_MOST_NAMED], f"{len(names) - _MOST_NAMED} more"]
        listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
        return f"within the doubt of {listed}: {self.what}"


def clashes_within_doubt(described: Described) -> tuple[MayClash, ...]:
    """Every rule of the engine file that some values within their doubt would break, one line each.

    Each comparison that a rule makes is followed back to the values that it hangs on. Those are put to the ends of
    their doubt that drive the comparison over, all at once, and the rules are asked again there; values without which
    the rule is broken all the same are then put back, so that the fewest are named. Values whose trace is lost on the
    way to a rule are put to both of their ends one at a time.
    """
    doubted = {value.key: value for value in described.doubted}
    if not doubted:
        return ()
    spec = described.spec
    traced = _changed(spec, {value.path: Traced(value.nominal, {key: 1.0}) for key, value in doubted.items()})
    with comparisons() as compared:
        list(_broken(traced))
    corners = dict.fromkeys(_corners(compared, doubted))
    found: dict[Rule, MayClash] = {}
    for corner in corners:
        for rule, broken in _at(spec, doubted, dict(corner)).items():
            if rule not in found:
                fewest = _fewest(spec, doubted, dict(corner), rule)
                widest = sorted(fewest, key=lambda key: doubted[key].lowest - doubted[key].highest)
                found[rule] = MayClash(rule[0], {key: fewest[key] for key in widest}, broken.what)
    return tuple(found.values())


def _corners(
    compared: list[Traced], doubted: Mapping[str, KnownValue]
) -> Iterator[tuple[tuple[str, float], ...]]:
    """Where each comparison is driven over, as far as its values can drive it."""
    traced_keys: set[str] = set()
    for difference in compared:
        traced_keys |= set(difference.slopes)
        slopes = {key: slope for key, slope in difference.slopes.items() if slope}
        for up in (True, False):
            moved = {key: _towards(doubted[key], slope, up=up) for key, slope in slopes.items()}
            most = sum(abs(slope * (moved[key] - doubted[key].nominal)) for key, slope in slopes.items())
            left = -float(difference) if up else float(difference)
            if moved and 0.0 <= left <= _NEAR * most:
                yield tuple(sorted(moved.items()))
    for key, value in doubted.items():
        if key not in traced_keys:
            yield ((key, value.lowest),)
            yield ((key, value.highest),)


def _towards(value: KnownValue, slope: float, *, up: bool) -> float:
    """The end of a value's doubt that moves a difference up, or down."""
    return value.highest if (slope > 0.0) == up else value.lowest


def _at(spec: Engine, doubted: Mapping[str, KnownValue], point: Mapping[str, float]) -> dict[Rule, Broken]:
    """The rules that are broken at a point, by key and words."""
    moved = _changed(spec, {doubted[key].path: number for key, number in point.items()})
    return {(_told(broken.key), _words(broken.what)): broken for broken in _broken(moved)}


def _fewest(
    spec: Engine, doubted: Mapping[str, KnownValue], corner: dict[str, float], rule: Rule
) -> dict[str, float]:
    """The corner less every value without which the rule is broken all the same."""
    for key in list(corner):
        fewer = {other: number for other, number in corner.items() if other != key}
        if fewer and rule in _at(spec, doubted, fewer):
            corner = fewer
    return corner


def _words(what: str) -> str:
    """A rule's words without the numbers in them, which differ from point to point."""
    return "".join(letter for letter in what if not letter.isdigit())


def _broken(spec: Engine) -> Iterator[Broken]:
    """Every rule that is broken: of the models one by one, and of all together."""
    for path, model in _models(spec, ()):
        if isinstance(model, Engine):
            continue
        for decorated in type(model).__pydantic_decorators__.model_validators.values():
            try:
                decorated.func(model)
            except Refused as refused:
                for broken in refused.broken:
                    yield Broken(_full_key(broken.key, path, type(model)), broken.what, broken.right)
    found = clashes(spec)
    yield from found
    if spec.bore:
        yield from broken_of_odd(spec, {str(rule.key): rule for rule in found})


def _models(holder: Any, path: Path) -> Iterator[tuple[Path, SpecModel]]:
    if isinstance(holder, SpecModel):
        yield path, holder
        for name, field in type(holder).model_fields.items():
            yield from _models(getattr(holder, name), (*path, field.alias or name))
    elif isinstance(holder, list):
        for place, item in enumerate(holder):
            yield from _models(item, (*path, place))


def _full_key(key: str | Path, path: Path, model: type[SpecModel]) -> Path:
    """The key of a rule, counted from the top of the file."""
    steps = (read_written(key) or (key,)) if isinstance(key, str) else key
    return (*path, *steps) if not steps or steps[0] in fields_of([model]) else steps


def _told(key: str | Path) -> str:
    """A rule's key as the user writes it."""
    return written(key if isinstance(key, tuple) else read_written(key) or (key,))


def _changed(holder: Any, changes: Mapping[Path, float]) -> Any:
    """A copy with some values changed, made without asking the rules."""
    if () in changes:
        return changes[()]
    by_step: dict[str | int, dict[Path, float]] = {}
    for path, number in changes.items():
        by_step.setdefault(path[0], {})[path[1:]] = number
    if isinstance(holder, list):
        return [_changed(item, by_step[k]) if k in by_step else item for k, item in enumerate(holder)]
    if isinstance(holder, dict):
        return {key: _changed(item, by_step[key]) if key in by_step else item for key, item in holder.items()}
    names = {field.alias or name: name for name, field in type(holder).model_fields.items()}
    update = {
        names[str(step)]: _changed(getattr(holder, names[str(step)]), inner)
        for step, inner in by_step.items()
    }
    return holder.model_copy(update=update)
