"""What `decalgen new` does: starts a job file by questions, each answer kept in the file at once, or from options; and
beside the job a picture of the kinds of panel and the measuring card."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

from decalgen.commands import interview
from decalgen.commands.editor_help import SCHEMA_LINE, schema_beside
from decalgen.commands.first_decals import placed, with_starter
from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.question_values import doubts, free
from decalgen.commands.questions import Question
from decalgen.commands.readings_typed import typed_reading
from decalgen.core.command_line import typed
from decalgen.core.errors import DecalgenError, JobError, OutputError
from decalgen.core.files import write_files
from decalgen.core.small_files import Wanted, read_small
from decalgen.core.values import dataclass
from decalgen.job.edits import values
from decalgen.job.files import MOST_BYTES
from decalgen.job.loader import job_as_written
from decalgen.job.written import YamlValue, scalar
from decalgen.panels.unmeasured import SIGN

_PANEL = re.compile(r"^\s*(?P<name>[^=]+?)\s*=\s*(?P<w>[^x×]+?)\s*[x×]\s*(?P<h>[^x×]+?)\s*$")
OFF = {"rise": "0.10"}
"""The largest error to expect of a size that is given bare, mm; of others 0.05."""

OBSTACLE = (
    "obstacles:",
    "  handle:",
    "    circle: 1.5 mm",
    "    at:  # of its centre, from the left and from below",
    "      - 12 mm",
    "      - 7 mm",
    "    clearance: 0.3 mm",
)
"""An obstacle as a note, to be made one by taking the # away."""


@dataclass(frozen=True)
class Answers:
    """What is given: flat ``panels`` as 'door=22.4x11.6', ``bent`` ones as 'bonnet=24.2/1.1/19.5' (chord, rise,
    length); a size of '?' is still to be measured; ``paper`` is the card's."""

    job: Path
    panels: tuple[str, ...] = ()
    bent: tuple[str, ...] = ()
    layouts: tuple[str, ...] = ()
    title: str | None = None
    scale: str | None = None
    body: str | None = None
    paper: str = "A4"


class NewJob:
    """A job that is asked for question by question. What is on the disk is all there is: any answer that was given is
    in the file, whatever ends the program."""

    def __init__(self, job: Path) -> None:
        """Raises, before anything is asked: OutputError for a file that is not an unfinished one of ours, JobError for
        one that cannot be read any more."""
        self.path = job_path(job)
        if not self.path.exists():
            self._text = interview.begun(interview.file_stem(self.path))
            self.went_on = False
            return
        self._text = _read(self.path)
        self.went_on = True
        if interview.reached(self._text) is None:
            raise exists(self.path)
        job_as_written(self._text, self.path)

    def question(self) -> Question | None:
        """What is asked next; None where all is answered."""
        return interview.next_question(self._text, self.path, printers())

    def answer(self, question: Question, typed: str) -> tuple[str, ...]:
        """Keeps an answer, or goes back to the question before; what looks wrong about it. Raises DecalgenError for an
        answer that the job file's readers refuse: nothing is written then."""
        if self.path.exists():
            # An editor may have it open, too.
            self._text = _read(self.path)
        looks: tuple[str, ...] = ()
        if " ".join(typed.split()).casefold() == interview.BACK:
            text = interview.gone_back(self._text, question, printers())
        else:
            text = interview.answered(self._text, question, typed, self.path)
            looks = doubts(text, self.path, question.path, self._text) if question.reading else ()
        beside = {} if self.path.exists() else schema_beside(self.path)
        write_files({self.path: text.encode("utf-8"), **beside})
        self._text = text
        return looks

    def picture(self) -> Path:
        """The picture of the kinds of panel, made where it is not there yet."""
        path = self.path.with_name(f"{self.path.stem}-kinds.svg")
        if not path.exists():
            write_files({path: _kinds_drawn()})
        return path

    def colours(self) -> Path:
        """The chart of the colours that have a name, made where it is not there yet."""
        path = self.path.with_name(f"{self.path.stem}-colours.svg")
        if not path.exists():
            write_files({path: _colours_drawn()})
        return path

    def finish(self, paper: str = "A4") -> Result:
        """The finished job and its card, on that paper."""
        text = interview.finished(self._text)
        panels = list(values(text).get("panels") or {})
        if panels:
            text = with_starter(text, panels[0])
        return _written(self.path, text, paper)


@cache
def _kinds_drawn() -> bytes:
    """The picture of the kinds of panel as SVG, the same for every job."""
    from decalgen.export import render
    from decalgen.pages.kind_drawings import kinds_picture
    from decalgen.panels.registry import kinds

    return render(kinds_picture([(name, kind.about) for name, kind in kinds().items()]), ".svg")[0]


@cache
def _colours_drawn() -> bytes:
    """The chart of the colours that have a name as SVG, the same for every job."""
    from decalgen.commands.colours import named_chart
    from decalgen.export import render

    return render(named_chart(), ".svg")[0]


def printers() -> tuple[str, ...]:
    """The names of the kept profiles; none where these cannot be read, as no job depends on them."""
    from decalgen.workshop.profiles import kept

    try:
        return tuple(dict.fromkeys(one.printer.name for one in kept()))
    except DecalgenError:
        return ()


def job_path(job: Path) -> Path:
    """The file of a job that may be named without its ending."""
    return job if job.suffix else job.with_suffix(".yaml")


def exists(path: Path) -> OutputError:
    """The refusal of a file that is there."""
    page = typed(["decalgen", "bench", path])
    return OutputError(
        f"'{path}' already exists",
        fix=f"choose another name, or move the old file away; to go on with it, open it in an editor or with `{page}`",
    )


def _read(path: Path) -> str:
    data = read_small(path, MOST_BYTES, Wanted("name a job file, a text ending in .yaml", (".yaml", ".yml")))
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise exists(path) from None


def new_job(answers: Answers) -> Result:
    """Writes the job, laid out evenly, and, beside it, the card, from what is given. Never overwrites a job: raises
    OutputError."""
    from decalgen.job.formatted import formatted

    path = job_path(answers.job)
    if path.exists():
        raise exists(path)
    check_body("grey" if answers.body is None else answers.body)
    panels = [_flat(text) for text in answers.panels] + [_bent(text) for text in answers.bent]
    panels = panels or [_flat("door=?x?")]
    names = [name for name, _ in panels]
    if len({name.casefold() for name in names}) < len(names):
        raise DecalgenError("two panels have the same name", fix="give each panel a name of its own")
    text = _job_text(path, answers, panels)
    for n, layout in enumerate(answers.layouts):
        there: Any = values(text).get("decals") or {}
        text = placed(text, free(layout.replace("-", " "), there), layout, names[n % len(names)])
    # Answers to questions go into a file that someone may have changed meanwhile; only here nobody can have.
    return _written(path, formatted(with_starter(text, names[0]), str(path)), answers.paper)


def _written(path: Path, text: str, paper: str) -> Result:
    """Checks the job as a command would read it, and writes it with its card."""
    from decalgen.commands.card import PAPERS, job_card
    from decalgen.export import render

    try:
        job = job_as_written(text, path)
    except JobError as error:
        first = error.problems[0]
        raise DecalgenError(first.message, fix=first.fix) from None
    pdf = render(job_card(text, job.title, *PAPERS[paper]), ".pdf")[0]
    card = path.with_name(f"{path.stem}-card.pdf")
    files = write_files({path: text.encode("utf-8"), card: pdf, **schema_beside(path)})
    count = sum(len(one) for one in (*(panel.unmeasured for panel in job.panels), *(d.unmeasured for d in job.decals)))
    follow = typed(["decalgen", "measure" if count else "check", path])
    todo = f", {count} reading{'s' * (count != 1)} to take" if count else ""
    groups = (
        FileGroup("print and take to the bench", (card,)),
        FileGroup("the job", (path,)),
        FileGroup("for your editor", tuple(file for file in files if file not in (card, path))),
    )
    return Result(files, answer=Answer(f"started the job '{job.name}'{todo}", follow, groups))


def check_body(text: str) -> None:
    """Raises DecalgenError for a body that no job file can have: no colour, or one that a check would refuse."""
    from decalgen.job.colours import parse_colour

    try:
        parse_colour(text)
    except DecalgenError as error:
        raise DecalgenError(f"the body: {error.message}", fix=error.fix) from None


Rows = dict[str, YamlValue]


def _flat(text: str) -> tuple[str, Rows]:
    match = _PANEL.match(text)
    if match is None:
        raise DecalgenError(f"'{text}' is not a panel", fix="write name=width x height, such as door=22.4x11.6")
    return _name(match["name"]), {"width": _size("width", match["w"]), "height": _size("height", match["h"])}


def _bent(text: str) -> tuple[str, Rows]:
    name, equals, rest = text.partition("=")
    parts = [part.strip() for part in rest.split("/")]
    if not equals or len(parts) != 3:
        raise DecalgenError(
            f"'{text}' is not a bent panel", fix="write name=chord/rise/length, such as bonnet=24.2/1.1/19.5"
        )
    chord, rise = (_plain(part) for part in parts[:2])
    if chord is not None and rise is not None and rise > chord / 2:
        raise DecalgenError(
            f"'{name.strip()}' rises {rise:g} mm over a chord of {chord:g} mm: more than a half circle",
            fix="write the chord first, then the rise",
        )
    keys = ("chord", "rise", "length")
    return _name(name.strip()), {key: _size(key, part) for key, part in zip(keys, parts, strict=True)}


def _name(name: str) -> str:
    if not re.fullmatch(r"[^\W\d_][\w \-]*", name):
        raise DecalgenError(f"'{name}' cannot be the name of a panel", fix="use letters, digits, spaces and hyphens")
    return name


def _plain(text: str) -> float | None:
    """A size in mm; '?' is none yet."""
    from decalgen.core.lengths import length

    typed = typed_reading(text)
    if typed == SIGN or not isinstance(typed, str):
        return None
    try:
        value = length(typed).value
    except ValueError as error:
        raise DecalgenError(f"'{text}' is not a size: {error}", fix="write it like 22.4 or 22.4 mm") from None
    if not 0 < value < 1000:
        raise DecalgenError(
            f"a panel of {value:g} mm is too large or too small for a toy", fix="write it in mm, like 22.4"
        )
    return value


def _size(key: str, text: str) -> YamlValue:
    typed = typed_reading(text)
    value = _plain(text)
    if value is None or not isinstance(typed, str) or "±" in typed:
        return typed
    return f"{value:.2f} mm ± {OFF.get(key, '0.05')}"


def _job_text(path: Path, answers: Answers, panels: list[tuple[str, Rows]]) -> str:
    name = interview.file_stem(path)
    title = answers.title or path.stem.replace("-", " ").capitalize()
    rows = [
        SCHEMA_LINE,
        "# A job for decalgen. Text after # is a note; decalgen ignores it.",
        f"job: {scalar(name)}",
        f"title: {scalar(title, quote=chr(34))}",
        f"scale: {scalar(answers.scale or '1:43', quote=chr(34))}",
        '# date: "2026-03-14"   # the day of the job, for its papers; its year goes on a reproduction mark',
        "film: white            # white, or clear: dark inks on a light body do well on clear film",
        "body: body",
        "paints:",
        f"  body: {scalar(answers.body or 'grey')}",
        "panels:  # ? is a reading that is still to be taken",
    ]
    for panel, sizes in panels:
        rows.append(f"  {scalar(panel)}:")
        # Above the sizes, as decals that are added later would come between the last of them and its notes.
        rows += [f"    # {row}" for row in OBSTACLE]
        rows += [f"    {key}: {scalar(str(value))}" for key, value in sizes.items()]
    return "\n".join(rows) + "\n"
