"""Rods put in wrong."""
