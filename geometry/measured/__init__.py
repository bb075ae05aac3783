"""Measured parts: a mesh file read, examined, and cut into places for clearance.

``load`` reads and refuses (with ``glb`` and ``crossing`` for what it looks for), ``patches`` sorts the triangles
into features; what a measured block or rod must be is said in ``parts/shapes``.
"""
