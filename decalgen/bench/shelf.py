"""The jobs of a folder, and those of them that are open on the page, each with its own workplace.

A job is named by its file in the folder given at the start, or by one of the finished jobs that come with decalgen;
these are copied into the user's data folder first, so whatever is done to them spoils nothing.
"""

from __future__ import annotations

import asyncio
import re
import time
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any, Final

from decalgen.bench.desk import Desk
from decalgen.bench.pictures import Drawings
from decalgen.bench.tabs import OpenTabs
from decalgen.bench.workplace import Workplace
from decalgen.bench.writing import may_write
from decalgen.commands import interview
from decalgen.commands.editor_help import schema_beside
from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.files import make_folder, write_files, write_first
from decalgen.core.names import slug, untaken
from decalgen.core.resources import resource_folder
from decalgen.core.small_files import is_ordinary, read_small
from decalgen.core.values import dataclass
from decalgen.job.edits import EditError
from decalgen.job.files import MOST_BYTES, job_text
from decalgen.workshop.drawer import data_folder

DEMO: Final = "demo"
DEMO_JOBS = ("gannet", "h9", "ostmerrow", "dravenhoe")
"""The finished jobs that come with decalgen, the one that is shown first in front."""
DEMO_SHARED = ("common-inks.yaml", "thessock-crest.svg")
"""What these jobs include, and what they draw."""
ENDINGS = (".yaml", ".yml")
MOST_FILES = 5000
"""So many files of a folder are looked at."""
_JOB = re.compile(r"^job[ \t]*:", re.MULTILINE)
_SAID = {key: re.compile(rf"^{key}[ \t]*:[ \t]*(.+?)[ \t]*(?:#.*)?$", re.MULTILINE) for key in ("title", "scale")}


@dataclass(frozen=True)
class JobFile:
    """A job file that may be opened. ``key`` names it on the page; ``title`` and ``scale`` as they stand in it."""

    key: str
    name: str
    title: str
    scale: str


class JobShelf:
    """The jobs of a folder. ``places`` are those that are open, by their keys; ``first`` is the one to show."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.places: dict[str, Workplace] = {}
        self.first = ""
        self.listeners: set[asyncio.Queue[dict[str, Any]]] = set()
        self.tabs = OpenTabs(time.monotonic)
        self.drawings = Drawings()
        self.noted: Callable[[Path], None] = lambda _: None
        """Called with the file of each job that is opened."""
        self.elsewhere: Callable[[Path], str] = lambda _: ""
        """The address of the page of a job that another start of decalgen has open; '' where none has."""
        self._heads: dict[Path, tuple[tuple[int, int], JobFile | None]] = {}

    @classmethod
    def of(cls, job: Path) -> JobShelf:
        """The shelf of a job's folder, with that job open. Raises InputError."""
        found = cls(job.parent)
        found.first = found._put(job.name, job).key
        return found

    @property
    def needed(self) -> bool:
        """Whether the server has to stay: before the first tab, for an open one, for what is being made or not kept."""
        opened = self.tabs.any(bool(self.listeners)) or not self.tabs.visited
        return opened or any(place.unfinished for place in self.places.values())

    def place(self, key: str) -> Workplace | None:
        """The workplace of a job, which is opened if it is not yet; of the first one for '', and where there is no such
        job. In place of a finished one, the only job of one's own; None where there are several to choose from."""
        with suppress(DecalgenError):
            return self.taken_up(key)
        own = self.found() if self.first.startswith(f"{DEMO}/") else []
        if len(own) == 1:
            with suppress(DecalgenError):
                return self.taken_up(own[0].key)
        return None if own else self.places.get(self.first)

    def taken_up(self, key: str) -> Workplace:
        """The workplace of a job of the folder or of the demo. Raises EditError for any other, InputError for a file
        that cannot be read."""
        if key in self.places:
            return self.places[key]
        found = self._put(key, self.path(key))
        self.noted(found.desk.path)
        return found

    def path(self, key: str) -> Path:
        """The file of a job; the demo's is copied if it is not yet. Raises EditError for what is no job of the folder:
        any path, hidden file, or link that leads out."""
        if key.startswith(f"{DEMO}/"):
            name = key.removeprefix(f"{DEMO}/")
            if name in (f"{one}.yaml" for one in DEMO_JOBS):
                return demo_copy() / name
        elif _plain_name(key):
            path = self.folder / key
            if is_ordinary(path) and path.resolve().parent == self.folder.resolve():
                return path
        raise EditError("there is no such job here", fix="choose one of those that are shown")

    def found(self, like: str = "") -> list[JobFile]:
        """The jobs in the folder whose name or title has these words, the one that was changed last in front."""
        try:
            paths = [one for one in self.folder.iterdir() if _plain_name(one.name)][:MOST_FILES]
        except OSError:
            return []
        rows = sorted(((when, head) for path in paths for when, head in (self._head(path),) if head), key=_newest)
        words = like.casefold().split()
        return [one for _, one in rows if all(word in f"{one.name} {one.title}".casefold() for word in words)]

    def begun(self, title: str) -> Workplace:
        """A new job of that title, in a file of its own, opened. Raises DecalgenError for a title that cannot be, or a
        folder that takes nothing."""
        if not title.strip():
            raise DecalgenError("an answer is needed here", fix="type what the model is called")
        there = {one.stem.casefold() for one in self.folder.iterdir()} if self.folder.is_dir() else set()
        path = self.folder / f"{untaken(slug(title, 'job'), there)}.yaml"
        text = interview.begun(interview.file_stem(path))
        question = interview.next_question(text, path)
        assert question is not None
        text = interview.answered(text, question, title, path)
        if not write_first(path, text.encode("utf-8")):
            raise InputError(f"'{path.name}' was made by another program just now", fix="try again")
        if beside := schema_beside(path):
            write_files(beside)
        return self.taken_up(path.name)

    def copied(self, key: str, name: str) -> Workplace:
        """What is on the desk of a job as another file of the folder, opened in its stead. Raises EditError for a name
        that cannot be or is there, OutputError."""
        place = self.places[key]
        name = name.strip()
        name = name if name.endswith(ENDINGS) else f"{name}.yaml"
        path = place.desk.path.with_name(name) if _plain_name(name) else None
        if path is None:
            raise EditError(f"'{name}' is not a name for a job file here", fix="type a name like van.yaml")
        if not may_write(path.parent):
            raise EditError(
                f"nothing can be put into the folder '{path.parent.name}'",
                fix="copy the file into a folder of your own, and open it there",
            )
        if not write_first(path, place.desk.text.encode("utf-8")):
            raise EditError(f"'{name}' is there already", fix="type another name")
        del self.places[key]
        here = name if path.parent == self.folder else f"{DEMO}/{name}"
        found = self._put(here, path)
        self.first = self.first if self.first in self.places else here
        self.noted(path)
        return found

    def _put(self, key: str, path: Path) -> Workplace:
        found = Workplace(Desk(path))
        found.key, found.listeners = key, self.listeners
        self.places[key] = found
        return found

    def _head(self, path: Path) -> tuple[int, JobFile | None]:
        """When a file was changed, and what it says of itself if it is a job; kept until it is changed again."""
        try:
            state = path.stat()
        except OSError:
            return 0, None
        stamp = state.st_mtime_ns, state.st_size
        known = self._heads.get(path)
        if known is None or known[0] != stamp:
            known = self._heads[path] = stamp, _read_head(path)
        return stamp[0], known[1]


def _newest(row: tuple[int, JobFile]) -> tuple[int, str]:
    return -row[0], row[1].name


def _plain_name(name: str) -> bool:
    """Whether it names a job file without leading anywhere else."""
    return name.endswith(ENDINGS) and not name.startswith(".") and not re.search(r"[/\\:\x00-\x1f]", name)


def _read_head(path: Path) -> JobFile | None:
    try:
        text = read_small(path, MOST_BYTES).decode("utf-8", "replace")
    except DecalgenError:
        return None
    if not _JOB.search(text):
        return None
    said = {key: found[1].strip("\"'") if (found := rule.search(text)) else "" for key, rule in _SAID.items()}
    return JobFile(path.name, path.name, said["title"] or path.stem, said["scale"])


def demo_jobs() -> list[JobFile]:
    """The finished jobs that come with decalgen; none where the installation lacks them."""
    try:
        folder = resource_folder(DEMO)
    except InputError:
        return []
    found = [(name, _read_head(folder / f"{name}.yaml")) for name in DEMO_JOBS]
    return [JobFile(f"{DEMO}/{one.name}", one.name, one.title, one.scale) for _, one in found if one is not None]


@cache
def demo_text(name: str) -> str:
    """A finished job as it came with decalgen, by the name of its file. Raises InputError."""
    return job_text(resource_folder(DEMO) / name)


def demo_copy() -> Path:
    """The folder with the user's copy of the finished jobs, made where it is not there yet; what was changed in it
    stays. Raises InputError, OutputError."""
    source, folder = resource_folder(DEMO), make_folder(data_folder() / DEMO)
    for name in (*DEMO_SHARED, *(f"{one}.yaml" for one in DEMO_JOBS)):
        if not (folder / name).exists():
            write_first(folder / name, read_small(source / name, MOST_BYTES))
    return folder
