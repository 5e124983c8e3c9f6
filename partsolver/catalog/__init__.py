"""The catalogue: column dictionary, records, loading, offers and named data checks."""
