"""Measured parts: a mesh file read, examined, and cut into places for clearance."""
