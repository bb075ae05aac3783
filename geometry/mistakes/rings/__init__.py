"""Rings put on wrong, or with the wrong gap."""
