"""The mistakes found in one run, each once, in the order of the files."""

from __future__ import annotations

from decalgen.core.errors import Finding, Place, Problem
from decalgen.core.small_files import Signature
from decalgen.job.uses import NameUse

MOST_PROBLEMS = 200


class Problems:
    """A list that collects mistakes, each once."""

    def __init__(self) -> None:
        self._found: list[Problem] = []
        self._seen: set[tuple[str, int, int, str]] = set()
        self.files: list[str] = []
        self.absent: list[str] = []
        """Included files, named drawings, pictures and fonts that cannot be read."""
        self.drawings: dict[str, tuple[str, ...]] = {}
        """The lines of every drawing that was read, by its file."""
        self.pictures: dict[str, Signature] = {}
        """What changes with every change of a picture that was read, by its file."""
        self.fonts: dict[str, str] = {}
        """The SHA-256 of every font that was read, by its file."""
        self.notes: list[Finding] = []
        """What is worth telling though it is not a mistake: words that have changed."""
        self.uses: list[NameUse] | None = None
        """Every place that names something of the job, where that is asked for; None: nobody asks."""

    def __len__(self) -> int:
        return len(self._found)

    def add(self, message: str, place: Place | None = None, fix: str = "") -> None:
        """Notes a mistake."""
        self.note(Problem(message, fix, place))

    def note(self, problem: Problem) -> None:
        """Notes a mistake, unless it is noted already (two decals may use one wrong value)."""
        place = problem.place or Place("", 0, 0)
        spot = (place.file, place.line, place.column, problem.message)
        if spot not in self._seen:
            self._seen.add(spot)
            self._found.append(problem)

    def noted(self) -> tuple[Problem, ...]:
        """All of them, in the order in which they were noted."""
        return tuple(self._found)

    def sorted(self) -> tuple[Problem, ...]:
        """By file in the order they were opened, then by line and column; at most `MOST_PROBLEMS`."""
        order = {name: i for i, name in enumerate(self.files)}

        def rank(problem: Problem) -> tuple[int, int, int]:
            place = problem.place
            if place is None:
                return (-1, 0, 0)
            return (order.get(place.file, len(order)), place.line, place.column)

        found = sorted(self._found, key=rank)
        if len(found) <= MOST_PROBLEMS:
            return tuple(found)
        more = Problem(f"and {len(found) - MOST_PROBLEMS} more mistakes", "correct these first")
        return (*found[:MOST_PROBLEMS], more)
