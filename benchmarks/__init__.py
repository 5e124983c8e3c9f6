"""Benchmarks of partsolver: generated catalogues, specs, phases, peers. See README.md; nothing here is
installed."""
