"""``python -m partsolver``."""

from partsolver.cli import main

main()
