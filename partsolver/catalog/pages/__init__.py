"""Saved pages and sheets: products that a page marks up (schema.org), and tables of facts. Nothing is
fetched, no script runs."""
