"""Own pictures of pixels: from a file's bytes to red, green, blue and alpha, and the outline of what they show."""
