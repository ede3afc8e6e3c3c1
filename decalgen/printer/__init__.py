"""What is known of a printer: its calibrations over time, and the readings they come from."""
