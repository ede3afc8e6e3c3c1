"""The drawings that a job names: read here and nowhere else, only in the job's folder, only small ones."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.small_files import Wanted, read_small_text
from decalgen.core.svg.text import DrawingText, SvgError, is_dxf
from decalgen.job.examples import shown
from decalgen.job.files import name_from
from decalgen.job.layouts import named_file
from decalgen.job.model import InkSpec
from decalgen.job.nodes import Scalar, Source
from decalgen.job.problems import Problems
from decalgen.job.scope import Told

if TYPE_CHECKING:
    from decalgen.core.pixels.values import PictureData
    from decalgen.job.pictures import PictureFiles

MOST_BYTES = 4_000_000
"""No drawing is larger."""
MOST_BYTES_OF_A_JOB = 8_000_000
"""All drawings of a job together: the record of a print keeps them."""
KINDS = (".svg", ".dxf")


class DrawingFiles:
    """The drawings of one job. ``job_file`` is its name, ``inks`` are those it may be printed in."""

    def __init__(self, problems: Problems, job_file: str, inks: Sequence[InkSpec] = ()) -> None:
        self.problems = problems
        self.job_file = job_file
        self.inks = tuple((ink.name, ink.colour) for ink in inks)
        self._pictures: PictureFiles | None = None
        self.sources: dict[str, Source] = {}
        self.bytes_left = MOST_BYTES_OF_A_JOB

    def read(self, node: Scalar) -> DrawingText:
        """The drawing that a value names. Raises `Told`, the mistake noted at its place."""
        from decalgen.core.dxf.entities import read_dxf
        from decalgen.core.svg.tree import read_tree

        name = node.text
        try:
            path = named_file(node, self.job_file)
            text = "\n".join(self._source(path).lines)
            try:
                if is_dxf(name):
                    read_dxf(text)
                else:
                    read_tree(text)
            except SvgError as error:
                where = f", line {error.line}" if error.line else ""
                raise DecalgenError(f"'{shown(name)}'{where}: {error.message}", fix=error.fix) from None
        except DecalgenError as error:
            self.problems.add(error.message, node.place, error.fix)
            raise Told from None
        return DrawingText(name, text, self.inks)

    def picture(self, node: Scalar) -> PictureData:
        """The picture that a value names; what reads them is loaded where there is one. Raises `Told`."""
        if self._pictures is None:
            from decalgen.job.pictures import PictureFiles

            self._pictures = PictureFiles(self.problems, self.job_file)
        return self._pictures.read(node)

    def picture_digests(self) -> tuple[tuple[str, str], ...]:
        """The SHA-256 of all pictures that were read, by their names as in `texts`."""
        return self._pictures.digests() if self._pictures is not None else ()

    def texts(self) -> tuple[tuple[str, str], ...]:
        """All that were read, by their names from the job's folder, written with /."""
        found = [(name_from(self.job_file, name), source) for name, source in self.sources.items()]
        return tuple((name, "\n".join(source.lines)) for name, source in sorted(found, key=lambda one: one[0]))

    def _source(self, path: Path) -> Source:
        name = str(path)
        if name not in self.sources:
            try:
                self.sources[name] = Source(name, tuple(self._text(path).split("\n")))
            except InputError:
                self.problems.absent.append(name)
                raise
            self.problems.drawings[name] = self.sources[name].lines
        return self.sources[name]

    def _text(self, path: Path) -> str:
        fix = "name a drawing saved as plain SVG"
        if path.suffix.lower() == ".svgz":
            raise InputError(f"'{path.name}' is a packed drawing", fix="save it as plain SVG, which is not packed")
        try:
            text = read_small_text(path, MOST_BYTES, Wanted(fix, KINDS))
        except InputError as error:
            if error.message.endswith("is not a text file"):
                if is_dxf(path.name):
                    fix = "save it as DXF R2010, in text and not in binary"
                raise InputError(
                    f"'{path}' is not {'a DXF' if is_dxf(path.name) else 'an SVG'} drawing", fix=fix
                ) from None
            raise
        self.bytes_left -= len(text)
        if self.bytes_left < 0:
            most = MOST_BYTES_OF_A_JOB // 1_000_000
            raise InputError(f"the drawings of this job come to more than {most} MB", fix="simplify some of them")
        return text
