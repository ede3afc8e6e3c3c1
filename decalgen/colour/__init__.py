"""Colour: what a translucent ink looks like over a painted body, which film that takes, and the plates for
it.

`value` reads colours, `model` predicts, `spectral` gives a second opinion, `difference` compares, `white`
adds opaque layers, `inks` knows inks, paints and films, `advice` decides, `legibility` judges lettering,
`separations` makes plates, `icc` asks a printer's profile, `swatches` lays out and reads the swatch sheet.
"""
