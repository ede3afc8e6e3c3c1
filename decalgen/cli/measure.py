"""The command `measure`: open readings, asked one by one on the terminal. Thin."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from decalgen.cli.terminal import ask, put, tell
from decalgen.core.errors import DecalgenError
from decalgen.core.visible import visible_rows


def card_paper(about: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """The option for the paper of a card that is printed, with its help."""
    papers = click.Choice(["A4", "A5", "Letter"], case_sensitive=False)
    return click.option("--paper", type=papers, default="A4", show_default=True, help=about)


@click.command()
@click.argument("job", type=click.Path(path_type=Path), metavar="JOB")
@click.option("--card", type=click.Path(path_type=Path), help="Print the measuring card (.pdf), and ask nothing.")
@card_paper("The card's paper.")
def measure(job: Path, card: Path | None, paper: str) -> None:
    """Take the open readings of a job one by one, in the order of the measuring card.

    An open reading is a ? in the job file. Each answer is checked and kept at once, and nothing else in the file
    changes. One reading is enough; where it leaves open whether a decal fits, two more are asked for. Enter passes a
    reading over, 'back' asks for the one before again.

    \b
    Example:
      decalgen measure gannet.yaml
      decalgen measure gannet.yaml --card card.pdf --paper A5
    """
    if card is not None:
        from decalgen.commands.card import print_card

        tell(print_card(job, card, paper))
        return
    from decalgen.commands.measure import Measuring

    started = Measuring(job)
    count = started.left()
    put(f"{count} reading{'' if count == 1 else 's'} to take. Enter passes one over, 'back' goes back; stop any time.")
    while (question := started.question()) is not None:
        about = f" ({question.about})" if question.about else ""
        try:
            for doubt in started.answer(question, ask(f"{question.asked}{about}", question.default)):
                put(visible_rows(doubt), to_errors=True)
        except DecalgenError as error:
            put(str(error), to_errors=True)
    tell(started.finish())
