"""From a scan or photo of what is left of an original to sizes, colours and the pattern, each with how sure it is."""
