"""Shows what decalgen does, from job files to a printable sheet: `python3 demo/run.py` or `py demo\\run.py`.

The first start makes .venv beside this folder and installs the project into it; after that it starts at once.
"""

import os
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))

import bootstrap


def demo(arguments):
    """The demo itself, run inside .venv."""
    import runpy

    script = os.path.join(bootstrap.ROOT, "demo", "main_job.py")
    if not os.path.isfile(script):
        shown = os.path.join("demo", "main_job.py")
        raise bootstrap.Trouble("The demo itself, %s, is missing: fetch the whole project again." % shown)
    sys.argv = [script] + list(arguments)
    runpy.run_path(script, run_name="__main__")
    return 0


if __name__ == "__main__":
    sys.exit(bootstrap.start(__file__, "", demo))
