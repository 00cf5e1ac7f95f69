"""A second implementation of the ranking's numbers, in plain Python, from the equations in the documentation.

It shares no code with overcoat. Only the catalog's data are read from it. It covers what a brief with a
described place, four inputs or a measured loss needs, up to first rust: the air, the outlook, the cost, the
score.
"""
