"""What goes wrong in work beside the typing, as something that the page can tell: nothing ends in silence."""

from __future__ import annotations

import logging

from decalgen.bench.page_words import on_page
from decalgen.core.errors import DecalgenError, JobError, render


def as_told(error: Exception) -> DecalgenError:
    """The error itself; for one that is a fault of decalgen's own, one that says so, and where it came from is printed
    where decalgen was started."""
    if isinstance(error, DecalgenError):
        return error
    logging.getLogger("decalgen").error("a fault in decalgen", exc_info=error)
    return DecalgenError(
        f"decalgen itself failed ({type(error).__name__}: {error}); your files are unchanged",
        fix="try again; if it fails again, report what is printed where decalgen was started",
    )


def failure(error: DecalgenError) -> dict[str, str]:
    """Why nothing came of what was to be made, as the page says it: what is ``wrong``, and the ``fix``. Where there are
    several mistakes, each has its own beside it."""
    if isinstance(error, JobError) and len(error.problems) > 1:
        return {"wrong": on_page(str(error)), "fix": ""}
    return {"wrong": on_page(render(error.message, place=error.place)), "fix": on_page(error.fix)}
