"""Assembly mistakes, one file each: what is put together wrong, what it does, how it is felt, how to find it.

To add a mistake: one file in its family's folder here with ``MISTAKE = Mistake(...)`` at its end, and a test.
``explain``, ``diagnose`` and the window pick it up by themselves. Read ``mistake`` first, then a short one such as
``rods/rod_turned``; ``contact`` and ``facts`` are what they share.
"""
