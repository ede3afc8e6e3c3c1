"""The tables of the handbook, each made from what the program itself goes by, in Markdown."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from decalgen.core.errors import InputError, did_you_mean
from decalgen.core.values import dataclass

SHARED = ("--film", "--printer", "--variant", "--hands", "--gap", "--effort", "--seed", "--leave")
"""The options that every command which prints has; in the tables these are one row, 'all printing options'."""


@dataclass(frozen=True)
class CommandOption:
    """An option as it is typed, with its line of help."""

    name: str
    about: str


@dataclass(frozen=True)
class CommandEntry:
    """A command as it is typed, such as 'decalgen film add FILM', with its line of help and its options."""

    usage: str
    about: str
    options: tuple[CommandOption, ...]


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table of Markdown. A bar in a cell is escaped, a line break becomes a space."""

    def line(cells: Sequence[str]) -> str:
        return "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in cells) + " |"

    return "\n".join([line(head), "|" + "---|" * len(head), *map(line, rows)])


def fill_tables(text: str, commands: Sequence[CommandEntry]) -> str:
    """A chapter's text with a table at each of its places for one.

    Raises InputError for a place that names no table.
    """
    from decalgen.pages.handbook.parts import TABLE

    return TABLE.sub(lambda place: _made(place["key"], commands), text)


def _made(key: str, commands: Sequence[CommandEntry]) -> str:
    kind, _, of = key.partition(" ")
    if key in GENERAL:
        return GENERAL[key]()
    if key == "commands":
        return command_table(commands)
    if key == "options":
        return option_table(commands)
    if kind == "keys" and of:
        return key_tables(of)
    raise InputError(
        f"the handbook has no table '{key}'", fix=did_you_mean(key, [*GENERAL, "commands", "options", "keys TOPIC"])
    )


def command_table(commands: Sequence[CommandEntry]) -> str:
    """Every command with what it does."""
    rows = [(f"`{one.usage}`", one.about) for one in commands]
    return table(("command", "what it does"), rows)


def option_table(commands: Sequence[CommandEntry]) -> str:
    """A section a command: its options; those that all printing commands share are one row."""
    found = []
    for one in commands:
        names = {option.name for option in one.options}
        shares = names.issuperset(SHARED)
        own = [option for option in one.options if not (shares and option.name in SHARED)]
        if not own and not shares:
            continue
        rows = [(f"`{option.name}`", option.about) for option in own]
        rows += [("all printing options", "see below")] if shares else []
        found.append(f"### {_words(one.usage)}\n\n{table(('option', 'what it does'), rows)}")
    shared = next(one for one in commands if {option.name for option in one.options}.issuperset(SHARED))
    rows = [(f"`{option.name}`", option.about) for option in shared.options if option.name in SHARED]
    found.append(f"### All printing commands\n\n{table(('option', 'what it does'), rows)}")
    return "\n\n".join(found)


def _words(usage: str) -> str:
    return " ".join(word for word in usage.split() if not word.isupper() and "..." not in word)


def key_tables(topic: str) -> str:
    """A section a group of keys: its table and an example."""
    from decalgen.job.reference import markdown, reference

    found = []
    page = reference(topic)
    for section in page.sections:
        if len(page.sections) > 1:
            found.append(f"### {section.name}")
        found.append(_sentence(section.about))
        if section.needs:
            found.append(f"Needed: {section.needs}.")
        found.append(markdown(section))
    return "\n\n".join(found)


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", ":")) else f"{text}."


def _shapes() -> str:
    from decalgen.shapes.registry import load

    return table(("shape", "what it draws"), [(f"`{name}`", cls.about) for name, cls in load().items()])


def _layouts() -> str:
    from decalgen.job.layouts import layouts

    rows = [(f"`{one.name}`", one.about, ", ".join(f"`{value}`" for value in one.values)) for one in layouts()]
    return table(("layout", "what it is", "values you may set"), rows)


def _faces() -> str:
    from decalgen.lettering.faces import faces
    from decalgen.pages.faces import axes_text

    rows = [(f"`{one.name}`", one.category, one.suits, axes_text(one) or "none") for one in faces()]
    return table(("face", "kind", "what it suits", "axes"), rows)


def _kinds() -> str:
    from decalgen.panels.registry import kinds

    return table(("panel", "what it is"), [(f"`{name}`", kind.about) for name, kind in kinds().items()])


def _instruments() -> str:
    from decalgen.core.instruments import instruments

    rows = [(f"`{one.name}`", one.about) for one in instruments()]
    return table(("instrument", "what it is"), rows)


def exit_codes() -> tuple[tuple[int, str], ...]:
    """What a command ends with, and what that means."""
    from decalgen.core import errors

    return (
        (0, "all is well"),
        (errors.DecalgenError.exit_code, "something could not be done, or a proof has not passed"),
        (errors.JobError.exit_code, "mistakes in a job, layout, film or printer file"),
        (errors.InputError.exit_code, "a file that cannot be read"),
        (errors.OutputError.exit_code, "a result that cannot be written"),
        (errors.FitError.exit_code, "a decal too large for its film or panel"),
        (errors.FilmError.exit_code, "film and printer that do not go together"),
        (errors.PrintingError.exit_code, "a printer that cannot be reached, or would not print a file as it is"),
        (errors.EXIT_FINDINGS, "the check found errors"),
        (errors.EXIT_USAGE, "a mistake on the command line"),
        (errors.Interrupted.exit_code, "you stopped it"),
    )


def _exit_codes() -> str:
    return table(("code", "what it means"), [(str(code), about) for code, about in exit_codes()])


GENERAL: dict[str, Callable[[], str]] = {
    "shapes": _shapes,
    "layouts": _layouts,
    "faces": _faces,
    "kinds": _kinds,
    "instruments": _instruments,
    "exit codes": _exit_codes,
}
