"""The faces of a job's own: font files that it names, read here alone, only in its folder, only small ones."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.core.errors import DecalgenError, Finding, InputError, did_you_mean
from decalgen.core.small_files import Wanted, read_small
from decalgen.job.examples import shown
from decalgen.job.files import file_beside, name_from
from decalgen.job.nodes import Mapping, Node, Scalar, Source
from decalgen.job.problems import Problems
from decalgen.job.scope import Reads, Told

if TYPE_CHECKING:
    from decalgen.lettering.typeface import OwnFaceName

MOST_BYTES = 4_000_000
"""No font file is larger."""
MOST_FACES = 20
KINDS = (".ttf", ".otf", ".woff2")
FIX = "name a font file in the job's folder, such as fonts/old.ttf"
RIGHTS = {
    "restricted": "its maker does not allow the font itself to be put into documents",
    "bitmaps only": "its maker allows only bitmaps of it to be put into documents",
}


class FaceFiles:
    """The faces of one job by name. ``job_file`` is its name."""

    def __init__(self, problems: Problems, job_file: str) -> None:
        self.problems = problems
        self.job_file = job_file
        self.names: dict[str, OwnFaceName] = {}
        self.paths: dict[str, Path] = {}
        self.spoilt: set[str] = set()

    def read_all(self, group: Mapping, reader: Reads) -> None:
        """Every face of the group 'faces'; mistakes are noted at their places."""
        if len(group.entries) > MOST_FACES:
            key = group.entries[MOST_FACES][0]
            self.problems.add(
                f"more than {MOST_FACES} faces in one job", key.place, "leave out those nothing is set in"
            )
            self.spoilt.update(_plain(name.text) for name, _ in group.entries)
            return
        for key, value in group.entries:
            wanted = _plain(key.text)
            try:
                self._read(key, reader.scope.substitute(value))
            except DecalgenError as error:
                place = key.place if isinstance(error, _NameError) else value.place
                self.problems.add(error.message, place, error.fix)
                self.spoilt.add(wanted)
            except Told:
                self.spoilt.add(wanted)

    def find(self, name: str) -> OwnFaceName | None:
        """The face of a name. Raises `Told` for one whose mistake is noted."""
        if _plain(name) in self.spoilt:
            raise Told
        return self.names.get(_plain(name))

    def sources(self) -> list[Source]:
        """What the job's digest takes in of the files."""
        return [Source(name, (digest,)) for name, digest in sorted(self.problems.fonts.items())]

    def files(self) -> tuple[tuple[str, OwnFaceName], ...]:
        """Each face with the name of its file from the job's folder, written with /."""
        return tuple((name_from(self.job_file, str(self.paths[key])), name) for key, name in self.names.items())

    def _read(self, key: Scalar, node: Node) -> None:
        from decalgen.lettering.faces import faces, name_key
        from decalgen.lettering.own_fonts import FontError, read_font
        from decalgen.lettering.typeface import OwnFaceName

        wanted = name_key(key.text)
        if not wanted:
            raise _NameError("the name of a face has a letter or a digit", fix="give it a short name")
        if wanted in self.names or any(name_key(one.name) == wanted for one in faces()):
            whose = "the name of another face of the job" if wanted in self.names else "a face of decalgen's"
            raise _NameError(f"'{shown(key.text)}' is {whose}", fix="give it another name")
        if not isinstance(node, Scalar) or node.empty:
            raise InputError("the name of a font file is needed", fix=FIX)
        path = file_beside(node.text, Path(node.source.name), Path(self.job_file).parent.resolve())
        try:
            data = read_small(path, MOST_BYTES, Wanted(FIX, KINDS))
        except InputError:
            self.problems.absent.append(str(path))
            raise
        try:
            font = read_font(data)
        except FontError as error:
            raise InputError(f"'{shown(node.text)}' {error.message}", fix=error.fix) from None
        finally:
            self.problems.fonts[str(path)] = hashlib.sha256(data).hexdigest()
        self.names[wanted], self.paths[wanted] = OwnFaceName(key.text, font), path
        if font.embedding:
            self.problems.notes.append(_rights(key, node.text, font.embedding))


def read_faces(problems: Problems, job_file: str, group: Mapping, reader: Reads) -> FaceFiles:
    """The faces of a job's group 'faces'; mistakes are noted at their places."""
    found = FaceFiles(problems, job_file)
    found.read_all(group, reader)
    return found


def _plain(name: str) -> str:
    from decalgen.lettering.faces import name_key

    return name_key(name)


class _NameError(InputError):
    """A mistake in the name of a face, not in its file."""


def _rights(key: Scalar, file: str, embedding: str) -> Finding:
    return Finding(
        "note",
        "face-rights",
        f"'{key.text}'",
        f"'{shown(file)}' says that {RIGHTS[embedding]}; decalgen puts no font into a file, it prints outlines as "
        "artwork",
        "read in its licence whether it may be used so",
        key.place,
    )


def face_fix(reader: Reads, name: str) -> str:
    """What a face that is not there may have been meant for; '' where nothing is like it."""
    from decalgen.lettering.faces import faces

    mine = list(reader.faces.names.values()) if reader.faces else []
    near = did_you_mean(name[:60], [*mine, *(one.name for one in faces())], otherwise="")
    if near:
        return near
    if name.lower().endswith((*KINDS, ".woff", ".ttc")):
        return f"write it under 'faces:', as in faces: {{my letterer: {shown(name)}}}, and face: my letterer here"
    return ""
