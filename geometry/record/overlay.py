"""The design with the record laid over it: the engine as it was put together, for every check to run on."""

from __future__ import annotations

import os
from dataclasses import replace
from types import MappingProxyType

from geometry.built import BoreBuild, Built
from geometry.record.catalogue import lay_out
from geometry.record.kind import laid_over
from geometry.record.load import load_record
from geometry.record.model import Record
from geometry.record.place import KINDS
from geometry.spec.engine import Engine


def load_built(path: str | os.PathLike[str], engine: Engine) -> Built:
    """Read a build record and lay it over the design.

    Raises
    ------
    InputError : the record cannot be used; every problem at once
    GeometryError : the engine cannot be laid out
    """
    return overlay(engine, load_record(path, engine))


def overlay(engine: Engine, record: Record) -> Built:
    """The engine as put together; what is not recorded is as designed.

    A reading counts with the middle of what it proves.

    Raises
    ------
    GeometryError : the engine cannot be laid out
    """
    bench = lay_out(engine, record)
    built = laid_over(bench, [place for kind in KINDS for place in bench.places(kind)])
    changed = {number: bore for number, bore in built.bores.items() if bore != BoreBuild()}
    return replace(built, bores=MappingProxyType(changed))
