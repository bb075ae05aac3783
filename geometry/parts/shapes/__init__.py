"""Shapes that several parts are made of: sections, crowns, ring and rod outlines, and their meshes."""
