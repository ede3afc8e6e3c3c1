"""The page: the whole job in a browser on this machine, over the same runs, edits and words as the commands."""
