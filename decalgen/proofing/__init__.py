"""The proof gate: whether a measured proof allows film to be spent on this very sheet."""
