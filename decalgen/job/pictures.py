"""The pictures that a job names: read here and nowhere else, only in the job's folder, only to a bound."""

from __future__ import annotations

from pathlib import Path

from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.pixels.values import PictureData
from decalgen.core.small_files import Wanted, read_small, signature
from decalgen.job.files import name_from
from decalgen.job.layouts import named_file
from decalgen.job.nodes import Scalar
from decalgen.job.problems import Problems
from decalgen.job.scope import Told

MOST_BYTES = 30_000_000
"""No picture is larger."""
MOST_BYTES_OF_A_JOB = 100_000_000
"""All pictures of a job together."""
KINDS = (".png", ".jpg", ".jpeg", ".tif", ".tiff")


class PictureFiles:
    """The pictures of one job. ``job_file`` is its name."""

    def __init__(self, problems: Problems, job_file: str) -> None:
        self.problems = problems
        self.job_file = job_file
        self.found: dict[str, PictureData] = {}
        self.bytes_left = MOST_BYTES_OF_A_JOB

    def read(self, node: Scalar) -> PictureData:
        """The picture that a value names. Raises `Told`, the mistake noted at its place."""
        try:
            path = named_file(node, self.job_file)
            if str(path) not in self.found:
                self.found[str(path)] = PictureData(node.text, self._bytes(path))
            return self.found[str(path)]
        except DecalgenError as error:
            self.problems.add(error.message, node.place, error.fix)
            raise Told from None

    def digests(self) -> tuple[tuple[str, str], ...]:
        """The SHA-256 of all that were read, by their names from the job's folder, written with /."""
        return tuple(sorted((name_from(self.job_file, name), one.digest) for name, one in self.found.items()))

    def _bytes(self, path: Path) -> bytes:
        try:
            data = read_small(path, MOST_BYTES, Wanted("name a picture: a PNG, JPEG or TIFF file", KINDS))
        except InputError:
            self.problems.absent.append(str(path))
            raise
        self.problems.pictures[str(path)] = signature(path)
        self.bytes_left -= len(data)
        if self.bytes_left < 0:
            most = MOST_BYTES_OF_A_JOB // 1_000_000
            raise InputError(f"the pictures of this job come to more than {most} MB", fix="save them smaller")
        return data
