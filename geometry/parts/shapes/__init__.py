"""Shapes that several parts are made of: sections, crowns, ring and rod outlines, and their meshes.

``placing`` and ``meshing`` serve every part; the rest is read with the part whose name it bears: ``block_section``
before ``block_features`` and ``block_mesh``, ``crown`` before ``crown_meets``.
"""
