"""The page in the browser: one file to hand over, the same served live.

Python writes what is on show as plain data (``shape``), with every word and number ready to be read; the modules in
``src`` turn the crank by the closed form and draw. ``document`` makes one file of all.
"""
