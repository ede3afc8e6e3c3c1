"""The command `measure`: open readings, asked one by one on the terminal. Thin."""

from __future__ import annotations

from pathlib import Path

import click

from decalgen.cli.terminal import ask, put, tell
from decalgen.core.errors import DecalgenError


@click.command()
@click.argument("job", type=click.Path(path_type=Path), metavar="JOB")
def measure(job: Path) -> None:
    """Take the open readings of a job one by one, in the order of the measuring card.

    An open reading is a ? in the job file. Each answer is checked and kept at once, and nothing else in the file
    changes. One reading is enough; where it leaves open whether a decal fits, two more are asked for. Enter passes a
    reading over, 'back' asks for the one before again.

    \b
    Example:
      decalgen measure gannet.yaml
    """
    from decalgen.commands.measure import Measuring

    started = Measuring(job)
    count = started.left()
    put(f"{count} reading{'' if count == 1 else 's'} to take. Enter passes one over, 'back' goes back; stop any time.")
    while (question := started.question()) is not None:
        about = f" ({question.about})" if question.about else ""
        try:
            started.answer(question, ask(f"{question.asked}{about}", question.default))
        except DecalgenError as error:
            put(str(error), to_errors=True)
    tell(started.finish())
