"""Own drawings in SVG: from a file's text to flat areas with their colours, and to all that is not flat ink."""
