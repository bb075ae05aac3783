"""Answers to the builder's questions, one file per concern.

To add a check: one file in this folder with ``CHECK = Check("key", order, run)`` at its end, where ``run(assembly,
system)`` returns a ``Section``; and one test file of the same name. The command line, the ``--json`` output and
every picture pick it up by themselves. Read ``section`` (what a check answers) and ``bores`` first; what a builder
could change is in ``changes``, tried in ``trials``, offered by ``remedies``; ``whatif`` sweeps a key.
"""
