"""What `proof` does: the same sheet for plain paper, and the positions that the final print is made from."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.commands.options import DRAWER, Made
from decalgen.commands.rendering import rendered
from decalgen.core.errors import OutputError
from decalgen.proofing.files import positions_file, standard_data
from decalgen.proofing.fingerprint import code_of
from decalgen.proofing.gate import bare_words
from decalgen.proofing.standard import BAR_WORDS, Asked, standard
from decalgen.sheet.positions import write_positions

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from decalgen.commands.run import Run
    from decalgen.job.model import Job
    from decalgen.sheet.arrange import Arrangement
    from decalgen.workshop.drawer_for_jobs import Picked


def make_proof(run: Run, output: Path) -> Made:
    """Nests, and gives the proof and, beside it, the positions that `make_sheet` prints."""
    from decalgen.pages.proof import proof
    from decalgen.sheet.film_shares import share_lines
    from decalgen.sheet.film_use import reckoned
    from decalgen.workshop.drawer_for_jobs import taken_off

    keep_inputs(run, (output,))
    drawn = run.sound()
    arrangement = run.arrangement()
    needed = standard(arrangement, drawn.fits)
    code = code_of(needed.fingerprint)
    files = rendered(proof(arrangement, run.jobs, run.title, run.date, needed.share, code), output)
    written = {path.name: sha256(data).hexdigest() for path, data in files.items()}
    picked = picked_of(run, arrangement)
    files[positions_file(output)] = positions_bytes(arrangement, run.jobs, picked, standard_data(needed, written))
    lines = reckoned(arrangement, run.options.leave) + share_lines(
        arrangement, run.jobs, taken_off(arrangement, picked)
    )
    lines += warned(run)
    lines += [bare_words(one) for one in needed.bare]
    if needed.bare:
        lines.append("so its size cannot be proven, and film will not be printed: put its pieces on a larger sheet")
    else:
        for page, axis in needed.one_way().items():
            side = "width" if axis == "x" else "height"
            small = f"no bar shows the {side} of the small sheets, {page}"
            lines.append(f"{small}: hold the paper to the model before you print film")
        lines += [
            f"sheet {bar.sheet} has no room for a {BAR_WORDS[bar.axis]}: measure the {bar.words}"
            for bar in needed.bars
            if bar.crosses
        ]
        lines.append(f"print it, measure its bars, then run: {pass_command(output, needed.bars)}")
        others = list(needed.unmeasured([needed.bars[0].sheet]).values())
        if others:
            named = " and ".join(f"--sheet {n}" for n in others)
            lines.append(f"then the same with {named}, which differ in size or correction")
    return Made(files, arrangement.findings, tuple(lines))


def pass_command(output: Path, bars: Sequence[Asked] = ()) -> str:
    """What is typed with the readings of a proof. Blanks stand for all that has to be read off the paper."""
    from decalgen.core.command_line import quoted

    first = min((bar.sheet for bar in bars), default=0)
    axes = [bar.axis for bar in bars if bar.sheet == first] or ["x", "y"]
    blanks = " ".join(f"--{axis} ____" for axis in axes)
    return f"decalgen proof passed {quoted(str(output))} --code _____ {blanks}"


def keep_inputs(run: Run, outputs: Sequence[Path], *more: Path) -> None:
    """Raises OutputError where a result would take the place of what it is made from, or of another result."""
    words = (*run.options.films, *filter(None, [run.options.printer]))
    given = {path.resolve() for path in (*run.paths, *map(Path, words), *more)}
    seen: set[Path] = set()
    for output in outputs:
        here = output.resolve()
        if here in given:
            raise OutputError(
                f"'{output}' is an input here, so it is not overwritten",
                fix="name another file after -o, like sheet.pdf",
            )
        if here in seen:
            raise OutputError(f"'{output}' is named twice", fix="name each result once")
        seen.add(here)


def picked_of(run: Run, arrangement: Arrangement) -> tuple[Picked, ...]:
    """The sheets of the drawer that an arrangement lies on; none where it lies on other film."""
    if DRAWER not in run.options.films:
        return ()
    from decalgen.workshop.drawer import Drawer
    from decalgen.workshop.drawer_for_jobs import picked_for

    return picked_for(arrangement, Drawer().sheets(), run.printer)


def positions_bytes(
    arrangement: Arrangement, jobs: Sequence[Job], picked: Sequence[Picked], proof: Mapping[str, Any] | None = None
) -> bytes:
    from decalgen.workshop.drawer_for_jobs import taken_off

    taken = taken_off(arrangement, picked)
    return write_positions(
        arrangement.digest, arrangement.positions, jobs, arrangement.complete, taken, proof, arrangement.parts
    )


def warned(run: Run) -> list[str]:
    """How many warnings the check before a print has, and how to see them."""
    count = sum(finding.severity == "warning" for finding in run.examined.findings)
    if not count:
        return []
    words = [*map(str, run.paths)]
    options = run.options
    given = [("--film", film) for film in options.films]
    for option, value in (*given, ("--printer", options.printer), ("--variant", options.variant)):
        words += [option, value] if value else []
    command = " ".join(f'"{word}"' if " " in word else word for word in words)
    return [f"the check has {count} warning{'s' * (count > 1)}: decalgen check {command} lists them"]
