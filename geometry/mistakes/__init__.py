"""Assembly mistakes, one file each: what is put together wrong, what it does, how it is felt, how to find it.

To add a mistake: one file in this folder with ``MISTAKE = Mistake(...)`` at its end, and one test file of the
same name. ``explain``, ``diagnose`` and the window pick it up by themselves.
"""
