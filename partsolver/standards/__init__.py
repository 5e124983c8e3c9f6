"""Published tables of the trade, one module per family.

Every table names its document, revision, section and confidence beside the values.  Values that are only
common practice, derived, or known from memory are not in the tables but in
:mod:`partsolver.standards.settings`, where a user can change them.  Nothing in here imports anything of the
project outside this package.
"""
