"""The page served live on this machine: what is on show, who may ask for it, and what a browser can have worked out.

``served`` holds the state, ``guard`` turns away what has no business here, ``routes`` has one file per concern, and
``running`` listens. Nothing slow runs in the event loop: models are built one at a time in a thread of their own.
"""
