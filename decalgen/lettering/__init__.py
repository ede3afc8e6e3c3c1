"""Text to closed outlines in millimetres: the shipped faces, measured lettering matched, block letters
drawn."""
