"""The command `new`: its questions on the terminal. Thin."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from decalgen.cli.measure import card_paper
from decalgen.cli.terminal import ask, put, tell
from decalgen.core.errors import DecalgenError
from decalgen.core.visible import visible, visible_rows

if TYPE_CHECKING:
    from decalgen.commands.new import NewJob
    from decalgen.commands.questions import Question

OLD_BENT = "decalgen.bent"
LONG = 160
"""An explanation longer than two lines of a terminal stands above its question, once."""


def _old_bent(context: click.Context, _: click.Parameter, values: tuple[str, ...]) -> None:
    """The option by its old word: taken, and noted."""
    if values:
        put("note: --bowed is called --bent now; the old word still works", to_errors=True)
        context.meta[OLD_BENT] = values


@click.command()
@click.argument("job", type=click.Path(path_type=Path), metavar="JOB")
@click.option("--panel", "panels", multiple=True, metavar="NAME=W×H", help="A panel: 'door=22.4x11.6'. Repeatable.")
@click.option(
    "--bent",
    multiple=True,
    metavar="NAME=C/R/L",
    help="A bent panel, as chord, rise and length: 'bonnet=24.2/1.1/19.5'. Repeatable.",
)
@click.option("--bowed", multiple=True, hidden=True, expose_value=False, callback=_old_bent)
@click.option("--layout", "layouts", multiple=True, help="A ready layout to start from (see `decalgen layouts`).")
@click.option("--title", help="Title on printed pages.")
@click.option("--scale", help="The model's scale; if left out, 1:43.")
@click.option("--body", help="Colour of the body: a colour's name or '#rrggbb'; if left out, grey.")
@card_paper("The measuring card's paper.")
@click.option("--yes", is_flag=True, help="Ask nothing; use the options as given.")
def new(
    job: Path,
    panels: tuple[str, ...],
    bent: tuple[str, ...],
    layouts: tuple[str, ...],
    paper: str,
    yes: bool,
    **about: str | None,
) -> None:
    """Start a job: a job file, a picture of the kinds of panel, and a measuring card to print.

    Asks question by question, unless panels are given, and keeps each answer in the job file at once. Stop at any time;
    the same command goes on at the first open question. 'back' goes back to the question before.

    \b
    Example:
      decalgen new gannet.yaml --panel door=22.4x11.6 --layout checker-band
    """
    from decalgen.commands.new import Answers, NewJob, new_job

    bent = (*bent, *click.get_current_context().meta.get(OLD_BENT, ()))
    if yes or panels or bent or layouts:
        tell(new_job(Answers(job, panels, bent, layouts, paper=paper, **about)))
        return
    started = NewJob(job)
    _interview(started, {(asked,): words for asked, words in about.items() if words is not None})
    tell(started.finish(paper))


def _interview(started: NewJob, given: dict[tuple[str, ...], str]) -> None:
    """Asks until all is answered; what cannot be right is asked for again."""
    put(f"Every answer is kept in '{visible(str(started.path))}' at once. Stop at any time; the same command goes on.")
    put("Enter takes what is in [brackets]; 'back' goes back to the question before.")
    if started.went_on:
        put("Taken up where it was left.")
    put(
        "Sizes in mm, such as 22.4; also 22,4, 7/8 in, 22.4 ± 0.05, or three readings in one line. ? is: measure later."
    )
    shown: set[tuple[str, ...]] = set()
    while (question := started.question()) is not None:
        for at, what, picture in (
            (("body",), "colours", started.colours),
            (("panels",), "kinds", started.picture),
        ):
            if question.at == at and at not in given and (what,) not in shown:
                shown.add((what,))
                _show(what, picture())
        try:
            if question.at in given:
                started.answer(question, given.pop(question.at))
                continue
            for doubt in started.answer(question, _asked(question, shown)):
                put(visible_rows(doubt), to_errors=True)
        except DecalgenError as error:
            put(str(error), to_errors=True)


def _asked(question: Question, shown: set[tuple[str, ...]]) -> str:
    names = tuple(name for name, _ in question.choices)
    if names and names not in shown:
        shown.add(names)
        for number, (name, about) in enumerate(question.choices, 1):
            put(visible(f"  {number:2} {name}{': ' if about else ''}{about}"))
    about = question.about
    if len(about) > LONG:
        if (about,) not in shown:
            shown.add((about,))
            put(visible(about))
        about = ""
    return ask(f"{question.asked} ({about})" if about else question.asked, question.default)


def _show(what: str, picture: Path) -> None:
    """Says where a picture is, and opens it where there is a desktop."""
    put(f"The {what} are drawn in '{visible(str(picture))}'.")
    window = os.name == "nt" or sys.platform == "darwin" or {"DISPLAY", "WAYLAND_DISPLAY"} & set(os.environ)
    if window and sys.stdout.isatty():
        click.launch(str(picture))
