"""Documents: one module a kind of page, from values to a `Document` that `export` turns into a file."""
