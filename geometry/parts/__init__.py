"""Solids of the assembly, one file per part. ``base`` holds the shapes that all of them are made of."""
