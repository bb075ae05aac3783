"""Engines and wrong builds that the tests of mistakes share."""

from functools import cache

from geometry.assembly import assemble
from geometry.mistakes.mistake import mistakes
from geometry.spec.engine import Engine
from geometry.spec.load import validate_model
from tests.geometry.rings.engines import _lay_over, data_of


@cache
def right(layout="vee90", rotation="clockwise"):
    return assemble(spec(layout, rotation))


def spec(layout="vee90", rotation="clockwise", **tables):
    data = data_of(layout, rotation)
    for name, changes in tables.items():
        _lay_over(data[name], changes)
    return validate_model(Engine, data, "test")


def mistake(key):
    return next(m for m in mistakes() if m.key == key)


def made(key, place, base=None):
    """The wrong assembly and its study."""
    base = base or right()
    wrong = assemble(base.spec, mistake(key).make(base, place))
    return wrong, mistake(key).study(base, wrong, place, "mm")


def row(study, start):
    """The row whose words begin so."""
    return next(r for r in study.rows if str(r["what"]).startswith(start))
