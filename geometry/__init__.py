"""The reciprocating assembly as numbers: what a builder writes, how it moves, what comes close to what.

Imports run one way only: units, spec, layout, motion, rings, parts, assembly, clearance, checks, mistakes.
Nothing here draws; nothing here imports ``viewer``.
"""
