"""The screens of the page, one file each: what a screen shows, from the desk, as plain values."""
