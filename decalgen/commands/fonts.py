"""What `fonts` does: the faces listed and shown, or drawn to the measures of an original, the most like first."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.rendering import save
from decalgen.commands.tracing import letter_places, told_missing, tracing
from decalgen.core.command_line import typed
from decalgen.core.errors import DecalgenError
from decalgen.core.lengths import ExpressionError, length

if TYPE_CHECKING:
    from shapely.geometry import MultiPolygon

    from decalgen.lettering.measured import MeasuredLettering
    from decalgen.lettering.rank import Ranked
    from decalgen.lettering.stems import Rings
    from decalgen.lettering.typeface import OwnFaceName

OFF = 0.02
"""A tracing longer or shorter than the length that was read by more than this share has another scale."""


def fonts(output: Path | None, text: str, job: Path | None = None) -> Result:
    """Every face with what it suits and what can be set, those of a ``job`` first. Raises DecalgenError for words that
    cannot be set and a file that is not there, JobError for a job with mistakes."""
    from decalgen.lettering.faces import face as face_named
    from decalgen.lettering.faces import faces
    from decalgen.pages.faces import axes_text, specimen_page, suited

    own = _own_faces(job)
    found = (*map(face_named, own), *faces())
    wide = max(len(face.name) for face in found)
    lines = []
    for face in found:
        lines.append(f"{face.name:<{wide}}  {suited(face)}")
        if face.axes:
            lines.append(f"{'':<{wide}}  axes: {axes_text(face)}")
    files = save(specimen_page(text, own), output) if output else ()
    of = [] if job is None else [str(job)]
    example = (
        "decalgen new my-model.yaml" if files else typed(["decalgen", "fonts", *of, "-o", "fonts.pdf", "--text", text])
    )
    answer = Answer(f"listed {len(found)} faces", example, (FileGroup("specimen of them all", files),))
    return Result(files, lines=tuple(lines), answer=answer)


def _own_faces(job: Path | None) -> tuple[OwnFaceName, ...]:
    """The faces of a job's own, as it names them."""
    if job is None:
        return ()
    from decalgen.job.loader import load_job

    return tuple(name for _, name in load_job(job).faces)


def like(
    text: str, sizes: dict[str, str | None], traced: Path | None, output: Path | None, job: Path | None = None
) -> Result:
    """The faces by likeness to an original, those of a ``job`` among them. ``sizes``: lengths by name, ``cap height``
    among them.

    Raises DecalgenError for sizes that are no lengths or cannot belong together, and for a tracing that is none;
    JobError for a job with mistakes.
    """
    from decalgen.job.written import scalar
    from decalgen.lettering.by_letter import ranked_by_letter
    from decalgen.lettering.measured import MeasuredLettering
    from decalgen.lettering.rank import rank
    from decalgen.pages.faces import like_page, likeness

    own = _own_faces(job)
    read: dict[str, float] = {}
    for name, value in sizes.items():
        if value is not None:
            try:
                read[name] = length(value).value
            except ExpressionError as error:
                raise DecalgenError(
                    f"the {name}: '{value[:40]}' is not a length", fix="write a number and its unit, such as 1.6mm"
                ) from error
    if "cap height" not in read:
        raise DecalgenError("without a cap height there is nothing to match", fix="add --cap, such as --cap 1.6mm")
    area = None if traced is None else _on_baseline(tracing(traced), text, read["cap height"])
    measured = MeasuredLettering(read["cap height"], read.get("length"), read.get("stem"), read.get("crossbar"))
    note = ""
    if area is not None:
        measured, note = _read_off(text, area, measured)
    ranked = rank(text, measured, outline=area, own=own)
    _all_known(text, ranked[0])
    best = None if area is None else ranked_by_letter(text, measured, ranked, area)
    wide = max(len(one.face) for one in ranked)
    lines = [f"{one.face:<{wide}}  {likeness(one)}" for one in ranked]
    first = f"'face: {scalar(ranked[0].face)}'"
    example = f"write {first} in the job, or draw them: add -o like.pdf"
    if best is not None:
        note += (
            f"\na face a letter: {likeness(best)}: {best.matched.sources}\nin the job, with the word's text and ink:\n"
        )
        note += as_written(measured, best)
        example = f"write the lines above in the job, or {first} for all letters"
    files = save(like_page(text, ranked, area, best), output) if output else ()
    answer = Answer(f"ranked {len(ranked)} faces", example, (FileGroup("each face over the original", files),))
    return Result(files, lines=(*lines, *note.splitlines()), answer=answer)


def _all_known(text: str, one: Ranked) -> None:
    """Raises DecalgenError for a word with a letter that no face has."""
    if one.matched.missing:
        lacking = ", ".join(f"'{letter}'" for letter in one.matched.missing)
        fix = "leave it out of the word and of the tracing, and draw the sign as an `outline`"
        raise DecalgenError(f"no face has {lacking} of '{text}'", fix=fix)


def as_written(measured: MeasuredLettering, best: Ranked) -> str:
    """The lines of a job that draw a word with a face a letter."""
    from decalgen.job.written import ShortList, YamlValue, rows

    sizes = {
        "cap height": measured.cap_height,
        "length": measured.length,
        "stem": measured.stem,
        "crossbar": measured.crossbar,
    }
    match: dict[str, YamlValue] = {name: f"{size:.3f} mm" for name, size in sizes.items() if size is not None}
    match["letters"] = ShortList([f"{left:.3f} mm", f"{wide:.3f} mm"] for left, wide in measured.letters or ())
    match["faces"] = ShortList(best.matched.faces)
    return "\n".join(rows({"face": best.face, "match": match}, 2))


def _on_baseline(area: MultiPolygon, text: str, cap: float) -> MultiPolygon:
    """A tracing that ends at y = 0 let down by as much as the word's tails, as the paperwork's face has them."""
    from shapely.affinity import translate

    from decalgen.core.geometry import region
    from decalgen.lettering.faces import paper_face
    from decalgen.lettering.typesetting import typeset

    foot = typeset(text, face=paper_face().name, cap_height=cap).region.bounds[1]
    return region(translate(area, 0.0, foot))


def _read_off(text: str, area: MultiPolygon, measured: MeasuredLettering) -> tuple[MeasuredLettering, str]:
    """What was not read is taken off the tracing: length, letters' places and widths, stem, crossbar; and a line of
    what was."""
    from dataclasses import replace

    from decalgen.lettering.stems import CROSSBAR_LETTERS, STEM_LETTERS, crossbar_of, stem_of

    long = area.bounds[2]
    if measured.length is not None and abs(long / measured.length - 1) > OFF:
        return measured, (
            f"the tracing is {long:.2f} mm long and the length was given as {measured.length:.2f} mm: check its scale"
        )
    found = measured if measured.length is not None else replace(measured, length=long)
    places = letter_places(text, area)
    if places is None:
        return found, told_missing(text, area)
    letters = dict(reversed(list(zip("".join(text.split()), places, strict=True))))
    told = ["letters' places and widths"]
    sizes = {"stem": measured.stem, "crossbar": measured.crossbar}
    for name, known, of in (("stem", STEM_LETTERS, stem_of), ("crossbar", CROSSBAR_LETTERS, crossbar_of)):
        letter = next((one for one in known if one in letters), None)
        if sizes[name] is None and letter is not None:
            size = of(letter, _rings(area, *letters[letter]))
            if math.isfinite(size) and size > 0:
                sizes[name] = size
                told.append(f"{name} {size:.2f} mm ({letter})")
    found = replace(found, stem=sizes["stem"], crossbar=sizes["crossbar"], letters=places)
    return found, f"read off the tracing: {', '.join(told)}"


def _rings(area: MultiPolygon, left: float, width: float) -> Rings:
    """The outlines of one letter."""
    from decalgen.lettering.stems import rings_of

    parts = [p for p in area.geoms if p.bounds[0] >= left - 1e-6 and p.bounds[2] <= left + width + 1e-6]
    return rings_of(type(area)(parts))
