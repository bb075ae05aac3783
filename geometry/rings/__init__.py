"""Piston rings as arithmetic: gaps, heat, grooves, travel, the right way up, and the clock.

Plain numbers and small frozen records go in, records come out; the last two take them from an engine. Read ``gap``
and ``clock`` first; ``require`` refuses what no ring can have, ``source`` says where a figure comes from.

========= =================================================================================
gap       how wide a gap should be, what it measures in another bore, how much to file
feeler    a go / tight pair of blades as an interval, and a verdict that knows it
bore      taper and out-of-round, and the gap at every height of a real bore
wall      the metal that the rings run on, and how it grows
hot       the gap that remains when hot, and the temperature at which the ends meet
groove    side and back clearance
tension   how hard a ring presses, from its free gap
flow      the area that a gap leaves open, alone and in series
travel    how far each ring goes up and down the bore
section   outlines of ring sections, to scale, and the twist that follows from them
types     ring types: which side is up, why, and what happens upside down
angles    angles on the ring clock
schemes   where the gaps stand, as data
clock     judging a clocking
best      turning a scheme to the place where it keeps every rule best
clocked   the clock of each bore of an engine, as planned or as found
fitted    every ring of every bore of an engine: gap, heat, groove, travel
========= =================================================================================
"""
