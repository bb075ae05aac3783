"""What every value of the engine file usually is in proportion to its neighbours, and how it is measured.

``row`` is what one line of the table holds; the tables are one file per part of the engine, and ``table`` finds the
row of a key. ``given`` is the mapping that rules ask: values that are known, and on demand those that follow.
``sweep`` lays the block out round what swings. ``fill`` completes a file's data by the rules, ``waits`` says which
answers are not to stand on that, ``must`` what has to be written. ``shares`` and ``instruments`` say how far a value
may be out, unmeasured and measured.
"""
