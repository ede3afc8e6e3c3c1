"""What `proof` does: the same sheet for plain paper, and the positions that the final print is made from."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.commands.next_step import after, words_after
from decalgen.commands.options import Answer, FileGroup, Made, from_drawer
from decalgen.commands.print_pages import proof_prints
from decalgen.commands.rendering import rendered
from decalgen.core.errors import OutputError
from decalgen.proofing.files import positions_file, standard_data
from decalgen.proofing.fingerprint import code_of
from decalgen.proofing.gate import bare_words
from decalgen.proofing.standard import Asked, Standard, standard
from decalgen.sheet.positions import write_positions

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from decalgen.commands.run import Run
    from decalgen.core.document import Document
    from decalgen.core.errors import Severity
    from decalgen.job.model import Job
    from decalgen.sheet.arrange import Arrangement
    from decalgen.sheet.positions import Saved
    from decalgen.workshop.drawer_for_jobs import Picked


def make_proof(run: Run, output: Path, positions: Path | Saved | None = None, to_print: bool = False) -> Made:
    """Nests, and gives the proof and, beside it, the positions that `make_sheet` prints. ``positions``: the pieces are
    laid as these say instead, or as a file of them does; ``to_print``: a printer gets it."""
    keep_inputs(run, (output,))
    document, arrangement, needed = proof_document(run, positions)
    files = rendered(document, output)
    papers = tuple(files)
    written = {path.name: sha256(data).hexdigest() for path, data in files.items()}
    picked = picked_of(run, arrangement)
    kept = positions_file(output)
    command = words_after("sheet", run)[2:]
    files[kept] = positions_bytes(arrangement, run.jobs, picked, standard_data(needed, written), command)
    groups = (
        FileGroup("print on plain paper at 100 %", papers),
        FileGroup("positions, kept for the print on film", (kept,)),
    )
    told = _measuring(needed, arrangement)
    answer = Answer(
        f"made the proof, {counted_pieces(arrangement)}",
        _after_proof(run, needed, output),
        groups,
        (*film_lines(run, arrangement, picked, whole=True), *told),
        also=check_warnings(run),
    )
    said = (*film_lines(run, arrangement, picked), *told)
    made = Made(files, arrangement.findings, said, answer)
    return proof_prints(made, document, arrangement, output) if to_print else made


def proof_document(run: Run, positions: Path | Saved | None = None) -> tuple[Document, Arrangement, Standard]:
    """The proof of a run, the sheets it shows, and what its readings have to meet; ``positions`` as in `make_proof`."""
    from decalgen.pages.proof import proof

    drawn = run.sound()
    arrangement = run.arrangement(positions)
    needed = standard(arrangement, drawn.fits)
    code = code_of(needed.fingerprint)
    return proof(arrangement, run.jobs, run.title, run.date, needed.share, code), arrangement, needed


def counted_pieces(arrangement: Arrangement) -> str:
    """'48 pieces on 2 sheets'."""
    pieces, sheets = sum(len(sheet.placed) for sheet in arrangement.sheets), len(arrangement.sheets)
    return f"{pieces} piece{'' if pieces == 1 else 's'} on {sheets} sheet{'' if sheets == 1 else 's'}"


def film_lines(run: Run, arrangement: Arrangement, picked: Sequence[Picked], whole: bool = False) -> list[str]:
    """The sheets with what is left of each, and the warnings of the check; ``whole``: also how the film is used, and
    which job takes how much of it."""
    from decalgen.sheet.film_shares import cost_lines, share_lines
    from decalgen.sheet.film_use import in_short, reckoned
    from decalgen.workshop.drawer_for_jobs import taken_off

    taken = taken_off(arrangement, picked)
    if whole:
        return [*reckoned(arrangement, run.options.leave), *share_lines(arrangement, run.jobs, taken), *warned(run)]
    return [*in_short(arrangement, run.options.leave), *cost_lines(arrangement, run.jobs, taken), *warned(run)]


def _measuring(needed: Standard, arrangement: Arrangement) -> list[str]:
    """What of the proof cannot be measured, and what is measured in place of a bar or on other sheets."""
    if needed.bare:
        rows = [bare_words(one) for one in needed.bare]
        return [*rows, "so its size cannot be proven, and film will not be printed: put its pieces on a larger sheet"]
    lines = []
    for page, axis in needed.one_way().items():
        side = "width" if axis == "x" else "height"
        small = f"no bar shows the {side} of the small sheets, {page}"
        lines.append(f"{small}: hold the paper to the model before you print film")
    lines += [
        f"sheet {sheet.index} has no room for check bars: they are on the page after it"
        for sheet in arrangement.sheets
        if sheet.bars.own_page and sheet.bars.bars
    ]
    others = list(needed.unmeasured([needed.bars[0].sheet]).values())
    if others:
        named = " and ".join(f"--sheet {n}" for n in others)
        lines.append(f"enter the readings of {named} as well: they differ in size or correction")
    return lines


def _after_proof(run: Run, needed: Standard, output: Path) -> str:
    if needed.bare:
        return f"put its pieces on a larger sheet, then run: {after('proof', run)}"
    return f"print it, measure its bars, then run: {pass_command(output, needed.bars)}"


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
    if not from_drawer(run.options.films):
        return ()
    from decalgen.commands.inputs import other_films
    from decalgen.workshop.drawer import Drawer
    from decalgen.workshop.drawer_for_jobs import picked_for

    other = {film.name for film in other_films(run.options, run.printer)}
    return picked_for(arrangement, Drawer().sheets(), run.printer, other)


def positions_bytes(
    arrangement: Arrangement,
    jobs: Sequence[Job],
    picked: Sequence[Picked],
    proof: Mapping[str, Any] | None = None,
    command: Sequence[str] = (),
) -> bytes:
    """The file of positions: ``proof``: what its proof has to reach; ``command``: the jobs and options, as typed."""
    from decalgen.workshop.drawer_for_jobs import taken_off

    taken = taken_off(arrangement, picked)
    return write_positions(
        arrangement.digest, arrangement.positions, jobs, arrangement.complete, taken, proof, arrangement.parts, command
    )


def warned(run: Run) -> list[str]:
    """How many warnings the check before a print has, and how to see them."""
    count = len(check_warnings(run))
    if not count:
        return []
    return [f"the check has {count} warning{'s' * (count > 1)}: {after('check', run)} lists them"]


def check_warnings(run: Run) -> tuple[Severity, ...]:
    """One for each warning of the check before a print."""
    return tuple(finding.severity for finding in run.examined.findings if finding.severity == "warning")
