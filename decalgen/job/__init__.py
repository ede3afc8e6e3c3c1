"""The job file: read as nodes that know their place, checked, and frozen into a `model.Job`."""
