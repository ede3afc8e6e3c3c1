"""Pages that decalgen printed itself, read from a scan: where each lies, how long its known lengths are."""
