"""What everything stands on: errors, geometry, documents, style, lengths, files."""
