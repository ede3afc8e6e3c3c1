"""Colour: what a translucent ink looks like over a painted body, which film that takes, and the plates for it.

`value` reads colours (`palette` has names for some), `model` predicts, `spectral` gives a second opinion, `difference`
compares, `white` adds opaque layers. `inks` knows inks, paints and films, `printer` what matters of a printer, `icc`
asks its profile. `advice` decides, `legibility` judges lettering, `findings` says what is wrong. `separations` makes
plates, `swatches` lays out the swatch sheet and `readings` takes its readings into the printer. `build_profile` made
the profile that comes with the program and is not used by it.
"""
