"""The command `bench`: the page in the browser. Thin."""

from __future__ import annotations

from pathlib import Path

import click

from decalgen.cli.terminal import put, tell
from decalgen.core.errors import DecalgenError


@click.command()
@click.argument("job", type=click.Path(path_type=Path), metavar="[JOB]", required=False)
@click.option(
    "--port", type=click.IntRange(0, 65535), default=0, metavar="N", help="Port of the page; 0 takes a free one."
)
@click.option("--no-browser", is_flag=True, help="Only print the address; open it yourself.")
@click.option("--stay", is_flag=True, help="Go on when the last tab is closed, until Ctrl-C.")
@click.option("--shortcut", is_flag=True, help="Put a starter for the page on the desktop, to double-click; then end.")
def bench(job: Path | None, port: int, no_browser: bool, stay: bool, shortcut: bool) -> None:
    """Open the page in the browser: the whole job beside the model, from the first reading to the print.

    JOB is a job file, or a folder of them. Without it the page shows the jobs in the present folder and a finished one
    to try, and begins one of your own. The page is on this machine alone. What you change there is kept in the job file
    at once, and what you change in an editor shows on the page within a second.

    \b
    Example:
      decalgen bench
    """
    from decalgen.commands.options import Answer, Result
    from decalgen.core.command_line import typed

    if shortcut:
        from decalgen.commands.shortcut import put_shortcut

        tell(put_shortcut(job or Path()))
        return
    try:
        from decalgen.bench.serve import serve
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] not in ("starlette", "uvicorn", "anyio"):
            raise
        raise DecalgenError(
            f"the page needs the package {error.name}, which is not installed",
            fix="install it and its like: pip install starlette uvicorn",
        ) from None
    serve(job or Path(), put, port, not no_browser, stay)
    follow = ["decalgen", "bench"] if job is None or job.is_dir() else ["decalgen", "check", job]
    tell(Result((), answer=Answer("closed the page", typed(follow))))
