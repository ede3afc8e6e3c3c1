"""The gate itself: film is printed only where a proof of just this was measured and passed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from decalgen.core.errors import GateError, InputError
from decalgen.core.instruments import InstrumentError
from decalgen.core.values import dataclass
from decalgen.proofing.files import proven_file, proven_of, read_proven, verdict_on
from decalgen.proofing.judge import WORST_FIRST, VerdictWord
from decalgen.proofing.standard import Bare, Standard

OVERRIDE = 'or print unproven with `--without-proof "why"`'


@dataclass(frozen=True)
class Proof:
    """What is known of the proof of some sheets: the verdict reckoned now, None where nothing was read off one; what
    was read, and the complaint where film may not be printed."""

    word: VerdictWord | None
    lines: tuple[str, ...] = ()
    refusal: GateError | None = None


def proof_for(needed: Standard, positions: Path | None, folders: Sequence[Path], again: str) -> Proof:
    """What was read off a proof of just these sheets, wherever in some folders it is kept, and the verdict.

    ``positions``: the file they lie by, if there is one: what is kept beside it is told where it is of something else,
    of an earlier version or damaged. ``again``: the command that says a proof was passed.
    """
    if needed.bare:
        return Proof(None, (), _unprovable(needed.bare))
    found = proven_of(needed.fingerprint, folders)
    if found:
        told = []
        for one in found.values():
            try:
                told.append(verdict_on(needed, one))
            except (GateError, InstrumentError) as error:
                told.append(("refused", (error.message,)))
        word, lines = min(told, key=lambda one: WORST_FIRST.index(one[0]))
        return Proof(word, lines, _refused(word, again))
    beside = None
    if positions is not None:
        try:
            beside = read_proven(proven_file(positions))
        except InputError as error:
            return Proof(None, (), GateError(error.message, fix=error.fix))
    if beside is None:
        return Proof(None, (), unproven(again))
    if beside.earlier:
        return Proof(
            None,
            (),
            GateError(
                "the proof was passed with an earlier version, whose sheets carried other marks",
                fix=f"make the proof again with `decalgen proof`, measure it, then `{again}`; {OVERRIDE}",
            ),
        )
    return Proof(None, (), _other(beside.fingerprint.changed(needed.fingerprint), again))


def bare_words(bare: Bare) -> str:
    """What no proof can tell of a sheet."""
    return f"nothing on sheet {bare.sheet}, of {bare.page}, can be measured: there is no room for a check bar"


def _unprovable(bare: Sequence[Bare]) -> GateError:
    return GateError(
        f"{bare_words(bare[0])}, and no sheet of another size or correction tells how it comes out",
        fix=f"put its pieces on a larger sheet with `--film` and make a new proof, {OVERRIDE}",
    )


def unproven(again: str, nested_again: bool = False) -> GateError:
    """What is said of a sheet without a proof. ``again``: the command that says one was passed; ``nested_again``: there
    are a proof's positions, but others are asked for."""
    if nested_again:
        return GateError(
            "a sheet that is nested again has no passed proof",
            fix=f"leave out --nest-again, or make a new proof with `decalgen proof`, measure it, then `{again}`; "
            + OVERRIDE,
        )
    return GateError(
        "this sheet has no passed proof yet",
        fix=f"print its proof (`decalgen proof`) on paper, measure its check bars, then `{again}`; {OVERRIDE}",
    )


def _other(changed: Sequence[str], again: str) -> GateError:
    return GateError(
        f"the measured proof no longer holds: {' and '.join(changed)} changed since",
        fix=f"make the proof again with `decalgen proof`, measure it, then `{again}`; {OVERRIDE}",
    )


def _refused(word: VerdictWord, again: str) -> GateError | None:
    if word == "passed":
        return None
    if word == "in part":
        return GateError(
            "sheets of another size or correction of this proof were not measured",
            fix="a print dialog may fit one size and not the other, and each film has its own correction: "
            f"`{again}` with --sheet for each; {OVERRIDE}",
        )
    said = "was off size" if word == "refused" else "could not be judged"
    return GateError(
        f"the proof of this sheet {said}",
        fix=f"put that right, print the proof again, then `{again}` with the new readings; {OVERRIDE}",
    )
