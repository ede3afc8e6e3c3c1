"""What each command does, from paths and options to values and files; `cli` and other fronts stand on it."""
