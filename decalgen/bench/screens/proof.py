"""Proof: the same sheet on plain paper, and the readings of its check bars, judged while one looks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from decalgen.bench.open_ends import leads, open_ends, waits_for
from decalgen.bench.page_words import on_page
from decalgen.bench.print_files import positions_path, proof_path, written
from decalgen.bench.printed import printed_words
from decalgen.bench.printing import print_acts, printing_state
from decalgen.bench.proof_now import offered
from decalgen.bench.proof_scan import check_no_scan, forget_scan, keep_verdict, scan_state
from decalgen.bench.standing import StepStanding
from decalgen.bench.typed_mm import typed_count
from decalgen.commands.proof_passed import SAID as VERDICT_WORDS
from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.instruments import LINE_TOOLS

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "Proof"
ABOUT = "the sheet on plain paper, measured before film is spent"
HOW = (
    "Put plain paper of the film's size into the printer, fed as the film will be.",
    "Print at 100 %, with every fitting, scaling and borderless setting off.",
    "Measure both check bars, and type what they measure below, with the code printed beside them.",
)

UNSURE = "Looking whether it still holds ..."
SAID_OF = {
    None: "The proof is made, and its bars are not measured yet: Print waits for them.",
    "passed": "The proof passed: Print is open.",
    "in part": "The proof passed in part: Print waits for its other sheets.",
    "refused": "The proof was refused: Print waits until it passes.",
    "cannot tell": "What was read does not tell yet whether film would fit: Print waits until it does.",
}
"""The opening sentence by the verdict on a proof that still holds."""
BEFORE = "What you typed just now was not judged: this is the verdict on the readings before."


def standing(place: Workplace) -> StepStanding:
    """Whether a proof was made and passed."""
    waits = waits_for(place)
    if waits:
        return StepStanding(False, f"waits for {' and '.join(waits)}")
    if place.saved_proof() is None:
        return StepStanding(False, "not made yet")
    if place.changed_since_proof():
        return StepStanding(False, "no longer holds: make it again")
    if place.proof_unsure:
        return StepStanding(False, "looking whether it still holds", looking=True)
    word = place.proof_on_disk().word
    if word == "passed":
        return StepStanding(True, "passed")
    if word == "in part":
        return StepStanding(False, "passed in part: measure its other sheets")
    if word == "cannot tell":
        return StepStanding(False, "cannot tell yet: measure its bars again")
    return StepStanding(False, "refused" if word == "refused" else "print it and measure its bars")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """What it waits for; the proof once it is made; the verdict once it is measured."""
    waits = waits_for(place)
    there = place.saved_proof() is not None
    changed = place.changed_since_proof() if there else []
    # A proof of something else is neither printed nor measured any more.
    made = offered(() if changed else place.proof_on_disk().proof, place.results.get("proof", {}))
    return {
        "opening": _opening(place, waits, changed),
        "waits": waits,
        "leads": leads(open_ends(place)),
        "busy": place.busy,
        "there": there,
        "made": made,
        "how": list(HOW),
        "tools": list(LINE_TOOLS),
        "scan": scan_state(place),
        "verdict": {} if changed else _verdict(place),
        "films": ", ".join(place.choice.films) or "A5 of each kind",
        "changed": changed,
        "printed": there and place.printed is not None,
        "printing": printing_state(place, "proof") if made and not waits and place.printed is None else None,
    }


def _opening(place: Workplace, waits: Sequence[str], changed: Sequence[str]) -> str:
    """What is done and what is open, and that Print waits for it."""
    if waits:
        return f"It waits for {' and '.join(waits)}, and Print waits for it."
    if place.saved_proof() is None:
        return "No proof is made yet: Print waits for it."
    if changed:
        return "The proof no longer holds: make it again. Print waits for it."
    if place.printed:
        return printed_words(place.printed)
    return UNSURE if place.proof_unsure else SAID_OF[place.proof_on_disk().word]


def _verdict(place: Workplace) -> dict[str, Any]:
    """The verdict on what was read off the proof, in a word and in lines."""
    known, said = place.proof_on_disk(), place.results.get("verdict", {})
    if known.word is None:
        return {}
    if place.proof_unsure:
        return {"word": "", "lines": [], "unsure": UNSURE}
    lines = said["lines"] if said.get("word") == known.word else [*known.lines, VERDICT_WORDS[known.word]]
    return {"word": known.word, "lines": [on_page(one) for one in lines], "before": BEFORE}


def make(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Writes the proof of the sheet beside the job: of the pieces as they lie on Sheet, or nested now where they lie
    nowhere yet."""
    choice, paths, options, job = place.choice, place.sheet_jobs(), place.options(), place.desk.path
    output = proof_path(job)
    place.desk.keep()
    table = place.table

    def work() -> dict[str, Any]:
        from decalgen.commands.proof import make_proof
        from decalgen.commands.run import Run

        if not table.positions:
            return written(make_proof(Run(paths, options), output))
        laid = table.laid_now(paths, options)
        if laid is None or laid.arrangement is None:
            raise InputError("the pieces do not lie on the sheet as the job asks now", fix="nest them again on Sheet")
        return written(make_proof(laid.question.run, output, laid.saved(str(table.path))))

    def then() -> None:
        place.proofed(choice)
        saved = table.proof(positions_path(job))
        if saved is not None:
            table.adopt(saved)

    place.results.pop("verdict", None)
    forget_scan(place)
    place.start("proof", "making the proof" if table.positions else "nesting the sheet", work, then)


def judge(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Judges what the bars measure: ``code``, ``x``, ``y``, each one or more readings. Raises as the command does."""
    from decalgen.commands.proof_passed import pass_proof

    check_no_scan(place)
    across, up = (str(asked.get(key, "")).split() for key in ("x", "y"))
    if not across or not up:
        raise InputError("both bars have to be measured", fix="type what each measures, in mm")
    number = typed_count(asked.get("sheet", ""), "Sheet")
    tool = str(asked.get("tool", "")) or LINE_TOOLS[0]
    try:
        made, verdict = pass_proof(proof_path(place.desk.path), across, up, tool, number, str(asked.get("code", "")))
    except DecalgenError as error:
        error.fix = on_page(error.fix)
        raise
    keep_verdict(place, made, verdict)
    forget_scan(place)


ACTS = {"make": make, "judge": judge, **print_acts("proof")}
"""What can be done here."""
