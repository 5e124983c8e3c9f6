"""Explaining a "no", a part that is not taken, and what changes when the shop does. Values only, no
sentences."""
