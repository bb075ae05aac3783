"""Everything that a person looks at: command line, scene, window, pictures, sheets.

``cli`` and ``commands`` are the way in, ``job`` an engine file read and put together; ``reports`` answers in words,
``paper`` in drawings. ``scene`` says what a picture shows as plain data, ``draw`` alone knows the renderer,
``pictures`` and ``window`` are built on the two.
"""
