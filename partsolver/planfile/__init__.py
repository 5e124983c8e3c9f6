"""Plan files: reading, writing, and the rows of the catalogue that they keep."""
