"""The build sheet: what hangs on the wall while an engine is put together, and goes on file after.

``pages/`` says what stands on each page as plain data (``content``), in words of one file (``words.toml``);
``typeset`` and ``html`` only lay that out.
"""
