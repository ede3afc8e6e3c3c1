"""The shapes, one a file; `registry.load` finds them all."""
