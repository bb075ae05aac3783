"""Solids of the assembly, one file per part: from the engine file to bodies that stand in a frame.

Read ``part`` (parts, bodies, how one is added) first, then any part; ``piston_pin`` is the shortest. ``shapes`` holds
what several of them are made of; ``heads`` tells where a distance ends on a head or nut.
"""
