"""What is left of an original traced: flat colours, half-coverage lines, sides, shapes."""
