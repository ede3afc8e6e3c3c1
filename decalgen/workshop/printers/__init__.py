"""Printers that can be reached without a print dialog: what is sent to one, and what it answers (IPP, RFC 8010 and
8011)."""
