"""A fleet: many PCs, one stock, one budget. The pure parts: reading, classes, take-outs, columns and their
prices.

The joint choice (linear relaxation and CP-SAT over columns) is in ``solve/fleet``.
"""
