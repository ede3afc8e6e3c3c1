"""A job file becomes a `Job`. With its neighbours in this folder, the only module that knows YAML."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.colour.value import ColourError
from decalgen.core.errors import DecalgenError, JobError, Place, Problem, did_you_mean
from decalgen.core.keys import ColourText, specs
from decalgen.core.lengths import ExpressionError, parse_scale
from decalgen.core.names import spelt_as
from decalgen.core.visible import visible
from decalgen.job.colours import body_of, ink_of, parse_colour, seen
from decalgen.job.decals import Surroundings, read_decals
from decalgen.job.drawings import DrawingFiles
from decalgen.job.entries import JOB_GROUPS, InkEntry, JobEntry, PaintEntry
from decalgen.job.examples import shown
from decalgen.job.files import digest_of_sources, texts_of
from decalgen.job.layouts import Layouts
from decalgen.job.merge import Files, overlay, without
from decalgen.job.model import InkSpec, Job, Paint
from decalgen.job.nodes import Mapping, Node, Scalar, Source
from decalgen.job.panels import MOST_PANELS, Panels
from decalgen.job.problems import Problems
from decalgen.job.reader import Reader
from decalgen.job.scope import YEAR, PanelScope, Told

if TYPE_CHECKING:
    from decalgen.job.own_faces import FaceFiles

BUILT_IN = (InkSpec("white", "white", "#ffffff"), InkSpec("black", "process", "#000000"))


def load_job(path: Path | str, variant: str | None = None) -> Job:
    """The job in a file, or a variant of it.

    Raises `JobError` with every mistake found, and `InputError` for a file that cannot be read.
    """
    known: list[Source] = []
    try:
        return _loaded(path, variant, {}, known)
    except JobError as error:
        raise JobError(_mended(path, variant, error, known)) from None


def job_as_written(text: str, path: Path, variant: str | None = None) -> Job:
    """The job that a file would be with this text. Raises as `load_job` does, with mistakes in words alone."""
    return _loaded(path, variant, {str(path): text})


def _mended(path: Path | str, variant: str | None, error: JobError, known: list[Source]) -> tuple[Problem, ...]:
    """The mistakes of a job, with the lines of its files as they should read."""
    from decalgen.job.mending import mended_files

    sources = {source.name: source for source in known}

    def judge(texts: dict[str, str]) -> tuple[Problem, ...]:
        opened: list[Source] = []
        try:
            _loaded(path, variant, texts, opened)
        except JobError as found:
            return found.problems
        finally:
            # What a mistake had kept from being included.
            sources.update({source.name: source for source in opened if source.name not in sources})
        return ()

    return mended_files(error.problems, judge, sources)


def _loaded(path: Path | str, variant: str | None, texts: dict[str, str], known: list[Source] | None = None) -> Job:
    """``known`` is given the files that are read."""
    return read_job(path, variant, texts, Problems(), known)


def read_job(
    path: Path | str, variant: str | None, texts: dict[str, str], problems: Problems, known: list[Source] | None = None
) -> Job:
    """The job in a file, or what it would be with these ``texts`` by the names of files; what is noticed on the way is
    noted in ``problems``. Raises as `load_job` does, with mistakes in words alone."""
    files = Files(problems, Path(path), str(path), texts, known)
    group = files.read()
    if group is None:
        raise JobError(problems.sorted())
    _is_job(group, problems)
    return _job(group, str(path), problems, files.sources, variant)


_OTHER_FILES = {
    "printer": ("a printer file", "name the job; the printer goes after --printer"),
    "cutter": ("a cutter file", "name the job; the cutter goes after --cutter"),
    "sheet": ("a sheet format", "name the job; a format is named in a film, as in --film 'white A5'"),
    "layout": ("a ready layout", "name the job; a decal takes the layout with layout: its name"),
}
_FILM = ("a film file", "name the job; the film goes after --film")
_PART = ("a part for jobs to include", "name the job that says include: and this file")


def _is_job(group: Mapping, problems: Problems) -> None:
    """Says what a file is that is plainly no job, instead of all that it lacks as one. Raises `JobError`."""
    if group.get("job") is not None or group.get("decals") is not None or group.get("body") is not None:
        return
    film = group.get("film")
    kind = None
    if film is not None and group.get("kind") is not None:
        kind = _FILM
    else:
        kind = next((said for key, said in _OTHER_FILES.items() if group.get(key) is not None), None)
    if kind is None and any(group.get(key) is not None for key in ("inks", "paints", "values")):
        kind = None if group.get("panels") is not None else _PART
    if kind is not None:
        problems.add(f"this is {kind[0]}, not a job", group.place, kind[1])
        raise JobError(problems.sorted())


def job_from(group: Mapping, name: str) -> Job:
    """A job from nodes that were put together, such as the sample of a layout. Raises `JobError`."""
    return _job(group, name, Problems(), [], None)


def _job(group: Mapping, name: str, problems: Problems, sources: list[Source], variant: str | None) -> Job:
    job = _Loader(problems, sources, name).job(group, variant)
    if job is None or len(problems):
        raise JobError(problems.sorted())
    return job


class _Loader:
    def __init__(self, problems: Problems, sources: list[Source], name: str) -> None:
        self.problems = problems
        self.sources = sources
        self.name = name

    def job(self, group: Mapping, variant: str | None) -> Job | None:
        problems = self.problems
        variants = self._variants(group)
        if variant is not None:
            group = self._chosen(group, variants, variant)
        values = {**_year(group), **self._named(group, "values")}
        panels = Panels(problems, self._group(group, "panels"), _scale(group))
        self._count("panels", panels.nodes, MOST_PANELS)
        scope = PanelScope(problems, values, panels.names(), panels.sizes)
        panels.scope = scope
        reader = Reader(problems, scope)
        head: JobEntry | None = None
        given: dict[str, Any] = {}
        with suppress(Told):
            reader.values(JobEntry, group, "the job", also=JOB_GROUPS, place=group.place, into=given)
            head = JobEntry(**given)
        self._check(given, group)
        paints = self._paints(reader, group)
        # A paint may be named in either spelling.
        if (body := spelt_as(str(given.get("body")), [paint.name for paint in paints])) is not None:
            scope.note_paint(body, group.get("body"))
            given["body"], head = body, replace(head, body=body) if head else None
        built = panels.all()
        decals = self._group(group, "decals")
        library = Layouts(problems)
        inks = self._inks(reader, library.inks(decals, self._group(group, "inks")) or _nothing(group))
        names = tuple(ink.name for ink in inks)
        drawings = DrawingFiles(problems, self.name, inks)
        faces = self._faces(group, reader)
        around = Surroundings(problems, scope, panels, names, library, drawings, faces)
        found = read_decals(decals, around) if decals else ()
        paints = self._body(given.get("body"), group, paints)
        if head is None:
            return None
        return Job(
            name=head.job,
            title=head.title or head.job,
            body=head.body,
            paints=paints,
            inks=inks,
            panels=built,
            decals=found,
            scale=head.scale,
            date=head.date,
            film=head.film,  # type: ignore[arg-type]
            printer=head.printer,
            variant=variant,
            variants=tuple(variants),
            seed=head.seed,
            keep_together=head.keep_together,
            digest=self._digest(library, drawings, faces),
            file=self.name,
            texts=texts_of(self.sources),
            drawings=drawings.texts(),
            pictures=drawings.picture_digests(),
            faces=faces.files() if faces else (),
            notes=tuple(dict.fromkeys(self.problems.notes)),
        )

    def _digest(self, library: Layouts, drawings: DrawingFiles, faces: FaceFiles | None) -> str:
        read = [*self.sources, *(one.text for one in library.used.values()), *drawings.sources.values()]
        pictures = [digest for _, digest in drawings.picture_digests()]
        return digest_of_sources([*read, *(faces.sources() if faces else ())], pictures)

    def _faces(self, group: Mapping, reader: Reader) -> FaceFiles | None:
        """The faces of the job's own; few jobs have some, and only those load what reads them."""
        own = self._group(group, "faces")
        if own is None:
            return None
        from decalgen.job.own_faces import read_faces

        return read_faces(self.problems, self.name, own, reader)

    def _group(self, group: Mapping, key: str) -> Mapping | None:
        """One of the job's groups; None where it is left out, empty or wrong."""
        node = group.get(key)
        if node is None or (isinstance(node, Scalar) and node.empty):
            return None
        if isinstance(node, Mapping):
            self._names(key, node)
            return node
        self.problems.add(f"'{key}' is a list or a text; it needs names under it", node.place, f"{key}: {{name: …}}")
        return None

    def _names(self, key: str, group: Mapping) -> None:
        """Notes names that files, messages or expressions could not carry."""
        seen: dict[str, str] = {}
        for name, _ in group.entries:
            text = name.text
            if visible(text) != text:
                fix = "type the name again, on one line"
                self.problems.add("this name has a character in it that cannot be seen", name.place, fix)
            elif not text.strip() or len(text) > 60:
                self.problems.add("a name has 1 to 60 characters", name.place, "give it a short name")
            elif key in ("panels", "values") and not re.fullmatch(r"[^\W\d_]\w*(?:[ \-]\w+)*", text):
                self.problems.add(
                    f"'{shown(text)}' cannot be used in an expression",
                    name.place,
                    "begin with a letter, then letters, digits, single spaces or hyphens",
                )
            elif text.casefold() in seen and seen[text.casefold()] != text:
                other = seen[text.casefold()]
                self.problems.add(f"'{text}' and '{other}' differ only in capitals", name.place, "rename one of them")
            seen.setdefault(text.casefold(), text)

    def _count(self, key: str, group: object, most: int) -> None:
        if isinstance(group, dict) and len(group) > most:
            place = list(group.values())[most][0].place
            self.problems.add(f"more than {most} {key} in one job", place, "split the job")

    def _named(self, group: Mapping, key: str) -> dict[str, Node]:
        found = self._group(group, key)
        return {name.text: value for name, value in found.entries} if found else {}

    def _paints(self, reader: Reader, group: Mapping) -> tuple[Paint, ...]:
        found = []
        for name, node in (self._group(group, "paints") or _nothing(group)).entries:
            what = f"the paint '{shown(name.text)}'"
            with suppress(Told):
                node = reader.scope.substitute(node)
                entry = (
                    PaintEntry(reader.value(_COLOUR, node, "", name.text))
                    if isinstance(node, Scalar)
                    else reader.read(PaintEntry, node, what, place=name.place)
                )
                if entry.colour is None and entry.finish != "bare metal":
                    self.problems.add(f"{what} has no 'colour'", name.place, 'add colour: "#1d2b4a"')
                colour, exact = _shade(entry.colour or "#000000")
                paint = Paint(name.text, colour, entry.finish, name.place, exact)  # type: ignore[arg-type]
                if paint.finish == "bare metal":
                    paint = replace(paint, colour=body_of(paint).colour.hex, exact="")
                found.append(paint)
        return tuple(found)

    def _inks(self, reader: Reader, group: Mapping) -> tuple[InkSpec, ...]:
        """The job's inks, then white and black where it declares none; one with a mistake keeps its name."""
        found: list[InkSpec] = []
        for name, node in group.entries:
            what = f"the ink '{shown(name.text)}'"
            ink = InkSpec(name.text, place=name.place)
            with suppress(Told):
                node = reader.scope.substitute(node)
                entry = (
                    InkEntry(colour=reader.value(_COLOUR, node, "", name.text))
                    if isinstance(node, Scalar)
                    else reader.read(InkEntry, node, what, place=name.place)
                )
                colour = entry.colour or {"white": "#ffffff"}.get(entry.kind)
                if colour is None:
                    self.problems.add(f"{what} has no 'colour'", name.place, 'add colour: "#1d2b4a"')
                shade, exact = _shade(colour or "#000000")
                compensate = entry.compensate and entry.kind == "process"
                if entry.compensate and not compensate:
                    fix = "leave `compensate` out, or make it `kind: process`"
                    self.problems.add(
                        f"{what} is {entry.kind}: it cannot be mixed to make up for a body", name.place, fix
                    )
                ink = InkSpec(name.text, entry.kind, shade, name.place, exact, entry.opacity, compensate)  # type: ignore[arg-type]
                ink = self._covers(ink, node, name.place)
            found.append(ink)
        given = {ink.name for ink in found}
        return (*found, *(ink for ink in BUILT_IN if ink.name not in given))

    def _covers(self, ink: InkSpec, node: Node, place: Place) -> InkSpec:
        """The ink, its opacity left out where it has none or cannot have it, which is told."""
        try:
            ink_of(ink)
        except ColourError as error:
            value = node.get("opacity") if isinstance(node, Mapping) else None
            self.problems.add(error.message, value.place if value else place, error.fix)
            return replace(ink, opacity=None)
        return ink

    # -------------------------------------------------------------------------------------------------- variants
    def _variants(self, group: Mapping) -> dict[str, Mapping]:
        """The variants by name, each a group whose keys are known at least at its top."""
        node = self._group(group, "variants")
        found: dict[str, Mapping] = {}
        reader = Reader(self.problems, PanelScope(self.problems, {}, [], lambda _: {}))
        known = [k for k in (*_HEAD_KEYS, *JOB_GROUPS) if k not in ("include", "variants")]
        for name, value in node.entries if node else ():
            with suppress(Told):
                found[name.text] = reader.mapping(value, f"the variant '{shown(name.text)}'")
                reader.unknown(found[name.text], known)
        return found

    def _chosen(self, group: Mapping, variants: dict[str, Mapping], variant: str) -> Mapping:
        if variant not in variants:
            key = group.key("variants")
            fix = did_you_mean(variant, list(variants)) if variants else "add it under 'variants:'"
            place = key.place if key else group.place
            self.problems.add(f"there is no variant '{shown(variant)}' in '{self.name}'", place, fix)
            return group
        return overlay(without(group, "variants"), variants[variant], self.problems)

    # ---------------------------------------------------------------------------------------------------- checks
    def _check(self, given: dict[str, Any], group: Mapping) -> None:
        """The texts of the head that have a form of their own."""
        name, scale, day = (given.get(key) for key in ("job", "scale", "date"))
        if name is not None and not re.fullmatch(r"[^\W_](?:[\w .\-]*\w)?", name):
            self._at(group, "job", f"'{shown(name)}' cannot name files", "use letters, digits, spaces and hyphens")
        if scale:
            try:
                parse_scale(scale)
            except ExpressionError as error:
                self._at(group, "scale", error.message, error.fix)
        if day:
            try:
                good = date.fromisoformat(day).isoformat() == day
            except ValueError:
                good = False
            if not good:
                self._at(group, "date", f"'{shown(day)}' is not a date", 'write year, month and day: "2026-03-14"')

    def _body(self, body: str | None, group: Mapping, paints: tuple[Paint, ...]) -> tuple[Paint, ...]:
        """The paints, the body's among them: a colour that is no declared paint becomes one."""
        if body is None or any(paint.name == body for paint in paints):
            return paints
        try:
            colour = parse_colour(body)
        except DecalgenError as error:
            declared = [name.text for name, _ in (self._group(group, "paints") or _nothing(group)).entries]
            if body not in declared:
                fix = did_you_mean(body, declared) if declared else error.fix
                self._at(group, "body", f"'{shown(body)}' is neither a paint nor a colour", fix)
            return paints
        node = group.get("body")
        return (*paints, Paint(body, colour, place=node.place if node else None))

    def _at(self, group: Mapping, key: str, message: str, fix: str) -> None:
        node = group.get(key)
        self.problems.add(message, node.place if node else group.place, fix)


_COLOUR = ColourText()
_HEAD_KEYS = tuple(spec.key for spec in specs(JobEntry))


def _shade(text: str) -> tuple[str, str]:
    """The '#rrggbb' of a colour and, where that rounds it, the colour as written."""
    return seen(text, text).hex, "" if text.startswith("#") else text


def _year(group: Mapping) -> dict[str, Node]:
    """The value 'year' that a job with a date has: never the clock's."""
    node = group.get("date")
    if isinstance(node, Scalar) and re.fullmatch(r"\d{4}-\d\d-\d\d", node.text):
        return {YEAR: replace(node, text=node.text[:4])}
    return {}


def _scale(group: Mapping) -> float | None:
    """The denominator of the job's scale, where it can be read."""
    node = group.get("scale")
    try:
        return parse_scale(node.text).denominator if isinstance(node, Scalar) else None
    except ExpressionError:
        return None


def _nothing(group: Mapping) -> Mapping:
    return Mapping((), group.source, group.line, group.column)
