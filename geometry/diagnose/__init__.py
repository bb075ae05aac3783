"""From what a hand on the crank felt to the mistake behind it, and the next look.

``felt_words`` reads a builder's words into ``felt``; ``candidates`` lists every mistake in every place with what it
would feel like; ``likelihood`` says how well the two agree, with every number of the noise model; ``ranking`` puts
them in order and names the next of the ``looks``.
"""
