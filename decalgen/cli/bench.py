"""The command `bench`: the page of a job in the browser. Thin."""

from __future__ import annotations

from pathlib import Path

import click

from decalgen.cli.terminal import put, tell


@click.command()
@click.argument("job", type=click.Path(path_type=Path), metavar="JOB")
@click.option(
    "--port", type=click.IntRange(0, 65535), default=0, metavar="N", help="Port of the page; 0 takes a free one."
)
@click.option("--no-browser", is_flag=True, help="Only print the address; open it yourself.")
@click.option("--stay", is_flag=True, help="Go on when the last tab is closed, until Ctrl-C.")
def bench(job: Path, port: int, no_browser: bool, stay: bool) -> None:
    """Open the page of a job in the browser: measure, draw and check beside the model.

    The page is on this machine alone. What you change there is kept in the job file at once, and what you change in an
    editor shows on the page within a second.

    \b
    Example:
      decalgen bench gannet.yaml
    """
    from decalgen.bench.serve import serve
    from decalgen.commands.options import Answer, Result
    from decalgen.core.command_line import typed

    serve(job, put, port, not no_browser, stay)
    tell(Result((), answer=Answer("closed the page", typed(["decalgen", "check", job]))))
