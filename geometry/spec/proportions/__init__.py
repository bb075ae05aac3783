"""What every value of the engine file usually is in proportion to its neighbours, and how it is measured.

``row`` is what one line of the table holds; the tables are one file per part of the engine.
"""
