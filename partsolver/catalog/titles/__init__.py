"""What a seller's title says: first what the article is (kinds.py), then its facts (grammar.py).

All words and patterns are data beside this file, each with its languages, an example and where it comes from.
Absence of a word never states a fact; what no pattern took is shown as leftover.
"""
