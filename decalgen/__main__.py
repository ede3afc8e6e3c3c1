"""`python -m decalgen` does what the command `decalgen` does."""

from __future__ import annotations

from decalgen.cli.main import main

if __name__ == "__main__":
    main()
