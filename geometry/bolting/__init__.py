"""Bolts by themselves: formulas that know no engine, each of them only here.

``thread`` has areas and what strips, ``grades`` what a bolt stands, ``torque`` what a wrench leaves in it and how far
that may be out, ``stretch`` what its length and a turn of its head say, ``joint`` what it holds together and when that
opens. What the engine file says of its bolts is gathered by ``geometry/checks/bolt_joint.py``.
"""
