"""Own drawings in SVG: from the text of a file to flat areas with their colours, and to what is no flat ink."""
