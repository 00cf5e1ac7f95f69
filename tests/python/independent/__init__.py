"""A second implementation of the ranking's numbers, in plain Python, from the equations in the documentation.

It shares no code with overcoat. Only the catalog's data are read from it. It covers every field of a brief
that a number depends on: the air (a place, four inputs, a measured loss; the sea and salted roads by their
distance), the outlook to first rust, to a rusted share or to a loss, mass and surface of standard parts, the
cost, the score. What blocks a build is not judged.
"""
