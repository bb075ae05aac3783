"""Answers in words: tables and findings for the terminal, and the same as JSON."""
