"""Pieces nested onto sheets of film, with numbers, marks, positions and the record of what was printed."""
