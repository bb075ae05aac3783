"""What doubt about the values does to the answers: how low and how high each may be, and what to measure next.

Read ``answers`` first. ``box`` builds the engine at any values within their doubt; everything else asks it.
"""
