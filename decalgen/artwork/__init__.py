"""A decal of a job drawn: inked regions, knock-out, bleed, white, cut line, slits."""
