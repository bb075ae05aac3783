"""The engine for other programs: one file of glTF 2.0 with all parts, how they look and how they move.

``engine`` gathers it from the scene, ``moves`` makes keyframes of the motion, ``binary`` lays it all in one file.
"""
