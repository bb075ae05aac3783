"""Kinds of drawings that explain a mistake, one file each."""
